/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/units.h>

#include "draw/plot.h"

#define TICK_GAP 4.0    /* pt between an axis and its numbers */
#define KEY_SAMPLE 20.0 /* pt of line shown in a key */

double nice_below(double value)
{
    const double power = pow(10, floor(log10(value)));
    const double lead = value / power * (1 + 1e-9);
    return power * (lead >= 5 ? 5 : lead >= 2 ? 2 : 1);
}

int nice_decimals(double step)
{
    const int decimals = (int)-floor(log10(step) + 1e-9);
    return decimals < 0 ? 0 : decimals > 9 ? 9 : decimals;
}

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

/** First tick at or above the low end. */
static double axis_first(const struct axis *axis)
{
    return axis->step * ceil(axis->low / axis->step - 1e-9);
}

static unsigned axis_ticks(const struct axis *axis)
{
    const double span = (axis->high - axis_first(axis)) / axis->step;
    return span < -1e-9 ? 0 : (unsigned)(floor(span + 1e-9) + 1);
}

static void tick_text(const struct axis *axis, unsigned tick, char *text, size_t size)
{
    char digits[48];
    perpend_number_format(
        digits, sizeof digits, axis_first(axis) + tick * axis->step, axis->decimals);
    g_snprintf(text, size, "%s%s", digits[0] == '-' ? "−" : "", digits + (digits[0] == '-'));
}

double axis_room(const struct figure *figure, const struct axis *axis)
{
    double room = 0;
    char text[64];
    for (unsigned i = 0; i < axis_ticks(axis); i++) {
        tick_text(axis, i, text, sizeof text);
        room = fmax(room, figure_measure(figure, LETTER_SMALL, text));
    }
    return room + TICK_GAP + 1;
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
    return (struct spot){axis_at(&plot->x, x), axis_at(&plot->y, y)};
}

static const struct style grid = {.line = INK_GRID, .width = 0.7};

void plot_x_axis(struct figure *figure, const struct plot *plot, const char *title)
{
    const double bottom = plot->area.y + plot->area.height;
    char text[64];
    double reached = -INFINITY; /* numbers that would run into each other are left out */
    for (unsigned i = 0; i < axis_ticks(&plot->x); i++) {
        const double x = axis_at(&plot->x, axis_first(&plot->x) + i * plot->x.step);
        figure_line(figure, grid, (struct spot){x, bottom}, (struct spot){x, plot->area.y});
        tick_text(&plot->x, i, text, sizeof text);
        const double half = figure_measure(figure, LETTER_SMALL, text) / 2;
        const double middle = fmin(fmax(x, half), figure_width(figure) - half);
        if (middle - half < reached)
            continue;
        reached = middle + half + 6;
        figure_text(figure, LETTER_SMALL, INK_SOFT, ANCHOR_MIDDLE,
            (struct spot){middle, bottom + 11.5}, 0, text);
    }
    figure_text(figure, LETTER_SMALL, INK_TEXT, ANCHOR_END,
        (struct spot){plot->area.x + plot->area.width, bottom + 24}, plot->area.width, title);
}

void plot_y_axis(struct figure *figure, const struct plot *plot, const char *title)
{
    char text[64];
    for (unsigned i = 0; i < axis_ticks(&plot->y); i++) {
        const double y = axis_at(&plot->y, axis_first(&plot->y) + i * plot->y.step);
        figure_line(figure, grid, (struct spot){plot->area.x, y},
            (struct spot){plot->area.x + plot->area.width, y});
        tick_text(&plot->y, i, text, sizeof text);
        figure_text(figure, LETTER_SMALL, INK_SOFT, ANCHOR_END,
            (struct spot){plot->area.x - TICK_GAP, y + 3}, 0, text);
    }
    figure_text(figure, LETTER_SMALL, INK_TEXT, ANCHOR_START, (struct spot){1, plot->area.y - 9},
        figure_width(figure) - 2, title);
}

void plot_frame(struct figure *figure, const struct plot *plot)
{
    const struct style line = {.line = INK_SOFT, .width = 0.9};
    const double bottom = plot->area.y + plot->area.height;
    const struct spot corner[3] = {{plot->area.x, plot->area.y}, {plot->area.x, bottom},
        {plot->area.x + plot->area.width, bottom}};
    figure_path(figure, line, corner, 3, false);
}

double plot_key(
    struct figure *figure, struct spot at, double most, const struct key *keys, size_t count)
{
    double x = at.x;
    double y = at.y;
    for (size_t i = 0; i < count; i++) {
        const struct key *key = &keys[i];
        const double sample =
            key->style.line == INK_NONE && key->style.fill == INK_NONE ? 10 : KEY_SAMPLE;
        const double wide =
            fmin(sample + 4 + figure_measure(figure, LETTER_SMALL, key->text), most);
        if (x > at.x && x + wide > at.x + most) {
            x = at.x;
            y += KEY_ROW;
        }
        const double middle = y - 3;
        if (key->style.fill != INK_NONE)
            figure_box(figure, key->style, (struct box){x, middle - 4, sample, 8});
        else if (key->style.line != INK_NONE)
            figure_line(
                figure, key->style, (struct spot){x, middle}, (struct spot){x + sample, middle});
        if (key->marked)
            figure_marker(
                figure, key->marker, key->ink, (struct spot){x + sample / 2, middle}, 3.2);
        figure_text(figure, LETTER_SMALL, INK_TEXT, ANCHOR_START, (struct spot){x + sample + 4, y},
            most - sample - 4, key->text);
        x += wide + 14;
    }
    return y - at.y + KEY_ROW;
}
