/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_VERDICT_H
#define PERPEND_VERDICT_H

/**
 * Is it good enough, and if that is too close to call, what would settle it (JCGM 106:2012).
 */

#include <stdbool.h>

#include <perpend/distribution.h>
#include <perpend/fit.h>
#include <perpend/ridge.h>
#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

/** How sure a verdict is. */
#define PERPEND_VERDICT_SURE 0.95

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

/** A measurement whose verdict is too close. */
struct perpend_remedy_question {
    const struct perpend_reading *readings;
    size_t count;
    const struct perpend_setup *setup;
    const struct perpend_fit *fit;
    const struct perpend_cutter *cutter;
    const struct perpend_facing *facing;
    double goal; /* mm, > 0 */
};

/**
 * What would settle it, each by itself. Computed: readings as they would be if the answer found were
 * the truth go through the fit as often, with that gauge or that arm; the covariance that the fit
 * gives them, and what Birge's ratio widened it by this time (which no finer gauge takes away), go
 * through the ridge again, with the estimate as it stands.
 */
struct perpend_remedy {
    bool by_repeats;
    unsigned repeats; /* sweeps in all like the last one, 2 to 64; 0 when that does not settle it */
    bool by_step;
    double step; /* gauge step, mm, the largest of 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001 that
                    is finer than today's and settles it; NAN when none does */
    bool by_arm;
    double arm; /* arm length, mm, a multiple of 5 mm, at most 500; NAN when that does not */
};

/**
 * Find what would settle a verdict.
 *
 * Errors:   as perpend_ridge_distribution and perpend_fit_readings
 */
enum perpend_status perpend_remedy_find(
    const struct perpend_remedy_question *question, struct perpend_remedy *remedy);

/** Before anyone starts: can this arm and gauge see this goal? */
struct perpend_means {
    double agree;            /* opposite readings must agree within this, mm of gap: 2 R × lean */
    double lean;             /* largest lean that keeps the goal, mm/mm */
    double lean_uncertainty; /* standard, of one sweep with this arm, gauge, bearings, mm/mm */
    bool fine_enough;        /* a spindle found upright would get `met` */
    double step_needed;      /* largest gauge step with which it would, with this arm, mm; NAN if
                                none */
    double arm_needed; /* shortest arm with which it would, with this gauge, mm; NAN if none */
};

/**
 * Ask that before anything is read.
 *
 * Given:    setup     arm, its length stated, and gauge, its step stated
 *           bearings  readings in one sweep, equally spaced, ≥ 3
 *           cutter, facing
 *           goal      mm, > 0
 * Returned: means
 * Errors:   PERPEND_ERR_VALUE, and those of perpend_ridge_limits_for
 * Source:   docs/method.md, "Verdict"
 */
enum perpend_status perpend_means_for(const struct perpend_setup *setup, unsigned bearings,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal,
    struct perpend_means *means);

#ifdef __cplusplus
}
#endif

#endif
