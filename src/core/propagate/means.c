/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/status.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

#include "core/fit/expected_fit.h"
#include "core/propagate/goal_region.h"
#include "core/propagate/ridge_distribution.h"
#include "core/ridge/ridge_search.h"

#define MOST_BEARINGS 64
#define STEP_MOST 1.0     /* mm */
#define STEP_LEAST 1e-4   /* mm: no gauge reads finer */
#define SQUARE_SHARE 1e-4 /* of the largest lean: how near the square is found */
#define AGREE_LEANS 987

/* A sweep of an upright spindle, and what it is to tell. */
struct question {
    const struct perpend_setup *setup;
    unsigned bearings;
    struct goal_region region;
    double dof, allowed; /* uncertainty of the lean, mm/mm */
};

/* Chance of a lean beyond the goal less the 5 % allowed, for an upright spindle measured with that
   uncertainty (the logarithm of it) in either direction: that of a bivariate t's radius. */
static double excess_chance(double log_uncertainty, const void *context)
{
    const struct question *asked = context;
    const struct goal_region *region = &asked->region;
    double u = exp(log_uncertainty), sum = 0.0, before = 0.0;
    for (int i = 0; i <= GOAL_REGION_STEPS; i++) {
        double ratio = region->lean[i] / u;
        double beyond = pow(1.0 + ratio * ratio / (asked->dof - 2.0), -asked->dof / 2.0);
        if (i > 0)
            sum += (before + beyond) / 2.0 * (region->bearing[i] - region->bearing[i - 1]);
        before = beyond;
    }
    return sum / (PERPEND_PI / 2.0) - (1.0 - PERPEND_VERDICT_SURE);
}

/* Leans that stand for what a sweep may be off by. */
struct square {
    const struct goal_region *region;
    struct perpend_slope off[AGREE_LEANS];
};

/* Share of the leans that keep the goal, less the 95 % that are wanted, for the least sure of those that
   may be found in a square of that half side: straight across the feed, where a lean does most, or at
   places along two of the sides, as the other two are alike. */
static double square_excess(double half, const void *context)
{
    const struct square *square = context;
    const struct perpend_slope feed = square->region->feed;
    const double across = half / fmax(fabs(feed.right), fabs(feed.back));
    double least = goal_region_share(square->region,
        (struct perpend_slope){across * feed.back, -across * feed.right}, square->off, AGREE_LEANS);
    for (int quarter = -4; quarter <= 4; quarter++) {
        const double at = half * quarter / 4.0;
        least = fmin(least, goal_region_share(square->region, (struct perpend_slope){half, at},
                                square->off, AGREE_LEANS));
        least = fmin(least, goal_region_share(square->region, (struct perpend_slope){at, half},
                                square->off, AGREE_LEANS));
    }
    return PERPEND_VERDICT_SURE - least;
}

/* How much too coarse a step is. */
static double step_excess(double step, const void *context)
{
    const struct question *asked = context;
    struct perpend_setup setup = *asked->setup;
    setup.gauge.step = step;
    return sqrt(fit_upright_variance(&setup, asked->bearings)) - asked->allowed;
}

static bool goal_is_valid(const struct perpend_goal *goal)
{
    return perpend_goal_is_set(goal) && !(goal->ridge <= 0.0) && !(goal->lean <= 0.0) &&
           !isinf(goal->ridge) && !isinf(goal->lean);
}

/* What the goal's region asks of arm and gauge. */
static void find_means(
    struct question *asked, const struct perpend_setup *setup, struct perpend_means *means)
{
    const double u = means->lean_uncertainty, arm = setup->arm.length;
    struct square square = {.region = &asked->region};
    asked->allowed =
        exp(search_root(excess_chance, asked, log(1e-12), log(10.0), SEARCH_LAST_DIGIT));
    /* along the feed or across it: no lean between is worse */
    means->lean = fmin(asked->region.lean[0], asked->region.lean[GOAL_REGION_STEPS]);
    means->fine_enough = u <= asked->allowed;
    if (means->fine_enough) {
        lattice_leans(&(struct perpend_slope_covariance){u * u, 0.0, u * u}, asked->dof,
            asked->region.feed, LATTICE_OF_987, square.off);
        means->agree =
            2.0 * arm * search_root(square_excess, &square, 0.0, means->lean, SQUARE_SHARE);
    }
    means->arm_needed = arm * u / asked->allowed;
    double step = search_root(step_excess, asked, 0.0, STEP_MOST, SEARCH_LAST_DIGIT);
    means->step_needed = step > STEP_LEAST ? step : NAN;
}

enum perpend_status perpend_means_for(const struct perpend_setup *setup, unsigned bearings,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, struct perpend_means *means)
{
    struct perpend_means found = {NAN, NAN, NAN, false, NAN, NAN};
    struct question asked = {.setup = setup, .bearings = bearings};
    double height;
    if (bearings < 3 || bearings > MOST_BEARINGS || !isfinite(setup->arm.length) ||
        setup->arm.length <= 0.0 || !isfinite(setup->gauge.step) || setup->gauge.step <= 0.0 ||
        !goal_is_valid(goal))
        return PERPEND_ERR_VALUE;
    enum perpend_status status =
        perpend_ridge_facing((struct perpend_slope){0.0, 0.0}, cutter, facing, &height);
    if (status != PERPEND_OK)
        return status;
    asked.dof = fit_upright_dof(setup, bearings);
    found.lean_uncertainty = sqrt(fit_upright_variance(setup, bearings));
    if (goal_region_make(cutter, facing, goal, &asked.region))
        find_means(&asked, setup, &found);
    *means = found;
    return PERPEND_OK;
}
