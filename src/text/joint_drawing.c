/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "text/joint_drawing.h"

/* Where a bolt stands on the drawing. */
struct place {
    size_t bolt;
    double across, up;  /* mm, as the onlooker sees it: joint_sight */
    size_t row, column; /* row 0 at the top; column of the mark's first character */
};

struct drawing {
    struct place *places;        /* row by row from the top, in a row from the left */
    size_t count, rows, columns; /* columns inside the frame */
};

const char *joint_drawing_view(enum perpend_face face)
{
    static const char *const views[] = {[PERPEND_FACE_FRONT] = "seen from the front",
        [PERPEND_FACE_BACK] = "seen from the back",
        [PERPEND_FACE_LEFT] = "seen from the left",
        [PERPEND_FACE_RIGHT] = "seen from the right",
        [PERPEND_FACE_UP] = "seen from above, the back at the top",
        [PERPEND_FACE_DOWN] = "seen from below, the front at the top"};
    return views[face];
}

struct joint_sight joint_sight(enum perpend_face face, struct perpend_point at)
{
    switch (face) {
    case PERPEND_FACE_FRONT:
        return (struct joint_sight){at.right, at.up};
    case PERPEND_FACE_BACK:
        return (struct joint_sight){-at.right, at.up};
    case PERPEND_FACE_LEFT:
        return (struct joint_sight){-at.back, at.up};
    case PERPEND_FACE_RIGHT:
        return (struct joint_sight){at.back, at.up};
    case PERPEND_FACE_UP:
        return (struct joint_sight){at.right, at.back};
    case PERPEND_FACE_DOWN:
        break;
    }
    return (struct joint_sight){at.right, -at.back};
}

static int compare(double a, double b)
{
    return a < b ? -1 : a > b;
}

static int higher_first(const void *a, const void *b)
{
    const struct place *first = a, *second = b;
    return compare(second->up, first->up);
}

static int left_first_by_row(const void *a, const void *b)
{
    const struct place *first = a, *second = b;
    if (first->row != second->row)
        return first->row < second->row ? -1 : 1;
    if (first->across != second->across)
        return compare(first->across, second->across);
    return first->bolt < second->bolt ? -1 : 1;
}

/* Bolts within a tenth of the joint's height of the highest in a row share it. */
static void set_rows(struct drawing *drawing)
{
    struct place *places = drawing->places;
    qsort(places, drawing->count, sizeof *places, higher_first);
    double height = places[0].up - places[drawing->count - 1].up;
    double row_top = places[0].up;
    drawing->rows = 1;
    for (size_t i = 0; i < drawing->count; i++) {
        if (row_top - places[i].up > height / 10.0) {
            drawing->rows++;
            row_top = places[i].up;
        }
        places[i].row = drawing->rows - 1;
    }
    qsort(places, drawing->count, sizeof *places, left_first_by_row);
}

/* Columns to scale where there is room, farther apart where marks would touch. */
static void set_columns(struct drawing *drawing)
{
    const size_t usual = 14;
    struct place *places = drawing->places;
    size_t mark = drawing->count > 9 ? 4 : 3; /* "[1]" or "[10]" */
    double left = places[0].across, right = left;
    for (size_t i = 0; i < drawing->count; i++) {
        left = fmin(left, places[i].across);
        right = fmax(right, places[i].across);
    }
    drawing->columns = usual;
    for (size_t i = 0; i < drawing->count; i++) {
        double share = right > left ? (places[i].across - left) / (right - left) : 0.5;
        size_t column = (size_t)lround(share * (double)(usual - mark));
        if (i > 0 && places[i].row == places[i - 1].row && column < places[i - 1].column + mark)
            column = places[i - 1].column + mark;
        places[i].column = column;
        if (column + mark > drawing->columns)
            drawing->columns = column + mark;
    }
}

static bool gets_something(const struct perpend_step *step, size_t bolt)
{
    return step && bolt < step->bolt_count && bolt != step->pivot &&
           !perpend_amount_is_none(step->bolts[bolt].amount);
}

/* One line of the frame and what is in it, row −1 and `rows` being its edges. */
static void draw_row(struct buffer *out, const struct drawing *drawing,
    const struct perpend_step *step, size_t row, bool edge)
{
    if (edge) {
        buffer_add(out, row == 0 ? "┌" : "└");
        for (size_t i = 0; i < drawing->columns; i++)
            buffer_add(out, "─");
        buffer_add(out, row == 0 ? "┐" : "┘");
        return;
    }
    size_t column = 0;
    buffer_add(out, "│");
    for (size_t i = 0; i < drawing->count; i++) {
        const struct place *place = &drawing->places[i];
        if (place->row != row)
            continue;
        for (; column < place->column; column++)
            buffer_add(out, " ");
        bool marked = gets_something(step, place->bolt);
        buffer_addf(out, marked ? "[%zu]" : " %zu ", place->bolt + 1);
        column += place->bolt < 9 ? 3 : 4;
    }
    for (; column < drawing->columns; column++)
        buffer_add(out, " ");
    buffer_add(out, "│");
}

