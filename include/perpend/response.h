/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_RESPONSE_H
#define PERPEND_RESPONSE_H

/**
 * What the mount really gives: a 2 × 2 response, lean change obtained per lean change asked,
 * learned from each adjustment, but not from one that is too far from what was to be expected.
 */

#include <stdbool.h>

#include <perpend/geometry.h>
#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

/** No more is asked than so many times what the geometry alone would ask. */
#define PERPEND_RESPONSE_ASK_MOST 1.6

struct perpend_response {
    /* gain[i][j]: change obtained along i per change asked along j; 0 right, 1 back */
    double gain[2][2];
    double covariance[4][4]; /* of (gain00, gain01, gain10, gain11) */
};

/** What is known of a mount that was never adjusted: the identity with a standard deviation of 0.2
 *  an element, independent (common practice, no source; tried by simulation, docs/checks.md). */
struct perpend_response perpend_response_start(void);

/**
 * Let what was learned fade: gain and covariance go toward those of perpend_response_start, the
 * gain's distance from there to `keep` times what it was (0 forgets all, 1 nothing), the covariance
 * as one that is left to itself would.
 */
void perpend_response_fade(struct perpend_response *response, double keep);

/** What is kept from one job to the next. */
#define PERPEND_RESPONSE_KEEP_JOB 0.7

/** What an adjustment showed, for the words. */
enum perpend_outcome {
    PERPEND_OUTCOME_AS_ASKED,
    PERPEND_OUTCOME_PART,     /* sprang back in part on tightening */
    PERPEND_OUTCOME_OVER,     /* went farther than was asked */
    PERPEND_OUTCOME_SIDEWAYS, /* moved across what was asked, too */
    PERPEND_OUTCOME_SURPRISE /* too far from what was to be expected: not learned; one of the causes
                                 below, or really so */
};

/** The usual causes of a surprise: what was done, or what was read, is not what was told. */
enum perpend_cause {
    PERPEND_CAUSE_AMOUNT,   /* more or less went in */
    PERPEND_CAUSE_BOLT,     /* at another bolt, or a bolt still held */
    PERPEND_CAUSE_END,      /* at the other end, or the other way round */
    PERPEND_CAUSE_READINGS, /* one of the sweeps was misread */
    PERPEND_CAUSES
};

struct perpend_adjustment {
    struct perpend_slope asked;    /* by the ideal geometry of what was told */
    struct perpend_slope expected; /* of it, through the response as it was known */
    struct perpend_slope obtained; /* between the sweeps before and after */
    struct perpend_slope_covariance obtained_covariance; /* by both sweeps */
    double along;  /* obtained along the asked direction, as a share of what was asked */
    double across; /* obtained across it, as a share, + clockwise from above */
    double chance; /* of being as far from what was expected, or farther */
    enum perpend_outcome outcome; /* only what the uncertainty bears out */
};

/**
 * Learn from one adjustment. What is expected of it has the uncertainty of the response, of both
 * sweeps, and of one tightening beside the next. Beyond 99 in 100 it is a surprise: nothing is
 * learned, unless it is sure to be really so. Within it, the nearer the heavier (Student's t, four
 * degrees of freedom).
 *
 * Given:    asked       lean change by the ideal geometry of what was done
 *           obtained    lean change between the sweeps before and after
 *           covariance  of that, by both sweeps
 *           sure        somebody was asked, and it is really so
 * Returned: response    updated (unchanged when nothing was asked, and by a surprise)
 *           adjustment  what it showed; NULL when not wanted
 * Errors:   PERPEND_ERR_VALUE
 * Source:   docs/method.md, "Learning"
 */
enum perpend_status perpend_response_learn(struct perpend_response *response,
    struct perpend_slope asked, struct perpend_slope obtained,
    struct perpend_slope_covariance covariance, bool sure, struct perpend_adjustment *adjustment);

/**
 * The change to ask so that the response turns it into −lean: −G⁻¹ lean, with the singular values
 * of G raised so that no more than PERPEND_RESPONSE_ASK_MOST times the lean is asked
 * (docs/method.md, "Learning").
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
