/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_RESPONSE_H
#define PERPEND_RESPONSE_H

/**
 * What the mount really gives: a 2 × 2 response, lean change obtained per lean change asked,
 * learned from each adjustment by the linear Gaussian (Kalman) update.
 */

#include <stdbool.h>

#include <perpend/geometry.h>
#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

#define PERPEND_RESPONSE_PRIOR_DEVIATION 0.3

/** How far a mount settles by itself when its bolts are tightened: standard deviation, mm/mm per
 *  axis; added to the covariances of the sweeps. Common practice, no source. */
#define PERPEND_RESPONSE_SETTLING 5e-5

struct perpend_response {
    /* gain[i][j]: change obtained along i per change asked along j; 0 right, 1 back */
    double gain[2][2];
    double covariance[4][4]; /* of (gain00, gain01, gain10, gain11) */
};

/** The identity with a standard deviation of 0.3 per element, independent. */
struct perpend_response perpend_response_start(void);

/** What an adjustment showed, for the words. */
enum perpend_outcome {
    PERPEND_OUTCOME_AS_ASKED,
    PERPEND_OUTCOME_NOTHING,   /* nothing that shows: look for a bolt that still holds */
    PERPEND_OUTCOME_WRONG_WAY, /* went the other way: was the shim put at the other end? */
    PERPEND_OUTCOME_PART,      /* gave back part of it on tightening */
    PERPEND_OUTCOME_OVER,      /* gave more than was asked */
    PERPEND_OUTCOME_SIDEWAYS   /* moved across what was asked, too */
};

struct perpend_adjustment {
    struct perpend_slope asked;
    struct perpend_slope obtained;
    struct perpend_slope_covariance obtained_covariance;
    double along;  /* obtained along the asked direction, as a share of what was asked */
    double across; /* obtained across it, as a share, + clockwise from above */
    enum perpend_outcome outcome; /* only what the uncertainty bears out */
};

/**
 * Learn from one adjustment. One that did nothing or went the wrong way is a slip of the hands, not
 * the mount's way: it is named, and nothing is learned from it.
 *
 * Given:    asked       lean change by the ideal geometry of what was done
 *           obtained    lean change between the sweeps before and after
 *           covariance  of that, by both sweeps
 * Returned: response    updated (unchanged when nothing was asked, and by a slip)
 *           adjustment  what it showed; NULL when not wanted
 * Errors:   PERPEND_ERR_VALUE
 */
enum perpend_status perpend_response_learn(struct perpend_response *response,
    struct perpend_slope asked, struct perpend_slope obtained,
    struct perpend_slope_covariance covariance, struct perpend_adjustment *adjustment);

/**
 * The change to ask so that the response turns it into −lean: −G⁻¹ lean, with the singular values
 * of G raised to 0.25 at least, so that no more than four times the lean is asked (docs/method.md,
 * "Learning").
 */
struct perpend_slope perpend_response_ask(
    const struct perpend_response *response, struct perpend_slope lean);

/** The change to expect from a change asked: G asked. */
struct perpend_slope perpend_response_expect(
    const struct perpend_response *response, struct perpend_slope asked);

#ifdef __cplusplus
}
#endif

#endif
