/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_CUT_H
#define PERPEND_CUT_H

/**
 * The test cut: the lean from two passes cut side by side, without an arm that turns. The gauge is
 * carried over the line between the passes, and the floor touched on either side of it. The step is
 * measured against the machine's own travel, so that the bed's slope is not in it: with a sweep on a
 * bed as found it tells lean and slope apart.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/fit.h>
#include <perpend/geometry.h>
#include <perpend/ridge.h>
#include <perpend/status.h>
#include <perpend/sweep.h>

#ifdef __cplusplus
extern "C" {
#endif

/** How it is cut and where it is touched; NAN: as usual for the bit. */
struct perpend_cut {
    double stepover; /* from one pass to the next, mm */
    double apart;    /* the two places touched, half on either side of the line, mm */
};

/** Standard uncertainty of either place, mm: a ruler (common practice, no source). */
#define PERPEND_CUT_PLACE 0.5

/** One step, read. */
struct perpend_cut_reading {
    double higher; /* bearing of the side that is higher, rad; passes along X have front and back */
    double step;   /* how much higher, mm, as the gauge shows it */
};

/**
 * What is not stated filled in: passes a twentieth of the bit's width over one another; places a quarter
 * of it apart, clear of what both passes cut and of the rounded corners.
 *
 * Value:    with both numbers
 */
struct perpend_cut perpend_cut_usual(struct perpend_cut cut, const struct perpend_cutter *cutter);

/**
 * How far apart on one pass the places touched would be, mm: the step over the lean, to first order. NAN
 * where a step tells nothing: the places are not clear of what both passes cut, or not under the
 * flat of the bit.
 */
double perpend_cut_lever(struct perpend_cut cut, const struct perpend_cutter *cutter);

/**
 * The step that a lean leaves.
 *
 * Given:    lean, cutter, cut
 *           higher   bearing of the side that counts as the higher one, rad
 * Returned: step     mm; less than nothing when it is the lower one
 * Errors:   PERPEND_ERR_VALUE
 * Source:   docs/method.md, "The test cut"
 */
enum perpend_status perpend_cut_step(struct perpend_slope lean, const struct perpend_cutter *cutter,
    struct perpend_cut cut, double higher, double *step);

/** A measurement with a test cut. */
struct perpend_cut_question {
    const struct perpend_reading *readings; /* of the arm, from which its fit came */
    size_t count;                           /* 0: there is only the cut */
    double *residual;                       /* of those readings: put right */
    const struct perpend_cut_reading *steps;
    size_t step_count; /* > 0 */
    const struct perpend_setup *setup;
    const struct perpend_cutter *cutter;
    struct perpend_cut cut;
};

/** What a test cut says by itself and beside the arm. */
struct perpend_cut_fit {
    size_t steps;               /* 0: there is none */
    bool joined;                /* false: one way only, which on a bed as found tells nothing */
    bool both_ways;             /* passes along X and along Y: `alone` holds */
    struct perpend_slope alone; /* the lean by the cut */
    bool by_arm;                /* the arm tells the lean by itself: `arm` holds */
    struct perpend_slope arm;
    double chi2; /* of the steps against the arm, or against one another */
    int dof;     /* of it */
    bool off;    /* one chance in 100 or less that the uncertainties explain it */
};

/**
 * Join a test cut to the fit of the arm's readings: the sum of what both know of the lean, by least
 * squares, at the arm's scale. Waves, bed, the arm's length and how it is turned do not act on a step.
 *
 * Given:    fit   of the arm; looked at when asked->count > 0
 * Returned: fit   lean, bed and height of both, the rest of it as of the arm; of a cut alone, of that.
 *                 Untouched when the cut is not joined
 *           cut
 * Errors:   PERPEND_ERR_VALUE, PERPEND_ERR_MEMORY, PERPEND_ERR_CONVERGE; PERPEND_ERR_UNDETERMINED for a
 *           cut one way and nothing else: fit->need says which way it lacks
 * Source:   docs/method.md, "The test cut"
 */
enum perpend_status perpend_cut_join(
    const struct perpend_cut_question *asked, struct perpend_fit *fit, struct perpend_cut_fit *cut);

#ifdef __cplusplus
}
#endif

#endif
