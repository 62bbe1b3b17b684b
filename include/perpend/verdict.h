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
    PERPEND_VERDICT_TOO_CLOSE,
    PERPEND_VERDICT_UNKNOWN /* lean and bed cannot be told apart, or a reading is in doubt */
};

/** "met", "not met", "too close", "unknown"; NULL for no goal. */
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
    struct perpend_goal goal; /* what is set of it > 0 */
};

/** What may settle it, each by itself. */
enum perpend_remedy_kind {
    PERPEND_REMEDY_SWEEPS, /* so many more sweeps like these, without touching the mount */
    PERPEND_REMEDY_STEP,   /* one sweep with a gauge of that step, mm */
    PERPEND_REMEDY_ARM,    /* one sweep with an arm that long, mm */
    PERPEND_REMEDY_PLATE,  /* one sweep on a piece of float glass or a ground plate */
    PERPEND_REMEDY_PLACES  /* on a bed as found: the same sweep at three corners of a square of that
                              side, mm, so that the bed's slope is better known */
};
#define PERPEND_REMEDIES (PERPEND_REMEDY_PLACES + 1)

struct perpend_remedy {
    enum perpend_remedy_kind kind;
    double value;  /* sweeps, or mm; 0 for the plate */
    double chance; /* that it settles the verdict, either way */
};

/**
 * Find what may settle a verdict: of each kind the least that settles it in 70 cases of 100, or else
 * the one that does most often. The truth is where the fit thinks it may be; what is measured then is
 * as far from it as that measurement would be unsure.
 *
 * Returned: remedies  PERPEND_REMEDIES at most, the surest first
 *           count
 * Errors:   as perpend_ridge_distribution and perpend_fit_readings
 * Source:   docs/method.md, "Verdict"
 */
enum perpend_status perpend_remedies_find(const struct perpend_remedy_question *question,
    struct perpend_remedy remedies[PERPEND_REMEDIES], size_t *count);

/** Before anyone starts: can this arm and gauge see this goal? */
struct perpend_means {
    double agree;            /* both pairs of opposite readings within this: `met`, the gauge's own
                                uncertainty allowed for, mm of gap; NAN when it is too large */
    double lean;             /* largest lean that keeps the goal, mm/mm */
    double lean_uncertainty; /* standard, of one sweep with this arm, gauge, bearings, mm/mm */
    bool fine_enough;        /* opposite readings one step apart would still mean `met` */
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
 *           goal      of ridge and lean; what is set > 0
 * Returned: means
 * Errors:   PERPEND_ERR_VALUE, and those of perpend_ridge_limits_for
 * Source:   docs/method.md, "Verdict"
 */
enum perpend_status perpend_means_for(const struct perpend_setup *setup, unsigned bearings,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, struct perpend_means *means);

#ifdef __cplusplus
}
#endif

#endif
