/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <perpend/units.h>

#include "core/propagate/goal_region.h"
#include "core/ridge/ridge_limits.h"
#include "core/ridge/ridge_profile.h"

bool goal_region_make(const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, struct goal_region *region)
{
    region->feed = ridge_feed(facing->both_ways ? PERPEND_ALONG_X : facing->along);
    for (int i = 0; i <= GOAL_REGION_STEPS; i++) {
        double across = (double)i / GOAL_REGION_STEPS, bearing = atan2(across, 1.0 - across);
        double lean = isnan(goal->ridge) ? goal->lean
                                         : ridge_lean_limit(cutter, facing, goal->ridge, bearing);
        if (isnan(lean))
            return false;
        region->bearing[i] = bearing;
        region->lean[i] = fmin(lean, goal->lean);
        region->one_over_sum[i] = hypot(across, 1.0 - across) / region->lean[i];
    }
    return true;
}

/* Whether a lean lies within. Along a straight edge 1/(along + across) runs evenly with
 across/(along + across), in which the corners are evenly spaced. */
static bool holds(const struct goal_region *region, struct perpend_slope lean)
{
    double along = fabs(lean.right * region->feed.right + lean.back * region->feed.back);
    double across = fabs(lean.right * region->feed.back - lean.back * region->feed.right);
    double sum = along + across, place = GOAL_REGION_STEPS * across;
    if (!(sum > 0.0))
        return true;
    place /= sum;
    int i = place < GOAL_REGION_STEPS ? (int)place : GOAL_REGION_STEPS - 1;
    const double *corner = &region->one_over_sum[i];
    return sum * (corner[0] + (place - i) * (corner[1] - corner[0])) <= 1.0;
}

double goal_region_share(const struct goal_region *region, struct perpend_slope middle,
    const struct perpend_slope *off, size_t count)
{
    size_t within = 0;
    for (size_t i = 0; i < count; i++)
        within += holds(
            region, (struct perpend_slope){middle.right + off[i].right, middle.back + off[i].back});
    return (double)within / (double)count;
}
