/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "draw/figure.h"

/* Stands in for what there was no memory for. */
static struct figure lost = {.failed = true};

struct figure *figure_create(double width, double height)
{
    struct figure *figure = calloc(1, sizeof *figure);
    if (figure == NULL)
        return &lost;
    figure->width = width;
    figure->height = height;
    return figure;
}

void figure_destroy(struct figure *figure)
{
    if (figure == NULL || figure == &lost)
        return;
    for (size_t i = 0; i < figure->mark_count; i++) {
        free(figure->marks[i].spots);
        free(figure->marks[i].text);
    }
    free(figure->marks);
    free(figure->kept);
    buffer_finish(&figure->title);
    buffer_finish(&figure->description);
    free(figure);
}

void figure_describe(struct figure *figure, const char *title, const char *description)
{
    if (figure->failed)
        return;
    buffer_clear(&figure->title);
    buffer_clear(&figure->description);
    text_print(title, false, &figure->title);
    text_print(description, false, &figure->description);
    figure->failed = figure->failed || figure->title.failed || figure->description.failed;
}

/** Room for one more in an array that is doubled whenever its count reaches a power of two. */
static void *grown(struct figure *figure, void *array, size_t count, size_t size)
{
    if (figure->failed || (count & (count - 1)) != 0)
        return array;
    void *larger = realloc(array, (count == 0 ? 1 : 2 * count) * size);
    if (larger != NULL)
        return larger;
    figure->failed = true;
    return array;
}

/** Takes over what the mark owns. */
static void add(struct figure *figure, struct mark mark)
{
    figure->marks = grown(figure, figure->marks, figure->mark_count, sizeof mark);
    if (!figure->failed) {
        figure->marks[figure->mark_count++] = mark;
        return;
    }
    free(mark.spots);
    free(mark.text);
}

void figure_keep(struct figure *figure, struct box area)
{
    figure->kept = grown(figure, figure->kept, figure->kept_count, sizeof area);
    if (!figure->failed)
        figure->kept[figure->kept_count++] = area;
}

static void *copy(struct figure *figure, const void *bytes, size_t size)
{
    void *made = malloc(size);
    if (made != NULL)
        memcpy(made, bytes, size);
    figure->failed = figure->failed || made == NULL;
    return made;
}

void figure_path(
    struct figure *figure, struct style style, const struct spot *spots, size_t count, bool closed)
{
    if (count == 0)
        return;
    add(figure, (struct mark){.kind = MARK_PATH,
                    .style = style,
                    .spots = copy(figure, spots, count * sizeof *spots),
                    .spot_count = count,
                    .closed = closed});
}

void figure_line(struct figure *figure, struct style style, struct spot from, struct spot to)
{
    const struct spot ends[2] = {from, to};
    style.fill = INK_NONE;
    figure_path(figure, style, ends, 2, false);
}

void figure_box(struct figure *figure, struct style style, struct box box)
{
    const struct spot corners[4] = {{box.x, box.y}, {box.x + box.width, box.y},
        {box.x + box.width, box.y + box.height}, {box.x, box.y + box.height}};
    figure_path(figure, style, corners, 4, true);
}

void figure_circle(struct figure *figure, struct style style, struct spot centre, double radius)
{
    add(figure, (struct mark){.kind = MARK_CIRCLE, .style = style, .at = centre, .radius = radius});
}

void figure_marker(
    struct figure *figure, enum marker marker, enum ink ink, struct spot centre, double radius)
{
    const double r = radius;
    const double x = centre.x;
    const double y = centre.y;
    const struct style hollow = outlined(ink, INK_PAPER, 0.42 * radius);
    const struct style solid = outlined(INK_PAPER, ink, 0.25 * radius);
    const struct spot tips[4] = {
        {x, y - 1.25 * r}, {x + 1.25 * r, y}, {x, y + 1.25 * r}, {x - 1.25 * r, y}};
    switch (marker) {
    case MARKER_RING:
        figure_circle(figure, hollow, centre, r);
        break;
    case MARKER_DIAMOND:
        figure_path(figure, hollow, tips, 4, true);
        break;
    case MARKER_DOT:
        figure_circle(figure, solid, centre, r);
        break;
    }
}

