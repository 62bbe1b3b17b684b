/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "draw/figure_marks.h"

/** Where there is room for a text, and whether any two are in each other's way. */

#define TOUCH 0.3 /* pt; boxes that share an edge do not overlap */

static bool overlap(struct box a, struct box b)
{
    return a.x + a.width > b.x + TOUCH && b.x + b.width > a.x + TOUCH &&
           a.y + a.height > b.y + TOUCH && b.y + b.height > a.y + TOUCH;
}

static bool inside(struct box a, struct box b)
{
    return a.x >= b.x - TOUCH && a.y >= b.y - TOUCH && a.x + a.width <= b.x + b.width + TOUCH &&
           a.y + a.height <= b.y + b.height + TOUCH;
}

static bool clear(const struct figure *figure, struct box box, bool of_kept)
{
    for (guint i = 0; i < figure->kept->len && of_kept; i++)
        if (overlap(box, g_array_index(figure->kept, struct box, i)))
            return false;
    for (guint i = 0; i < figure->marks->len; i++) {
        const struct mark *mark = &g_array_index(figure->marks, struct mark, i);
        if (mark->kind == MARK_TEXT && overlap(box, mark->box))
            return false;
    }
    return true;
}

void figure_keep(struct figure *figure, struct box area)
{
    g_array_append_val(figure->kept, area);
}

static bool label(struct figure *figure, enum letter letter, enum ink ink, struct spot place,
    double distance, struct box within, const char *text, bool clear_of_kept)
{
    static const struct {
        double x, y;
        enum anchor anchor;
    } sides[] = {{1, 0, ANCHOR_START}, {-1, 0, ANCHOR_END}, {0, -1, ANCHOR_MIDDLE},
        {0, 1, ANCHOR_MIDDLE}, {0.8, -0.8, ANCHOR_START}, {0.8, 0.8, ANCHOR_START},
        {-0.8, -0.8, ANCHOR_END}, {-0.8, 0.8, ANCHOR_END}};
    const double height = 0.72 * letter_size(letter); /* of a figure or a capital */
    for (int step = 2; step <= 6; step++) {           /* halves of the distance */
        for (size_t i = 0; i < G_N_ELEMENTS(sides); i++) {
            const double away = distance * step / 2;
            const struct spot at = {place.x + sides[i].x * away,
                place.y + sides[i].y * (away + height / 2) + height / 2};
            struct mark mark =
                mark_of_text(figure, letter, ink, sides[i].anchor, at, mark_one_line(text));
            const struct box roomy = {
                mark.box.x - 1.5, mark.box.y - 1, mark.box.width + 3, mark.box.height + 2};
            if (inside(roomy, within) && clear(figure, roomy, clear_of_kept)) {
                mark_add(figure, mark);
                return true;
            }
            g_free(mark.text);
        }
    }
    return false;
}

bool figure_label(struct figure *figure, enum letter letter, enum ink ink, struct spot place,
    double distance, struct box within, const char *text)
{
    return label(figure, letter, ink, place, distance, within, text, true) ||
           (letter == LETTER_STRONG &&
               label(figure, letter, ink, place, distance, within, text, false));
}

bool figure_text_on(struct figure *figure, enum letter letter, enum ink ink, enum ink ground,
    struct spot at, const char *text)
{
    const double height = 0.72 * letter_size(letter);
    struct mark mark = mark_of_text(figure, letter, ink, ANCHOR_MIDDLE,
        (struct spot){at.x, at.y + height / 2}, mark_one_line(text));
    const struct box patch = {
        mark.box.x - 1.5, mark.box.y - 1.5, mark.box.width + 3, mark.box.height + 3};
    if (!clear(figure, patch, true)) {
        g_free(mark.text);
        return false;
    }
    figure_box(figure, (struct style){.fill = ground}, patch);
    mark_add(figure, mark);
    return true;
}

bool figure_overlap(const struct figure *figure, size_t *first, size_t *second)
{
    const struct box sheet = {0, 0, figure->width, figure->height};
    const size_t count = figure_text_count(figure);
    struct box *boxes = g_new(struct box, count);
    bool bad = false;
    for (size_t i = 0; i < count; i++)
        figure_text_at(figure, i, &boxes[i]);
    for (size_t i = 0; i < count && !bad; i++) {
        *first = *second = i;
        bad = !inside(boxes[i], sheet);
        for (size_t j = i + 1; j < count && !bad; j++) {
            *second = j;
            bad = overlap(boxes[i], boxes[j]);
        }
    }
    g_free(boxes);
    return bad;
}
