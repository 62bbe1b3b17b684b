/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_DRIFT_H
#define PERPEND_DRIFT_H

/**
 * Drift between jobs: what was left last time against what is found today.
 */

#include <stdbool.h>

#include <perpend/geometry.h>
#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A difference less likely than this between two measurements of one lean is called drift. */
#define PERPEND_DRIFT_LEVEL 0.05

struct perpend_drift {
    struct perpend_slope change;                /* found − left, mm/mm */
    struct perpend_slope_covariance covariance; /* of the change */
    double size;                                /* of the change, mm/mm */
    double toward;                              /* bearing of the change, rad in [0, 2π) */
    double chi2; /* change' covariance⁻¹ change; infinite when there is a change along a direction
                    that has no uncertainty */
    double p;    /* chance of a chi2 this large or larger without any drift */
    bool beyond;      /* p < PERPEND_DRIFT_LEVEL: more than the uncertainties explain */
    double explained; /* largest change along `toward` that they would explain at that level,
                         mm/mm */
};

/**
 * Compare two measurements of one lean by the χ² of their difference, two degrees of freedom. The
 * two are taken as independent: what they share, such as the arm's length, cancels in the
 * difference, so that the uncertainty is if anything too large and a drift that is called is
 * one.
 *
 * Given:    left, left_covariance     what was left, mm/mm, (mm/mm)²
 *           found, found_covariance   what is found
 * Returned: drift
 * Errors:   PERPEND_ERR_VALUE (not finite, or a covariance that is not positive semi-definite)
 * Source:   JCGM 102:2011, 6.5.2 (coverage region of a bivariate quantity); for two degrees of
 *           freedom p = exp(−χ²/2) exactly.
 */
enum perpend_status perpend_drift_between(struct perpend_slope left,
    struct perpend_slope_covariance left_covariance, struct perpend_slope found,
    struct perpend_slope_covariance found_covariance, struct perpend_drift *drift);

#ifdef __cplusplus
}
#endif

#endif