static bool lay_out(const struct perpend_joint *joint, struct drawing *drawing)
{
    *drawing = (struct drawing){.count = joint->bolt_count};
    drawing->places = malloc(joint->bolt_count * sizeof *drawing->places);
    if (!drawing->places)
        return false;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct joint_sight at = joint_sight(joint->face, joint->bolts[i].at);
        drawing->places[i] = (struct place){.bolt = i, .across = at.across, .up = at.up};
    }
    set_rows(drawing);
    set_columns(drawing);
    return true;
}

/* The bolts' names and what each gets, wrapped to the columns beside or under the drawing. */
static void write_legend(const struct words *words, struct buffer *legend,
    const struct perpend_joint *joint, const struct perpend_step *step,
    const struct perpend_stock *stock, unsigned width)
{
    struct buffer name = {0}, lead = {0}, gets = {0};
    size_t longest = 0;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        buffer_clear(&name);
        words_name(&name, joint->bolts[i].name);
        size_t columns = words_columns(buffer_text(&name));
        longest = columns > longest ? columns : longest;
    }
    /* a column of names that leaves no room for what they get is no column */
    bool aligned = longest + 22 <= width;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        buffer_clear(&lead);
        buffer_clear(&gets);
        buffer_addf(&lead, joint->bolt_count > 9 ? "%2zu " : "%zu ", i + 1);
        struct buffer *named = aligned ? &lead : &gets;
        size_t before = named->length;
        words_name(named, joint->bolts[i].name);
        if (step && aligned)
            for (size_t c = words_columns(buffer_text(named) + before); c < longest + 2; c++)
                buffer_add(named, " ");
        else if (step)
            buffer_add(named, ": ");
        if (step)
            bolt_gets(words, &gets, step, i, stock);
        words_wrap(words, legend, width, buffer_text(&lead), buffer_text(&gets));
    }
    if (name.failed || lead.failed || gets.failed)
        legend->failed = true;
    buffer_finish(&name);
    buffer_finish(&lead);
    buffer_finish(&gets);
}

/* Drawing and legend line by line, side by side. */
static void set_side_by_side(struct words *words, const struct drawing *drawing,
    const struct perpend_step *step, const char *legend, unsigned indent)
{
    struct buffer line = {0};
    size_t lines = drawing->rows + 2;
    for (size_t i = 0; i < lines || *legend; i++) {
        buffer_clear(&line);
        size_t length = strcspn(legend, "\n");
        bool drawn = i < lines;
        for (size_t c = 0; c < indent && (drawn || length > 0); c++)
            buffer_add(&line, " ");
        if (drawn)
            draw_row(&line, drawing, step, i == 0 ? 0 : i - 1, i == 0 || i + 1 == lines);
        else
            for (size_t c = 0; c < drawing->columns + 2; c++)
                buffer_add(&line, " ");
        if (length > 0)
            buffer_add(&line, "  ");
        words_encode(words, &words->out, buffer_text(&line));
        buffer_add_bytes(&words->out, legend, length);
        buffer_add(&words->out, "\n");
        legend += legend[length] == '\n' ? length + 1 : length;
    }
    if (line.failed)
        words->out.failed = true;
    buffer_finish(&line);
}

void joint_drawing_add(struct words *words, const struct perpend_joint *joint,
    const struct perpend_step *step, const struct perpend_stock *stock, unsigned indent)
{
    struct drawing drawing;
    if (joint->bolt_count == 0)
        return;
    if (!lay_out(joint, &drawing)) {
        words->out.failed = true;
        return;
    }
    struct buffer legend = {0};
    size_t taken = indent + drawing.columns + 4;
    bool beside = taken + 28 <= words->width;
    unsigned room = words->width - (unsigned)(beside ? taken : indent);
    write_legend(words, &legend, joint, step, stock, room);
    if (beside) {
        set_side_by_side(words, &drawing, step, buffer_text(&legend), indent);
    } else {
        set_side_by_side(words, &drawing, step, "", indent);
        for (const char *line = buffer_text(&legend); *line;) {
            size_t length = strcspn(line, "\n");
            for (size_t c = 0; c < indent; c++)
                buffer_add(&words->out, " ");
            buffer_add_bytes(&words->out, line, length + (line[length] == '\n'));
            line += length + (line[length] == '\n');
        }
    }
    if (legend.failed)
        words->out.failed = true;
    buffer_finish(&legend);
    free(drawing.places);
}
