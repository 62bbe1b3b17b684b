/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include "draw/figures.h"
#include "draw/plot.h"
#include "text/escape.h"
#include "text/say.h"

#define ACROSS 78.0 /* px, half of the tip's round as it is seen: from the front and from above */
#define DEEP 38.0
#define EDGE 18.0    /* px that the bed reaches beyond it */
#define TALLEST 56.0 /* px, of a bar */
#define NAMED 8      /* readings at most, for each to get its number */
#define ROUND 72     /* parts of a turn */

/** The readings round the spindle as an arm takes them, upright over a bed that lies flat. */
struct compass {
    const struct perpend_machine *machine;
    const struct perpend_measurement *measurement;
    struct words words;
    struct spot centre;
    double base; /* reading that stands at the bed */
    double up;   /* px for each mm of reading */
    bool one_place;
};

/** Reading in the middle of a turn at a place: halfway between any two that face each other. */
static double middle_at(const struct compass *compass, double x, double y)
{
    const struct perpend_fit *fit = &compass->measurement->fit;
    const struct perpend_setup *setup = &compass->machine->setup;
    return (perpend_fit_predict(fit, setup, 0, x, y) +
               perpend_fit_predict(fit, setup, PERPEND_PI, x, y)) /
           2;
}

/** As the gauge read, or from the middle of its sweep where the carriage was moved. */
static double reading_value(const struct compass *compass, size_t i)
{
    const struct perpend_reading *reading = &compass->measurement->readings[i];
    return reading->value - (compass->one_place ? 0 : middle_at(compass, reading->x, reading->y));
}

static double fitted_value(const struct compass *compass, double bearing)
{
    const struct perpend_reading *first = &compass->measurement->readings[0];
    const double value = perpend_fit_predict(
        &compass->measurement->fit, &compass->machine->setup, bearing, first->x, first->y);
    return value - (compass->one_place ? 0 : middle_at(compass, first->x, first->y));
}

bool readings_at_one_place(const struct perpend_measurement *measurement)
{
    for (size_t i = 1; i < measurement->reading_count; i++)
        if (measurement->readings[i].x != measurement->readings[0].x ||
            measurement->readings[i].y != measurement->readings[0].y)
            return false;
    return true;
}

/** The bed at the bottom of the scale where that shows the differences, else a little below the
 *  lowest reading. */
static void choose_scale(struct compass *compass)
{
    double low = INFINITY;
    double high = -INFINITY;
    for (int i = 0; i < ROUND; i++) {
        const double value = fitted_value(compass, i * 2 * PERPEND_PI / ROUND);
        low = fmin(low, value);
        high = fmax(high, value);
    }
    for (size_t i = 0; i < compass->measurement->reading_count; i++) {
        low = fmin(low, reading_value(compass, i));
        high = fmax(high, reading_value(compass, i));
    }
    const double range = fmax(high - low, 4 * compass->machine->setup.gauge.step);
    compass->base = low >= 0 && low <= 2 * range ? 0 : low - range / 4;
    compass->up = TALLEST / fmax(high - compass->base, range);
}

static struct spot round_spot(const struct compass *compass, double bearing, double height)
{
    return at(compass->centre.x + ACROSS * sin(bearing),
        compass->centre.y - DEEP * cos(bearing) - height);
}

static double height_of(const struct compass *compass, double value)
{
    return compass->up * (value - compass->base);
}

/** A round as it is seen; `wider` than the tip's; at what the fit says, or on the bed. */
static void draw_round(struct figure *figure, const struct compass *compass, struct style style,
    double wider, bool fitted)
{
    struct spot spots[ROUND];
    for (int i = 0; i < ROUND; i++) {
        const double bearing = i * 2 * PERPEND_PI / ROUND;
        spots[i] = round_spot(
            compass, bearing, fitted ? height_of(compass, fitted_value(compass, bearing)) : 0);
        spots[i].x += wider * sin(bearing);
        spots[i].y -= wider / 2 * cos(bearing);
        if (fitted || wider > 0)
            figure_keep_round(figure, spots[i], 1.5);
    }
    figure_path(figure, style, spots, ROUND, true);
}

/** The bars of the readings at the back, or at the front. */
static void draw_bars(struct figure *figure, const struct compass *compass, bool front)
{
    const struct perpend_measurement *m = compass->measurement;
    const enum ink ink = ink_judged(&compass->machine->goal, m->ridge.height, m->fit.lean);
    const double wide = m->reading_count <= 16 ? 8 : 3;
    const struct style style = outlined(ink, ink == INK_OVER ? INK_PAPER : ink, 1.2);
    for (size_t i = 0; i < m->reading_count; i++) {
        const double bearing = m->readings[i].bearing;
        const double high = height_of(compass, reading_value(compass, i));
        const struct spot foot = round_spot(compass, bearing, 0);
        if ((cos(bearing) < -1e-9) != front)
            continue;
        const struct box bar = {foot.x - wide / 2, foot.y - high, wide, high};
        figure_box(figure, style, bar);
        figure_keep(figure, bar);
        if (perpend_fit_suspects(&m->fit, i))
            figure_circle(figure, pen(INK_TEXT, 1.4), at(foot.x, foot.y - high), 8);
    }
}

