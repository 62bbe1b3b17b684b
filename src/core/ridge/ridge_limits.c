/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/ridge.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "core/ridge/ridge_limits.h"
#include "core/ridge/ridge_profile.h"
#include "core/ridge/ridge_search.h"

#define BEARING_STEPS 24

struct limit_search {
    const struct perpend_cutter *cutter;
    struct perpend_facing facing;
    struct perpend_slope lean;
    double size;    /* of the lean in hand */
    double bearing; /* of the lean from the feed's, rad; NAN: the worst */
    double goal;
};

static double facing_height(const struct limit_search *search, struct perpend_slope lean)
{
    double height;
    if (perpend_ridge_facing(lean, search->cutter, &search->facing, &height) != PERPEND_OK)
        return INFINITY; /* standing stripes keep no goal */
    return height;
}

static struct perpend_slope lean_at(const struct limit_search *search, double bearing)
{
    double toward = bearing + (search->facing.both_ways ? PERPEND_ALONG_X : search->facing.along);
    return (struct perpend_slope){search->size * sin(toward), search->size * cos(toward)};
}

static double minus_height(double bearing, const void *context)
{
    const struct limit_search *search = context;
    return -facing_height(search, lean_at(search, bearing));
}

/* Ridge less goal for a lean of that size toward the search's bearing. A quarter turn holds every
   case: turning the lean about or mirroring it in the feed leaves the ridge as it is. */
static double lean_excess(double size, const void *context)
{
    struct limit_search search = *(const struct limit_search *)context;
    search.size = size;
    double height;
    if (isnan(search.bearing))
        height = -search_least(minus_height, &search, 0.0, PERPEND_PI / 2.0, BEARING_STEPS, NULL);
    else
        height = facing_height(&search, lean_at(&search, search.bearing));
    /* stripes: something finite and surely over the goal, so that the search can go on */
    return isinf(height) ? search.goal : height - search.goal;
}

static double lean_limit(struct limit_search *search, double bearing)
{
    search->bearing = bearing;
    double at_none = lean_excess(0.0, search), at_most = lean_excess(RIDGE_MOST_LEAN, search);
    if (at_none > 0.0)
        return NAN;
    if (at_most <= 0.0)
        return RIDGE_MOST_LEAN;
    return search_root(lean_excess, search, 0.0, RIDGE_MOST_LEAN, at_none, at_most);
}

double ridge_lean_limit(const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    double goal, double bearing)
{
    struct limit_search search = {.cutter = cutter, .facing = *facing, .goal = goal};
    return lean_limit(&search, bearing);
}

static double stepover_excess(double stepover, const void *context)
{
    struct limit_search search = *(const struct limit_search *)context;
    search.facing.stepover = stepover;
    return facing_height(&search, search.lean) - search.goal;
}

/* Widest stepover that leaves no stripes, mm. */
static double widest_stepover(const struct limit_search *search)
{
    struct ridge_profile x, y;
    if (!search->facing.both_ways) {
        ridge_profile_make(search->lean, search->cutter, search->facing.along, &x);
        return 2.0 * x.reach;
    }
    ridge_profile_make(search->lean, search->cutter, PERPEND_ALONG_X, &x);
    ridge_profile_make(search->lean, search->cutter, PERPEND_ALONG_Y, &y);
    return 2.0 * fmin(x.reach, y.reach);
}

static double stepover_limit(const struct limit_search *search)
{
    double widest = widest_stepover(search);
    double at_widest = stepover_excess(widest, search);
    if (at_widest <= 0.0)
        return widest;
    return search_root(stepover_excess, search, 0.0, widest, -search->goal, at_widest);
}

enum perpend_status perpend_ridge_limits_for(struct perpend_slope lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal,
    double arm, struct perpend_ridge_limits *limits)
{
    struct limit_search search = {.cutter = cutter, .facing = *facing, .lean = lean, .goal = goal};
    double height;
    enum perpend_status status =
        perpend_ridge_facing((struct perpend_slope){0.0, 0.0}, cutter, facing, &height);
    if (status != PERPEND_OK)
        return status;
    if (!isfinite(goal) || goal <= 0.0 || !isfinite(hypot(lean.right, lean.back)) ||
        (!isnan(arm) && !(arm > 0.0)))
        return PERPEND_ERR_VALUE;

    struct perpend_ridge_limits result;
    result.lean = lean_limit(&search, NAN);
    result.lean_across = lean_limit(&search, PERPEND_PI / 2.0);
    result.lean_along = lean_limit(&search, 0.0);
    result.opposite_reading = 2.0 * arm * result.lean;
    result.stepover = stepover_limit(&search);
    *limits = result;
    return PERPEND_OK;
}
