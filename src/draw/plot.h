/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLOT_H
#define PLOT_H

/** Axes, frames and keys that the figures share. */

#define FIGURE_WIDTH 330.0 /* pt; 12 cm, or the width of a telephone */

#include <perpend/ridge.h>

#include "draw/figure.h"
#include "text/sentences.h"

/** One axis: values from `low` to `high` stand between `from` and `to` on the sheet. */
struct axis {
    double low, high;
    double step;     /* between ticks: 1, 2 or 5 times a power of ten, or as given */
    int decimals;    /* of the ticks' numbers */
    double from, to; /* pt */
};

/**
 * An axis that covers low … high with about `ticks` ticks. Ends that are equal or not finite are
 * drawn apart.
 */
struct axis axis_over(double low, double high, unsigned ticks);

/** Widen the axis to whole steps. */
void axis_round(struct axis *axis);

/** Where a value stands, pt. */
double axis_at(const struct axis *axis, double value);

struct plot {
    struct box area;
    struct axis x, y;
};

/** The largest lean toward a bearing, up to `most`, with which the ridge is no higher than that. */
double lean_reach(const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    double height, double bearing, double most);

/** Room that the numbers of a vertical axis want at its left, pt. */
double axis_room(const struct axis *axis);

/** Set the axes' ends to the area's edges. */
void plot_fit(struct plot *plot);

/** Where a point stands. */
struct spot plot_spot(const struct plot *plot, double x, double y);

/** Grid lines and numbers; what is shown, and its unit, at an end. */
void plot_x_axis(
    struct figure *figure, const struct plot *plot, const char *name, const char *unit);
void plot_y_axis(
    struct figure *figure, const struct plot *plot, const char *name, const char *unit);

/** The frame: a line along the bottom and the left. */
void plot_frame(struct figure *figure, const struct plot *plot);

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

/** Entries side by side, the first row's baseline at `top`, as many rows as need be. Value: height
 *  used, pt. */
double plot_key(struct figure *figure, double top, const struct key *keys, size_t count);

/** Distance from one row of a key to the next, pt. */
#define KEY_ROW 14.0

#endif
