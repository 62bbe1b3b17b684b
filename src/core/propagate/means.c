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
#define MOST_LOG_TIMES 7.0 /* a thousand times as long an arm, or as short */
#define ARM_SHARE 1e-6

/* Where opposite readings of a sweep may be off, and what it is to tell. */
struct question {
    const struct perpend_setup *setup;
    unsigned bearings;
    struct goal_region region, whichever; /* the goal's; leans that keep it whichever way they go */
    struct perpend_slope unit[AGREE_LEANS]; /* leans that stand for a sweep that is off by 1 */
};

struct square {
    const struct goal_region *region;
    struct perpend_slope off[AGREE_LEANS];
};

static void be_off(const struct question *asked, double uncertainty, struct square *square)
{
    for (int i = 0; i < AGREE_LEANS; i++)
        square->off[i] = (struct perpend_slope){
            uncertainty * asked->unit[i].right, uncertainty * asked->unit[i].back};
}

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

/* The least difference of opposite readings that the gauge shows is one step: how much too unsure the goal
   is then. A lean along the feed, which softens the ridge of one across it, is not counted on. */
static double one_step_excess(const struct question *asked, const struct perpend_setup *setup)
{
    struct square square = {.region = &asked->whichever};
    const double step = fabs(perpend_gauge_gap_per_reading(&setup->gauge)) * setup->gauge.step;
    be_off(asked, sqrt(fit_upright_variance(setup, asked->bearings)), &square);
    return square_excess(step / (2.0 * setup->arm.length), &square);
}

static double step_excess(double step, const void *context)
{
    const struct question *asked = context;
    struct perpend_setup setup = *asked->setup;
    setup.gauge.step = step;
    return one_step_excess(asked, &setup);
}

/* Of an arm so many times as long, by its logarithm. */
static double arm_excess(double log_times, const void *context)
{
    const struct question *asked = context;
    struct perpend_setup setup = *asked->setup;
    setup.arm.length *= exp(log_times);
    return one_step_excess(asked, &setup);
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
    const double arm = setup->arm.length;
    struct square square = {.region = &asked->region};
    lattice_leans(&(struct perpend_slope_covariance){1.0, 0.0, 1.0},
        fit_upright_dof(setup, asked->bearings), asked->region.feed, LATTICE_OF_987, asked->unit);
    means->fine_enough = one_step_excess(asked, setup) <= 0.0;
    if (means->fine_enough) {
        be_off(asked, means->lean_uncertainty, &square);
        means->agree =
            2.0 * arm * search_root(square_excess, &square, 0.0, means->lean, SQUARE_SHARE);
    }
    means->arm_needed =
        arm * exp(search_root(arm_excess, asked, MOST_LOG_TIMES, -MOST_LOG_TIMES, ARM_SHARE));
    double step = search_root(step_excess, asked, 0.0, STEP_MOST, SQUARE_SHARE);
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
    found.lean_uncertainty = sqrt(fit_upright_variance(setup, bearings));
    if (goal_region_make(cutter, facing, goal, &asked.region)) {
        /* along the feed or across it: no lean between is worse */
        found.lean = fmin(asked.region.lean[0], asked.region.lean[GOAL_REGION_STEPS]);
        goal_region_make(cutter, facing, &(struct perpend_goal){NAN, found.lean}, &asked.whichever);
        find_means(&asked, setup, &found);
    }
    *means = found;
    return PERPEND_OK;
}
