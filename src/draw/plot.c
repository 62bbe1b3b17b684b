/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/status.h>
#include <perpend/units.h>

#include "draw/letters.h"
#include "draw/plot.h"

#define TICK_GAP 4.0    /* pt between an axis and its numbers */
#define KEY_SAMPLE 20.0 /* pt of line shown in a key */

/** Labels on an axis of such a step. */
static double labels_over(double low, double high, double step)
{
    return floor(high / step + 1e-9) - ceil(low / step - 1e-9) + 1;
}

struct axis axis_over(double low, double high, unsigned ticks)
{
    if (!isfinite(low) || !isfinite(high)) {
        low = 0;
        high = 1;
    }
    if (high - low < 1e-9 * fmax(1e-3, fmax(fabs(low), fabs(high)))) {
        const double apart = fmax(0.05 * fabs(low), 1e-3);
        low -= apart;
        high += apart;
    }
    double step = nice_below((high - low) / ticks);
    while ((high - low) / step > 1.3 * ticks)
        step = nice_below(step * 2.6);
    while (labels_over(low, high, step) < 2) /* one alone is no scale */
        step = nice_below(step * 0.9);
    return (struct axis){.low = low, .high = high, .step = step, .decimals = nice_decimals(step)};
}

void axis_round(struct axis *axis)
{
    axis->low = axis->step * floor(axis->low / axis->step + 1e-9);
    axis->high = axis->step * ceil(axis->high / axis->step - 1e-9);
}

double axis_at(const struct axis *axis, double value)
{
    return axis->from + (axis->to - axis->from) * (value - axis->low) / (axis->high - axis->low);
}

double lean_reach(const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    double height, double bearing, double most)
{
    double low = 0;
    double high = most;
    double size = most;
    for (int i = 0; i < 28 && low < most; i++, size = (low + high) / 2) {
        const struct perpend_slope lean = {size * sin(bearing), size * cos(bearing)};
        double ridge;
        const bool kept =
            perpend_ridge_facing(lean, cutter, facing, &ridge) == PERPEND_OK && ridge <= height;
        low = kept ? size : low;
        high = kept ? high : size;
    }
    return low;
}

static unsigned axis_ticks(const struct axis *axis)
{
    return (unsigned)fmax(0, labels_over(axis->low, axis->high, axis->step));
}

/** Value of a tick; the first is at or above the low end. */
static double tick_value(const struct axis *axis, unsigned tick)
{
    return axis->step * ceil(axis->low / axis->step - 1e-9) + tick * axis->step;
}

/** A tick's number. Value: text */
static const char *tick_text(const struct axis *axis, unsigned tick, char text[400])
{
    return perpend_number_format(text, 400, tick_value(axis, tick), axis->decimals);
}

double axis_room(const struct axis *axis)
{
    double room = 0;
    char text[400];
    for (unsigned i = 0; i < axis_ticks(axis); i++)
        room = fmax(room, text_width(LETTER_SMALL, tick_text(axis, i, text)));
    return room + TICK_GAP + 4; /* a minus is wider than a hyphen */
}

void plot_fit(struct plot *plot)
{
    plot->x.from = plot->area.x;
    plot->x.to = plot->area.x + plot->area.width;
    plot->y.from = plot->area.y + plot->area.height;
    plot->y.to = plot->area.y;
}

struct spot plot_spot(const struct plot *plot, double x, double y)
{
    return at(axis_at(&plot->x, x), axis_at(&plot->y, y));
}

/** What an axis shows and in which unit. */
static void axis_title(
    struct figure *figure, struct type type, struct spot spot, const char *name, const char *unit)
{
    struct buffer text = {0};
    buffer_addf(&text, "%s (%s)", name, unit);
    figure_text(figure, type, spot, 0, buffer_text(&text));
    buffer_finish(&text);
}

void plot_x_axis(struct figure *figure, const struct plot *plot, const char *name, const char *unit)
{
    const double bottom = plot->area.y + plot->area.height;
    char text[400];
    double reached = -INFINITY; /* numbers that would run into each other are left out */
    for (unsigned i = 0; i < axis_ticks(&plot->x); i++) {
        const double x = axis_at(&plot->x, tick_value(&plot->x, i));
        figure_line(figure, pen(INK_GRID, 0.7), at(x, bottom), at(x, plot->area.y));
        const double half = text_width(LETTER_SMALL, tick_text(&plot->x, i, text)) / 2 + 2;
        const double middle = fmin(fmax(x, half), FIGURE_WIDTH - half);
        if (middle - half < reached)
            continue;
        reached = middle + half + 4;
        figure_text(figure, centred(LETTER_SMALL, INK_SOFT), at(middle, bottom + 11.5), 0, text);
    }
    axis_title(figure, ending(LETTER_SMALL, INK_TEXT),
        at(plot->area.x + plot->area.width, bottom + 24), name, unit);
}

void plot_y_axis(struct figure *figure, const struct plot *plot, const char *name, const char *unit)
{
    const double left = plot->area.x;
    char text[400];
    for (unsigned i = 0; i < axis_ticks(&plot->y); i++) {
        const double y = axis_at(&plot->y, tick_value(&plot->y, i));
        figure_line(figure, pen(INK_GRID, 0.7), at(left, y), at(left + plot->area.width, y));
        figure_text(figure, ending(LETTER_SMALL, INK_SOFT), at(left - TICK_GAP, y + 3), 0,
            tick_text(&plot->y, i, text));
    }
    axis_title(figure, starting(LETTER_SMALL, INK_TEXT), at(1, plot->area.y - 9), name, unit);
}

void plot_frame(struct figure *figure, const struct plot *plot)
{
    const double bottom = plot->area.y + plot->area.height;
    const struct spot corner[3] = {{plot->area.x, plot->area.y}, {plot->area.x, bottom},
        {plot->area.x + plot->area.width, bottom}};
    figure_path(figure, pen(INK_SOFT, 0.9), corner, 3, false);
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

double plot_key(struct figure *figure, double top, const struct key *keys, size_t count)
{
    const double most = FIGURE_WIDTH - 2;
    double x = 1;
    double y = top;
    for (size_t i = 0; i < count; i++) {
        const struct key *key = &keys[i];
        const bool plain = key->style.line == INK_NONE && key->style.fill == INK_NONE;
        const double sample = plain ? 10 : KEY_SAMPLE;
        if (key->text == NULL)
            continue;
        const double wide = fmin(sample + 4 + text_width(LETTER_SMALL, key->text), most);
        if (x > 1 && x + wide > 1 + most) {
            x = 1;
            y += KEY_ROW;
        }
        const struct spot middle = {x + sample / 2, y - 3};
        if (key->style.fill != INK_NONE)
            figure_box(figure, key->style, (struct box){x, middle.y - 4, sample, 8});
        else if (!plain)
            figure_line(figure, key->style, at(x, middle.y), at(x + sample, middle.y));
        if (plain)
            figure_marker(figure, key->marker, key->ink, middle, 3.2);
        figure_text(figure, starting(LETTER_SMALL, INK_TEXT), at(x + sample + 4, y),
            most - sample - 4, key->text);
        x += wide + 12;
    }
    return y - top + KEY_ROW;
}

void figure_say(struct figure *figure, const struct words *words, struct type type,
    struct spot spot, enum sentence sentence, const struct slot *slots)
{
    struct buffer text = {0};
    const double room = type.anchor == ANCHOR_END ? spot.x - 1 : FIGURE_WIDTH - spot.x - 1;
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
