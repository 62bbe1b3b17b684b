/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "draw/figure.h"

/** Where there is room for a text, and whether any two are in each other's way. */

#define TOUCH 0.3   /* pt; boxes that share an edge do not overlap */
#define HEIGHT 0.72 /* of a figure or a capital, of the letter's size */

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

static bool clear(const struct figure *figure, struct box box)
{
    for (size_t i = 0; i < figure->kept_count; i++)
        if (overlap(box, figure->kept[i]))
            return false;
    for (size_t i = 0; i < figure->mark_count; i++)
        if (figure->marks[i].kind == MARK_TEXT && overlap(box, figure->marks[i].box))
            return false;
    return true;
}

void figure_keep_round(struct figure *figure, struct spot place, double reach)
{
    figure_keep(figure, (struct box){place.x - reach, place.y - reach, 2 * reach, 2 * reach});
}

void figure_keep_line(struct figure *figure, struct spot from, struct spot to)
{
    const int steps = (int)fmin(400, hypot(to.x - from.x, to.y - from.y) / 4) + 1;
    for (int i = 0; i <= steps; i++)
        figure_keep_round(figure,
            at(from.x + (to.x - from.x) * i / steps, from.y + (to.y - from.y) * i / steps), 1.5);
}

bool figure_label(struct figure *figure, struct type type, struct spot place, double distance,
    struct box within, const char *text)
{
    static const struct {
        double x, y;
        enum anchor anchor;
    } sides[] = {{1, 0, ANCHOR_START}, {-1, 0, ANCHOR_END}, {0, -1, ANCHOR_MIDDLE},
        {0, 1, ANCHOR_MIDDLE}, {0.8, -0.8, ANCHOR_START}, {0.8, 0.8, ANCHOR_START},
        {-0.8, -0.8, ANCHOR_END}, {-0.8, 0.8, ANCHOR_END}};
    const double size = letter_size(type.letter);
    const double width = text_width(type.letter, text);
    for (int step = 2; step <= 6; step++) { /* halves of the distance */
        for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
            const double away = distance * step / 2;
            const struct spot spot = at(place.x + sides[i].x * away,
                place.y + sides[i].y * (away + HEIGHT * size / 2) + HEIGHT * size / 2);
            const struct box roomy = {spot.x - anchor_share(sides[i].anchor) * width - 1.5,
                spot.y - 0.78 * size, width + 3, size};
            if (inside(roomy, within) && clear(figure, roomy)) {
                type.anchor = sides[i].anchor;
                type.halo = true;
                figure_text(figure, type, spot, 0, text);
                return true;
            }
        }
    }
    return false;
}

bool figure_text_on(struct figure *figure, struct type type, struct spot spot, const char *text)
{
    const double size = letter_size(type.letter);
    const double width = text_width(type.letter, text) + 3;
    const struct box patch = {spot.x - width / 2, spot.y - size / 2 - 1, width, size + 2};
    if (!clear(figure, patch))
        return false;
    type.anchor = ANCHOR_MIDDLE;
    type.halo = true;
    figure_text(figure, type, at(spot.x, spot.y + HEIGHT * size / 2), 0, text);
    return true;
}
