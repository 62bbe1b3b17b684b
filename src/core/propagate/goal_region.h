/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GOAL_REGION_H
#define GOAL_REGION_H

/**
 * The leans that keep a goal, as a polygon about the upright spindle: whichever way a spindle leans, the
 * ridge never falls as it leans more. The chance of a goal is the share of a distribution in there, so
 * that many chances need no ridge but those of the corners.
 */

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include <perpend/geometry.h>
#include <perpend/ridge.h>

#define GOAL_REGION_STEPS 48 /* in a quarter turn */

/** One quarter, from along the feed to across it: what lies beyond is its mirror image. */
struct goal_region {
    struct perpend_slope feed;             /* a unit vector; along X for a facing both ways */
    double bearing[GOAL_REGION_STEPS + 1]; /* of a corner, counted from the feed, rad */
    double lean[GOAL_REGION_STEPS + 1];    /* there the largest that keeps the goal, mm/mm */
    double one_over_sum[GOAL_REGION_STEPS +
                        1]; /* 1 over its parts along the feed and across, summed */
};

/** Given: valid cutter and facing, a goal that is set. False when not even an upright spindle keeps it. */
bool goal_region_make(const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, struct goal_region *region);

/** Share of the leans middle + off[0], middle + off[1] … that lie within. */
double goal_region_share(const struct goal_region *region, struct perpend_slope middle,
    const struct perpend_slope *off, size_t count);

#endif
