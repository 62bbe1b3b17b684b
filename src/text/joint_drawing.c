/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "text/joint_drawing.h"

/* Where a bolt stands on the drawing. */
struct place {
    size_t bolt;
    double across, up;  /* mm, as the onlooker sees it: joint_sight */
    double within;      /* sorts the places of a row; from the top while there are no rows */
    size_t row, column; /* row 0 at the top; column of the mark's first character */
};

struct drawing {
    struct place places[PERPEND_BOLTS_MOST]; /* row by row from the top, in a row from the left */
    size_t count, rows, columns;             /* columns inside the frame */
};

#define MARK 3u           /* columns: "[1]" */
#define USUAL_COLUMNS 14u /* inside a frame */
#define GET_COLUMNS 22u   /* what a bolt gets wants at least so many */
#define LEGEND_LEAST 28u  /* a legend beside the drawing wants at least so many */

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

/* By row, then by what sorts within it, then in the order of the machine file. */
static int in_order(const void *a, const void *b)
{
    const struct place *first = a, *second = b;
    if (first->row != second->row)
        return first->row < second->row ? -1 : 1;
    if (first->within < second->within || first->within > second->within)
        return first->within < second->within ? -1 : 1;
    return first->bolt < second->bolt ? -1 : 1;
}

/* Bolts within a tenth of the joint's height of the highest in a row share it. */
static void set_rows(struct drawing *drawing)
{
    struct place *places = drawing->places;
    qsort(places, drawing->count, sizeof *places, in_order);
    double height = places[0].up - places[drawing->count - 1].up;
    double row_top = places[0].up;
    for (size_t i = 0; i < drawing->count; i++) {
        if (row_top - places[i].up > height / 10.0) {
            drawing->rows++;
            row_top = places[i].up;
        }
        places[i].row = drawing->rows;
        places[i].within = places[i].across;
    }
    drawing->rows++;
    qsort(places, drawing->count, sizeof *places, in_order);
}

/* Columns to scale where there is room, farther apart where marks would touch. */
static void set_columns(struct drawing *drawing)
{
    struct place *places = drawing->places;
    double left = places[0].across, right = left;
    for (size_t i = 0; i < drawing->count; i++) {
        left = fmin(left, places[i].across);
        right = fmax(right, places[i].across);
    }
    drawing->columns = USUAL_COLUMNS;
    for (size_t i = 0; i < drawing->count; i++) {
        double share = right > left ? (places[i].across - left) / (right - left) : 0.5;
        size_t column = (size_t)lround(share * (double)(USUAL_COLUMNS - MARK));
        if (i > 0 && places[i].row == places[i - 1].row && column < places[i - 1].column + MARK)
            column = places[i - 1].column + MARK;
        places[i].column = column;
        if (column + MARK > drawing->columns)
            drawing->columns = column + MARK;
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
        column += MARK;
    }
    for (; column < drawing->columns; column++)
        buffer_add(out, " ");
    buffer_add(out, "│");
}

static struct drawing lay_out(const struct perpend_joint *joint)
{
    struct drawing drawing = {.count = joint->bolt_count};
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct joint_sight at = joint_sight(joint->face, joint->bolts[i].at);
        drawing.places[i] =
            (struct place){.bolt = i, .across = at.across, .up = at.up, .within = -at.up};
    }
    set_rows(&drawing);
    set_columns(&drawing);
    return drawing;
}

static void add_blanks(struct buffer *out, size_t count)
{
    for (; count > 0; count--)
        buffer_add(out, " ");
}

/* What is drawn and written: the joint, and what its bolts get in a step. */
struct subject {
    const struct perpend_joint *joint;
    const struct perpend_step *step;
    const struct perpend_stock *stock;
    bool list; /* without numbers, and only what gets something */
};

static bool left_out(const struct subject *subject, size_t bolt)
{
    return subject->list && bolt_stays(subject->step, bolt);
}

/* The bolts' names and what each gets, wrapped to a width: all with the drawing's numbers, or those
   alone that get something. */
static void write_legend(const struct words *words, struct buffer *legend,
    const struct subject *subject, unsigned width, unsigned indent)
{
    const struct perpend_joint *joint = subject->joint;
    struct buffer lead = {0}, gets = {0};
    size_t longest = 0;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        buffer_clear(&gets);
        if (left_out(subject, i))
            continue;
        words_name(&gets, joint->bolts[i].name);
        size_t columns = words_columns(buffer_text(&gets));
        longest = columns > longest ? columns : longest;
    }
    /* a column of names that leaves no room for what they get is no column */
    bool aligned = indent + longest + GET_COLUMNS <= width;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        buffer_clear(&lead);
        buffer_clear(&gets);
        if (left_out(subject, i))
            continue;
        add_blanks(&lead, indent);
        if (!subject->list)
            buffer_addf(&lead, "%zu ", i + 1);
        struct buffer *named = aligned ? &lead : &gets;
        size_t before = named->length;
        words_name(named, joint->bolts[i].name);
        /* a name that memory ran out for has no columns; the whole is lost then */
        size_t columns = named->failed ? 0 : words_columns(buffer_text(named) + before);
        if (subject->step && aligned && columns <= longest)
            add_blanks(named, longest + 2 - columns);
        else if (subject->step && !aligned)
            buffer_add(named, ": ");
        if (subject->step)
            bolt_gets(words, &gets, subject->step, i, subject->stock);
        words_wrap(words, legend, width, buffer_text(&lead), buffer_text(&gets));
    }
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
        size_t length = strcspn(legend, "\n");
        buffer_clear(&line);
        if (i < lines || length > 0)
            add_blanks(&line, indent);
        if (i < lines)
            draw_row(&line, drawing, step, i == 0 ? 0 : i - 1, i == 0 || i + 1 == lines);
        else
            add_blanks(&line, drawing->columns + 2);
        if (length > 0)
            buffer_add(&line, "  ");
        words_encode(words, &words->out, buffer_text(&line));
        buffer_add_bytes(&words->out, legend, length);
        buffer_add(&words->out, "\n");
        legend += length + (legend[length] == '\n');
    }
    buffer_finish(&line);
}

void joint_drawing_add(struct words *words, const struct perpend_joint *joint,
    const struct perpend_step *step, const struct perpend_stock *stock, unsigned indent)
{
    const struct subject subject = {joint, step, stock, false};
    struct buffer legend = {0};
    if (joint->bolt_count == 0 || joint->bolt_count > PERPEND_BOLTS_MOST)
        return;
    struct drawing drawing = lay_out(joint);
    unsigned taken = indent + (unsigned)drawing.columns + 4;
    bool beside = taken + LEGEND_LEAST <= words->width;
    if (beside)
        write_legend(words, &legend, &subject, words->width - taken, 0);
    set_side_by_side(words, &drawing, step, buffer_text(&legend), indent);
    if (!beside)
        write_legend(words, &words->out, &subject, words->width, indent);
    words->out.failed = words->out.failed || legend.failed;
    buffer_finish(&legend);
}

void joint_list_add(struct words *words, const struct perpend_joint *joint,
    const struct perpend_step *step, const struct perpend_stock *stock, unsigned indent)
{
    const struct subject subject = {joint, step, stock, true};
    if (joint->bolt_count <= PERPEND_BOLTS_MOST)
        write_legend(words, &words->out, &subject, words->width, indent);
}
