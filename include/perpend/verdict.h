/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_VERDICT_H
#define PERPEND_VERDICT_H

/**
 * Is it good enough, and if that is too close to call, what would settle it (JCGM 106:2012).
 */

#include <stdbool.h>

#include <perpend/fit.h>
#include <perpend/ridge.h>
#include <perpend/trials.h>

#ifdef __cplusplus
extern "C" {
#endif

enum perpend_verdict {
    PERPEND_VERDICT_NO_GOAL,
    PERPEND_VERDICT_MET,     /* chance ≥ 95 % */
    PERPEND_VERDICT_NOT_MET, /* chance ≤ 5 % */
    PERPEND_VERDICT_TOO_CLOSE
};

/** "met", "not met", "too close"; NULL for no goal. */
const char *perpend_verdict_text(enum perpend_verdict verdict);

/** The verdict for a chance of conformity; NAN is no goal. */
enum perpend_verdict perpend_verdict_for(double chance);

/**
 * Chance that a normally distributed quantity is at or under a limit: Φ((limit − estimate)/u).
 * Source: JCGM 106:2012, 7.
 */
double perpend_conformity(double estimate, double uncertainty, double limit);

/** What would settle a verdict that is too close, each by itself; computed by scaling the
 *  covariance's parts and asking the chance again, with the estimate as it stands. */
struct perpend_settle {
    bool by_repeats;
    unsigned repeats; /* sweeps in all like the last one, 2 to 64 */
    bool by_step;
    double step; /* gauge step, mm, the largest of 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001 */
    bool by_arm;
    double arm; /* arm length, mm, rounded up to 5 mm, at most 500 */
};

/**
 * Given:    readings, count, setup, fit  the measurement
 *           cutter, facing, goal
 * Returned: settle
 * Errors:   as perpend_trials_ridge
 */
int perpend_settle_for(const struct perpend_reading *readings, size_t count,
    const struct perpend_setup *setup, const struct perpend_fit *fit,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal,
    const struct perpend_trials_options *options, struct perpend_settle *settle);

/** Before anyone starts: can this arm and gauge see this goal? */
struct perpend_means {
    double agree;            /* opposite readings must agree within this, mm of gap: 2 R × lean */
    double lean;             /* largest lean that keeps the goal, mm/mm */
    double lean_uncertainty; /* standard, of one sweep with this arm, gauge, bearings, mm/mm */
    bool fine_enough;        /* a true lean of zero would be found `met` */
    double step_needed;      /* largest gauge step that would be, with this arm, mm; NAN if none */
    double arm_needed;       /* shortest arm that would be, with this gauge, mm; NAN if none */
};

/**
 * Given:    bearings  readings in one sweep, equally spaced, ≥ 3
 */
int perpend_means_for(const struct perpend_setup *setup, unsigned bearings,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal,
    struct perpend_means *means);

#ifdef __cplusplus
}
#endif

#endif