void figure_arrow(
    struct figure *figure, struct style style, struct spot from, struct spot to, double head)
{
    const double length = hypot(to.x - from.x, to.y - from.y);
    if (length < 1e-6)
        return;
    const double ux = (to.x - from.x) / length;
    const double uy = (to.y - from.y) / length;
    const double h = fmin(head, 0.7 * length);
    const struct spot neck = at(to.x - 0.8 * h * ux, to.y - 0.8 * h * uy);
    figure_line(figure, style, from, neck);
    const struct spot tip[3] = {to, {to.x - h * ux - 0.38 * h * uy, to.y - h * uy + 0.38 * h * ux},
        {to.x - h * ux + 0.38 * h * uy, to.y - h * uy - 0.38 * h * ux}};
    figure_path(figure, surface(style.line), tip, 3, true);
}

void figure_clip(struct figure *figure, struct box box)
{
    add(figure, (struct mark){.kind = MARK_CLIP, .box = box});
}

void figure_unclip(struct figure *figure)
{
    add(figure, (struct mark){.kind = MARK_UNCLIP});
}

static void add_tag(struct figure *figure, enum mark_kind kind, const char *tag)
{
    add(figure, (struct mark){.kind = kind, .text = copy(figure, tag, strlen(tag) + 1)});
}

void figure_tag(struct figure *figure, const char *tag)
{
    add_tag(figure, MARK_TAG, tag);
}

void figure_untag(struct figure *figure, const char *tag)
{
    add_tag(figure, MARK_UNTAG, tag);
}

double anchor_share(enum anchor anchor)
{
    return anchor == ANCHOR_END ? 1 : anchor == ANCHOR_MIDDLE ? 0.5 : 0;
}

/** What a line of text covers at most. */
static struct box covered(struct type type, struct spot at, const char *text)
{
    const double size = letter_size(type.letter);
    const double width = text_width(type.letter, text);
    return (struct box){at.x - anchor_share(type.anchor) * width, at.y - 0.78 * size, width, size};
}

void figure_text(
    struct figure *figure, struct type type, struct spot at, double most, const char *text)
{
    struct buffer printed = {0};
    struct buffer fits = {0};
    text_print(text, false, &printed);
    if (most > 0)
        text_cut(type.letter, buffer_text(&printed), most, &fits);
    struct buffer *kept = most > 0 ? &fits : &printed;
    if (kept->failed)
        figure->failed = true;
    else if (kept->length > 0)
        add(figure, (struct mark){.kind = MARK_TEXT,
                        .type = type,
                        .at = at,
                        .box = covered(type, at, buffer_text(kept)),
                        .text = copy(figure, kept->bytes, kept->length + 1),
                        .scale = 1});
    buffer_finish(&printed);
    buffer_finish(&fits);
}

double figure_paragraph(struct figure *figure, struct type type, struct spot at, double most,
    size_t lines, const char *text)
{
    struct buffer printed = {0};
    struct buffer line = {0};
    const double top = at.y;
    double down = 0;
    text_print(text, true, &printed);
    const char *rest = buffer_text(&printed);
    for (size_t i = 0; i < lines && *rest != '\0'; i++) {
        size_t next;
        const size_t length = text_line(type.letter, rest, most, &next);
        down = (double)i * letter_leading(type.letter);
        at.y = top + down;
        buffer_clear(&line);
        buffer_add_bytes(&line, rest, i + 1 < lines ? length : strlen(rest)); /* the last is cut */
        figure_text(figure, type, at, most, buffer_text(&line));
        rest += next;
    }
    buffer_finish(&printed);
    buffer_finish(&line);
    return down;
}

static struct spot placed(struct spot corner, double scale, struct spot spot)
{
    return at(corner.x + scale * spot.x, corner.y + scale * spot.y);
}

void figure_place(
    struct figure *figure, const struct figure *part, struct spot corner, double scale)
{
    figure->failed = figure->failed || part->failed;
    for (size_t i = 0; i < part->mark_count; i++) {
        struct mark mark = part->marks[i];
        if (mark.text != NULL)
            mark.text = copy(figure, mark.text, strlen(mark.text) + 1);
        if (mark.spots != NULL)
            mark.spots = copy(figure, mark.spots, mark.spot_count * sizeof *mark.spots);
        for (size_t j = 0; mark.spots != NULL && j < mark.spot_count; j++)
            mark.spots[j] = placed(corner, scale, mark.spots[j]);
        const struct spot area = placed(corner, scale, at(mark.box.x, mark.box.y));
        mark.box = (struct box){area.x, area.y, scale * mark.box.width, scale * mark.box.height};
        mark.at = placed(corner, scale, mark.at);
        mark.radius *= scale;
        mark.style.width *= scale;
        mark.scale *= scale;
        add(figure, mark);
    }
}
