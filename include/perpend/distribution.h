/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_DISTRIBUTION_H
#define PERPEND_DISTRIBUTION_H

/**
 * How sure the ridge is: the lean's distribution carried through the closed-form ridge (propagation
 * of distributions, JCGM 101:2008), with the points of a lattice in the place of random draws. The
 * same lean gives the same result every time.
 */

#include <perpend/geometry.h>
#include <perpend/ridge.h>
#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A lean that is distributed as bivariate t about the one found. */
struct perpend_uncertain_lean {
    struct perpend_slope lean;
    struct perpend_slope_covariance covariance;
    double dof; /* degrees of freedom, > 2; INFINITY: normal */
};

struct perpend_distribution {
    double mean;
    double deviation; /* standard uncertainty */
    double low, high; /* the shortest 95 % coverage interval (JCGM 101 5.3.4, 7.7.4): of a ridge,
                         which cannot be less than nothing, the probabilistically symmetric one
                         would never reach down to it */
    double chance;    /* that the goal is kept, all that is set of it; NAN when nothing is */
};

/**
 * The ridge's distribution.
 *
 * Given:    lean          as found
 *           cutter, facing
 *           goal          of ridge and lean
 * Returned: distribution  of the ridge, mm
 * Errors:   PERPEND_ERR_VALUE (also: covariance not positive semi-definite), PERPEND_ERR_MEMORY,
 *           PERPEND_ERR_STEPOVER
 * Source:   docs/method.md, "How sure the ridge is"
 */
enum perpend_status perpend_ridge_distribution(const struct perpend_uncertain_lean *lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, struct perpend_distribution *distribution);

#ifdef __cplusplus
}
#endif

#endif