/** Outside the bed at a bearing, clear of the loop and the bars at the back. */
static struct spot outside(const struct compass *compass, double bearing)
{
    double high = height_of(compass, fitted_value(compass, bearing));
    for (size_t i = 0; i < compass->measurement->reading_count; i++)
        if (cos(compass->measurement->readings[i].bearing - bearing) > 0.9)
            high = fmax(high, height_of(compass, reading_value(compass, i)));
    const double loop = cos(bearing) > 0.5 ? fmax(0, high - EDGE / 2) : 0;
    return at(compass->centre.x + (ACROSS + EDGE + 7) * sin(bearing),
        compass->centre.y - (DEEP + EDGE / 2 + 9) * cos(bearing) - loop);
}

/** The sides' names, and the readings' numbers: at a side below its name, else beside the bar. */
static void draw_numbers(struct figure *figure, const struct compass *compass)
{
    static const char *const names[] = {"BACK", "RIGHT", "FRONT", "LEFT"};
    static const enum anchor anchors[] = {ANCHOR_MIDDLE, ANCHOR_START, ANCHOR_MIDDLE, ANCHOR_END};
    const struct perpend_measurement *m = compass->measurement;
    const struct box within = {1, 1, FIGURE_WIDTH - 2, figure->height - 2};
    bool told[4] = {false};
    for (int side = 0; side < 4; side++) {
        const struct spot spot = outside(compass, side * PERPEND_PI / 2);
        figure_text(figure, (struct type){LETTER_STRONG, INK_TEXT, anchors[side], false, false},
            at(spot.x, spot.y + (side == 0      ? -13
                                    : side == 2 ? 6
                                                : -3)),
            0, names[side]);
    }
    for (size_t i = 0; i < m->reading_count && m->reading_count <= NAMED; i++) {
        const double turns = m->readings[i].bearing / (PERPEND_PI / 2);
        const size_t side = (size_t)lround(turns) % 4;
        const struct spot spot = outside(compass, m->readings[i].bearing);
        struct buffer text = {0};
        words_reading(
            &compass->words, &text, reading_value(compass, i), compass->machine->setup.gauge.step);
        if (fabs(turns - round(turns)) < 1e-9 && !told[side]) {
            told[side] = true;
            figure_text(figure, (struct type){LETTER_STRONG, INK_TEXT, anchors[side], false, false},
                at(spot.x, spot.y + (side == 0      ? 2
                                        : side == 2 ? 21
                                                    : 12)),
                0, buffer_text(&text));
        } else {
            figure_label(
                figure, starting(LETTER_STRONG, INK_TEXT), spot, 3, within, buffer_text(&text));
        }
        buffer_finish(&text);
    }
}

static void describe(struct figure *figure, const struct compass *compass, const char *name)
{
    const struct perpend_measurement *m = compass->measurement;
    const double step = compass->machine->setup.gauge.step;
    const double turn = PERPEND_PI / 2;
    size_t worst = 0;
    for (size_t i = 1; i < m->reading_count; i++)
        if (fabs(m->residual[i]) > fabs(m->residual[worst]) + 1e-9) /* not by rounding alone */
            worst = i;
    char *lean = say_lean(compass->words.unit, &m->fit);
    plot_describe(figure, &compass->words, PICTURE_COMPASS_TITLE, PICTURE_COMPASS,
        SLOTS(SLOT_TEXT("sweeps", name),
            SLOT_TEXT("unit", words_unit_name(&compass->words, WORDS_LARGE)),
            SLOT_COUNT("count", m->reading_count), SLOT_IF("places", !compass->one_place),
            SLOT_TEXT("lean", lean), SLOT_IF("bed", m->fit.bed_separated),
            SLOT_READING("front_back",
                fabs(fitted_value(compass, 2 * turn) - fitted_value(compass, 0)), step),
            SLOT_READING("left_right",
                fabs(fitted_value(compass, turn) - fitted_value(compass, 3 * turn)), step),
            SLOT_ROUNDED("residual", WORDS_SMALL, m->residual[worst], step / 4),
            SLOT_BEARING("where", m->readings[worst].bearing),
            SLOT_IF("suspect", m->fit.suspect.index != PERPEND_FIT_NO_SUSPECT)));
    free(lean);
}

struct figure *figure_compass(const struct perpend_machine *machine,
    const struct perpend_measurement *measurement, const char *name)
{
    struct figure *figure = figure_create(FIGURE_WIDTH, 0);
    struct compass compass = {.machine = machine,
        .measurement = measurement,
        .words = {.unit = machine->unit},
        .centre = {FIGURE_WIDTH / 2, 0},
        .one_place = readings_at_one_place(measurement)};
    choose_scale(&compass);
    compass.centre.y = 28 - outside(&compass, 0).y; /* of the back's name */
    figure->height = compass.centre.y + DEEP + EDGE / 2 + 36;
    draw_round(figure, &compass, outlined(INK_SOFT, INK_BAND, 1), EDGE, false);
    draw_round(figure, &compass, broken(INK_SOFT, 1), 0, false);
    draw_bars(figure, &compass, false);
    draw_round(figure, &compass, pen(INK_TEXT, 1.3), 0, true);
    draw_bars(figure, &compass, true);
    draw_numbers(figure, &compass);
    describe(figure, &compass, name);
    return figure;
}
