/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_TRIALS_H
#define PERPEND_TRIALS_H

/**
 * Monte Carlo propagation of distributions (JCGM 101:2008): seeded, adaptive (7.9), the same result
 * to the last bit whatever the number of threads.
 */

#include <stddef.h>
#include <stdint.h>

#include <perpend/geometry.h>
#include <perpend/ridge.h>
#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

struct perpend_trials_options {
    uint64_t seed;    /* the same seed gives the same result */
    unsigned threads; /* 0: as many as there are processors */
    size_t most;      /* never more trials than this, ≥ 10000 */
    size_t exactly;   /* when not 0: just so many trials, ≥ 20, not adaptive */
    int digits;       /* significant digits to be stable to (JCGM 101 7.9.2), 1 or 2 */
};

/** The usual options: seed 1, all processors, at most 1 000 000 trials, two digits. */
struct perpend_trials_options perpend_trials_defaults(void);

struct perpend_distribution {
    size_t trials;
    double mean;
    double deviation; /* standard uncertainty */
    double low, high; /* the shortest 95 % coverage interval (JCGM 101 5.3.4, 7.7.4): of a ridge,
                         which cannot be less than nothing, the probabilistically symmetric one
                         would never reach down to it */
    double chance;    /* share of the trials at or under the limit; NAN without a limit */
};

/**
 * The ridge's distribution: leans drawn from the bivariate normal of the fit (JCGM 101 6.4.8), each
 * carried through the closed-form ridge.
 *
 * Given:    lean, covariance   of the fit, mm/mm, (mm/mm)²
 *           cutter, facing
 *           goal               mm, or NAN
 *           options            NULL for the defaults
 * Returned: distribution       of the ridge, mm; `chance` that it is at or under the goal
 * Errors:   PERPEND_ERR_VALUE (also: covariance not positive semi-definite, options out of range),
 *           PERPEND_ERR_MEMORY,
 *           PERPEND_ERR_STEPOVER
 */
enum perpend_status perpend_trials_ridge(struct perpend_slope lean,
    struct perpend_slope_covariance covariance, const struct perpend_cutter *cutter,
    const struct perpend_facing *facing, double goal, const struct perpend_trials_options *options,
    struct perpend_distribution *distribution);

/** A stream of random numbers handed to a model; draw from it with the two functions below. */
struct perpend_stream;
double perpend_stream_normal(struct perpend_stream *stream);  /* mean 0, standard deviation 1 */
double perpend_stream_uniform(struct perpend_stream *stream); /* in (0, 1) */

/** One trial of a model: draw its inputs from the stream, return its output. Called from several
 *  threads at a time, so that it may only read the context. */
typedef double perpend_model(struct perpend_stream *stream, const void *context);

/**
 * Any model, for checks against published figures.
 *
 * Given:    model, context
 *           limit         in the model's unit; NAN: none
 *           options       NULL for the defaults
 * Returned: distribution  in the model's unit
 * Errors:   PERPEND_ERR_VALUE (an output that is not finite, options out of range),
 *           PERPEND_ERR_MEMORY
 */
enum perpend_status perpend_trials_model(perpend_model *model, const void *context, double limit,
    const struct perpend_trials_options *options, struct perpend_distribution *distribution);

#ifdef __cplusplus
}
#endif

#endif
