/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/status.h>
#include <perpend/units.h>

#include "draw/letters.h"
#include "draw/plot.h"

#define KEY_SAMPLE 22.0 /* px of line shown in a key */
#define KEY_ROW 16.0
#define HATCH 6.0 /* px between lines */

double axis_at(const struct axis *axis, double value)
{
    const double share = axis->log ? log(value / axis->low) / log(axis->high / axis->low)
                                   : (value - axis->low) / (axis->high - axis->low);
    return axis->from + (axis->to - axis->from) * share;
}

size_t axis_ticks(const struct axis *axis, unsigned wanted, double ticks[AXIS_TICKS_MOST])
{
    const double slack = 1e-9 * (axis->high - axis->low);
    double step = nice_below((axis->high - axis->low) / wanted);
    size_t count = 0;
    while (!axis->log && (axis->high - axis->low) / step > 1.4 * wanted)
        step = nice_below(step * 2.6);
    double value = axis->log ? nice_below(axis->low) : step * ceil(axis->low / step - 1e-9);
    for (; value <= axis->high + slack && count < AXIS_TICKS_MOST;
         value = axis->log ? nice_below(value * 2.6) : value + step)
        if (value >= axis->low - slack)
            ticks[count++] = value;
    return count;
}

const char *axis_text(double value, char text[AXIS_TEXT])
{
    return words_trimmed(text, AXIS_TEXT, value, 6);
}

void plot_ruler(struct figure *figure, const struct words *words, const struct ruler *ruler)
{
    const bool up = ruler->up;
    const struct type type = {
        ruler->letter, ruler->ink, up ? ANCHOR_END : ANCHOR_MIDDLE, false, false};
    struct axis shown = ruler->axis;
    double ticks[AXIS_TICKS_MOST];
    double reached = -INFINITY;
    char text[AXIS_TEXT];
    shown.low = words_shown(words, ruler->kind, shown.low);
    shown.high = words_shown(words, ruler->kind, shown.high);
    const size_t count = axis_ticks(&shown, 3, ticks);
    for (size_t i = 0; i < count; i++) {
        const double place = axis_at(&shown, ticks[i]);
        const double half = up ? letter_size(type.letter) / 2
                               : text_width(type.letter, axis_text(ticks[i], text)) / 2;
        const double from = (up ? -place : place) - half;
        figure_line(figure, pen(INK_GRID, 0.8),
            up ? at(ruler->numbers, place) : at(place, ruler->numbers),
            up ? at(ruler->end, place) : at(place, ruler->end));
        if (from < reached || (!up && place + half > FIGURE_WIDTH))
            continue;
        reached = from + 2 * half + 3;
        figure_text(figure, type,
            up ? at(ruler->numbers - 6, place + 4) : at(place, ruler->numbers + 17), 0,
            axis_text(ticks[i], text));
    }
}

void rows_apart(double *rows, size_t count, double row, double top, double bottom)
{
    for (size_t i = 0; i < count; i++)
        rows[i] = fmax(rows[i], i > 0 ? rows[i - 1] + row : top);
    for (size_t i = count; i-- > 0;)
        rows[i] = fmin(rows[i], i + 1 < count ? rows[i + 1] - row : bottom);
}

double lean_reach(const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, double bearing, double most)
{
    double low = 0;
    double high = most;
    double size = most;
    for (int i = 0; i < 28 && low < most; i++, size = (low + high) / 2) {
        const struct perpend_slope lean = {size * sin(bearing), size * cos(bearing)};
        double ridge = 0;
        const bool kept = (isnan(goal->ridge) ||
                              perpend_ridge_facing(lean, cutter, facing, &ridge) == PERPEND_OK) &&
                          perpend_goal_kept(goal, ridge, lean);
        low = kept ? size : low;
        high = kept ? high : size;
    }
    return low;
}

enum ink ink_judged(const struct perpend_goal *goal, double ridge, struct perpend_slope lean)
{
    return !perpend_goal_is_set(goal)             ? INK_TEXT
           : perpend_goal_kept(goal, ridge, lean) ? INK_WITHIN
                                                  : INK_OVER;
}

/* Each line is cut where it leaves the shape, so that it prints sharp everywhere. */
void figure_hatch(
    struct figure *figure, enum ink ink, const struct spot *line, size_t count, double base)
{
    double top = base;
    for (size_t i = 0; i < count; i++)
        top = fmin(top, line[i].y);
    const double from = line[0].x;
    const double to = line[count - 1].x;
    double foot = from - (base - top) - HATCH / 2;
    while ((foot += HATCH) < to) {
        struct spot begun = at(0, 0);
        bool inside = false;
        for (size_t i = 0; i < count; i++) { /* a slant goes up by what it goes to the right */
            const struct spot here = at(line[i].x, base - (line[i].x - foot));
            const bool in = here.y <= base && here.y >= line[i].y;
            if (in && !inside)
                begun = here;
            if (inside && (!in || i + 1 == count))
                figure_line(
                    figure, pen(ink, 0.9), begun, at(line[i - 1].x, base - (line[i - 1].x - foot)));
            inside = in;
        }
    }
}

void plot_sides(struct figure *figure, struct spot centre, double back, double front, double side)
{
    const double x = centre.x;
    const double y = centre.y;
    figure_text(figure, centred(LETTER_STRONG, INK_TEXT), at(x, y - back), 0, "BACK");
    figure_text(figure, centred(LETTER_STRONG, INK_TEXT), at(x, y + front), 0, "FRONT");
    figure_text(figure, ending(LETTER_STRONG, INK_TEXT), at(x - side, y + 4), 0, "LEFT");
    figure_text(figure, starting(LETTER_STRONG, INK_TEXT), at(x + side, y + 4), 0, "RIGHT");
}

void plot_key(
    struct figure *figure, struct spot place, double wide, const struct key *keys, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const struct key *key = &keys[i];
        const struct spot middle = {place.x + KEY_SAMPLE / 2, place.y - 4};
        if (key->text == NULL)
            continue;
        if (key->style.fill != INK_NONE)
            figure_box(figure, key->style, (struct box){place.x, middle.y - 4, KEY_SAMPLE, 8});
        else if (key->style.line != INK_NONE)
            figure_line(
                figure, key->style, at(place.x, middle.y), at(place.x + KEY_SAMPLE, middle.y));
        else
            figure_marker(figure, key->marker, key->ink, middle, 3.2);
        figure_text(figure, starting(LETTER_SMALL, INK_TEXT), at(place.x + KEY_SAMPLE + 4, place.y),
            wide - KEY_SAMPLE - 4, key->text);
        place.y += KEY_ROW;
    }
}

void figure_say(struct figure *figure, const struct words *words, struct type type,
    struct spot spot, enum sentence sentence, const struct slot *slots)
{
    struct buffer text = {0};
    const double right = FIGURE_WIDTH - spot.x - 1;
    const double room = type.anchor == ANCHOR_END      ? spot.x - 1
                        : type.anchor == ANCHOR_MIDDLE ? 2 * fmin(right, spot.x - 1)
                                                       : right;
    fill(words, &text, sentences[sentence], slots);
    figure_text(figure, type, spot, room, buffer_text(&text));
    buffer_finish(&text);
}

void plot_describe(struct figure *figure, const struct words *words, enum sentence title,
    enum sentence text, const struct slot *slots)
{
    struct buffer named = {0};
    struct buffer described = {0};
    fill(words, &named, sentences[title], slots);
    fill(words, &described, sentences[text], slots);
    figure_describe(figure, buffer_text(&named), buffer_text(&described));
    buffer_finish(&named);
    buffer_finish(&described);
}
