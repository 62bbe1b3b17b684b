/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLOT_H
#define PLOT_H

/** Axes, keys and words that the figures share. */

#include <perpend/ridge.h>

#include "draw/figure.h"
#include "text/sentences.h"

#define FIGURE_WIDTH 330.0 /* px: half a page, or a telephone's screen */

/** One axis: values from `low` to `high` stand between `from` and `to` on the sheet, px. */
struct axis {
    double low, high;
    bool log; /* equal ratios are equally far apart; then low > 0 */
    double from, to;
};

/** Where a value stands, px. */
double axis_at(const struct axis *axis, double value);

/** Values to write at an axis: 1, 2 or 5 times a power of ten apart, about `wanted` of them; of a log
 *  one 1, 2 and 5 times every power. Value: their number, at most AXIS_TICKS_MOST. */
#define AXIS_TICKS_MOST 24
size_t axis_ticks(const struct axis *axis, unsigned wanted, double ticks[AXIS_TICKS_MOST]);

/** A value with the decimals that it needs, "0.05". Value: text. */
#define AXIS_TEXT 400
const char *axis_text(double value, char text[AXIS_TEXT]);

/** The lines and numbers of an axis, in the unit that people see; a number that would run into the
 *  one before is left out. */
struct ruler {
    struct axis axis; /* mm or mm/mm */
    enum words_kind kind;
    bool up;             /* it stands; else it lies */
    double numbers, end; /* where the numbers stand, and to where lines run from there, px */
    enum letter letter;
    enum ink ink;
};
void plot_ruler(struct figure *figure, const struct words *words, const struct ruler *ruler);

/** Push rows apart, each at least `row` px below the one before, within `top` and `bottom`. */
void rows_apart(double *rows, size_t count, double row, double top, double bottom);

/** The largest lean toward a bearing, up to `most`, that keeps a goal. */
double lean_reach(const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, double bearing, double most);

/** The ink of a measurement: over or within what is set of a goal. */
enum ink ink_judged(const struct perpend_goal *goal, double ridge, struct perpend_slope lean);

/** Slanting lines over a shape: what is over the goal, in print without colour as well. The shape
 *  hangs from `line`, left to right, down to `base`. */
void figure_hatch(
    struct figure *figure, enum ink ink, const struct spot *line, size_t count, double base);

/** BACK, FRONT, LEFT and RIGHT round a place, so far from it. */
void plot_sides(struct figure *figure, struct spot centre, double back, double front, double side);

/** One entry of a key: a line or a surface, or without either a marker; and its words. */
struct key {
    const char *text; /* NULL: not shown */
    struct style style;
    enum marker marker;
    enum ink ink; /* the marker's */
};

/** A sentence as a text of a figure, cut at its edge. */
void figure_say(struct figure *figure, const struct words *words, struct type type,
    struct spot spot, enum sentence sentence, const struct slot *slots);

/** Name and describe a figure by two sentences with the same slots. */
void plot_describe(struct figure *figure, const struct words *words, enum sentence title,
    enum sentence text, const struct slot *slots);

/** Entries one below the other, the first's baseline at `place`. */
void plot_key(
    struct figure *figure, struct spot place, double wide, const struct key *keys, size_t count);

#endif
