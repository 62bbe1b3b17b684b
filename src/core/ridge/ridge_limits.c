/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/ridge.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "core/ridge/ridge_limits.h"
#include "core/ridge/ridge_profile.h"
#include "core/ridge/ridge_search.h"

struct limit_search {
    const struct perpend_cutter *cutter;
    struct perpend_facing facing;
    struct perpend_slope lean; /* or a lean's direction, of length 1 */
    double goal;
};

static double excess(const struct limit_search *search, struct perpend_slope lean)
{
    double height;
    if (perpend_ridge_facing(lean, search->cutter, &search->facing, &height) != PERPEND_OK)
        return search->goal; /* stripes stand: something finite and surely over */
    return height - search->goal;
}

static double lean_excess(double size, const void *context)
{
    const struct limit_search *search = context;
    struct perpend_slope lean = {size * search->lean.right, size * search->lean.back};
    return excess(search, lean);
}

double ridge_lean_limit(const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    double goal, double bearing)
{
    double toward = bearing + (facing->both_ways ? PERPEND_ALONG_X : facing->along);
    struct limit_search search = {
        .cutter = cutter, .facing = *facing, .lean = {sin(toward), cos(toward)}, .goal = goal};
    if (lean_excess(0.0, &search) > 0.0)
        return NAN;
    return search_root(lean_excess, &search, 0.0, RIDGE_MOST_LEAN, SEARCH_LAST_DIGIT);
}

static double stepover_excess(double stepover, const void *context)
{
    struct limit_search search = *(const struct limit_search *)context;
    search.facing.stepover = stepover;
    return stepover > 0.0 ? excess(&search, search.lean) : -search.goal;
}

/* Widest stepover that leaves no stripes, mm. */
static double widest_stepover(const struct limit_search *search, double along)
{
    struct ridge_profile profile;
    ridge_profile_make(search->lean, search->cutter, along, &profile);
    return 2.0 * profile.reach;
}

static double stepover_limit(const struct limit_search *search)
{
    double widest;
    if (search->facing.both_ways)
        widest = fmin(
            widest_stepover(search, PERPEND_ALONG_X), widest_stepover(search, PERPEND_ALONG_Y));
    else
        widest = widest_stepover(search, search->facing.along);
    return search_root(stepover_excess, search, 0.0, widest, SEARCH_LAST_DIGIT);
}

/* Both pairs of opposite readings may differ by as much: of the leans in a square, which way the worst
   lies. Straight across the feed a lean does most; at a corner both pairs are at their most. */
static double square_limit(
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal)
{
    const double feed = facing->both_ways ? PERPEND_ALONG_X : facing->along;
    const double toward[] = {feed + PERPEND_PI / 2.0, PERPEND_PI / 4.0, 3.0 * PERPEND_PI / 4.0};
    double least = INFINITY;
    for (size_t i = 0; i < sizeof toward / sizeof *toward; i++)
        least = fmin(least, ridge_lean_limit(cutter, facing, goal, toward[i] - feed) *
                                fmax(fabs(sin(toward[i])), fabs(cos(toward[i]))));
    return least;
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
    result.lean_across = ridge_lean_limit(cutter, facing, goal, PERPEND_PI / 2.0);
    result.lean_along = ridge_lean_limit(cutter, facing, goal, 0.0);
    result.lean = fmin(result.lean_across, result.lean_along); /* none between is worse */
    result.opposite_reading =
        isnan(result.lean) ? NAN : 2.0 * arm * square_limit(cutter, facing, goal);
    result.stepover = stepover_limit(&search);
    *limits = result;
    return PERPEND_OK;
}
