/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FIGURES_H
#define FIGURES_H

/**
 * The figures of perpend, each to be understood by itself: axes, units, a title and a description
 * that says in words what the eye sees. Release with figure_destroy.
 *
 * One meaning a signal in all of them: over the goal is orange and open or hatched, within the goal
 * blue and filled, the goal itself a thick line of ink.
 */

#include <perpend/job.h>
#include <perpend/machine.h>

#include "draw/figure.h"
#include "text/board.h"
#include "text/gets.h"

/** The readings of one measurement round the spindle, as bars, and the loop that the fit says. */
struct figure *figure_compass(const struct perpend_machine *machine,
    const struct perpend_measurement *measurement, const char *name);

/** Whether all readings were taken at one place of the carriage. */
bool readings_at_one_place(const struct perpend_measurement *measurement);

/** The lean on a round target, seen from above, measurement after measurement, with the goal's
 *  region and each one's 95 % region; and where the last one's plan leads, when that comes next. */
struct figure *figure_lean(
    const struct perpend_machine *machine, const struct perpend_solution *solution, bool planned);

/** A joint of the mount, seen square on, its bolts and what they got. */
struct figure *figure_mount(const struct perpend_machine *machine, size_t joint,
    const struct mount_work *work, bool planned);

/** The floor across the feed in section with the bit in it, as found and (when not NULL) as left or
 *  expected; below, the floor of the other feed. Where both feeds are judged, that which is worse
 *  for the lean measured last stands above. */
struct floor_lean {
    struct perpend_slope lean;
    const char *name; /* "as found", "after the plan" … */
    bool expected;    /* of a plan, not swept */
};
struct figure *figure_floor(const struct perpend_machine *machine, const struct floor_lean *found,
    const struct floor_lean *left);

/** An expected ridge with its 95 % interval, over a ruled scale with the goal on it; at least one. */
struct ridge_bar {
    const char *name;         /* "as found" … */
    double height, low, high; /* mm */
    enum ink ink;
    double goal; /* mm, as it was then; NAN: none */
};
struct figure *figure_scale(
    const struct perpend_machine *machine, const struct ridge_bar *bars, size_t count);

/** A board from above: how low it lies place by place, what the first pass cuts, where it was touched. */
struct figure *figure_board(const struct board_survey *board);

/** One job of the past, for the history: the ridge as found and as it was left, mm. */
struct past_ridge {
    double height, low, high; /* with its 95 % interval; NAN: not measured, not known */
};
struct past_job {
    struct perpend_moment date;
    struct past_ridge found, now;
    double goal; /* mm, as it was then; NAN: none */
};
#define HISTORY_MOST 24 /* jobs that a record tells of; the latest of more */
struct figure *figure_history(
    const struct perpend_machine *machine, const struct past_job *jobs, size_t count);

/** The chart for the wall, of one pair of opposite readings: the ridge over stepover and the
 *  difference that one reads on this arm, or without an arm the lean.
 *
 *  Given:    bearing  of one of the pair
 *            lean     today's share of it is marked; NULL: none */
struct figure *figure_chart(
    const struct perpend_machine *machine, double bearing, const struct perpend_slope *lean);

#endif
