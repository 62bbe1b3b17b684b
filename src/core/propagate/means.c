/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/status.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

#include "core/fit/expected_fit.h"
#include "core/propagate/ridge_distribution.h"
#include "core/ridge/ridge_limits.h"
#include "core/ridge/ridge_search.h"

#define LEAN_BEARINGS 48 /* steps in a quarter turn */
#define MOST_BEARINGS 64
#define STEP_MOST 1.0   /* mm */
#define STEP_LEAST 1e-4 /* mm: no gauge reads finer */
#define HALVINGS 40
#define AGREE_HALVINGS 14

/* Largest leans that keep the goal, from along the feed to across it (what lies beyond is its mirror
   image), and the degrees of freedom with which a sweep would tell the lean. */
struct lean_limits {
    double lean[LEAN_BEARINGS + 1];
    double feed; /* bearing, rad */
    double dof;
};

/* False when nothing is kept, not even by an upright spindle. */
static bool find_limits(const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, struct lean_limits *limits)
{
    limits->feed = facing->both_ways ? PERPEND_ALONG_X : facing->along;
    for (int i = 0; i <= LEAN_BEARINGS; i++) {
        double bearing = PERPEND_PI / 2.0 * i / LEAN_BEARINGS, *lean = &limits->lean[i];
        *lean = isnan(goal->ridge) ? goal->lean
                                   : ridge_lean_limit(cutter, facing, goal->ridge, bearing);
        if (isnan(*lean))
            return false;
        *lean = fmin(*lean, goal->lean);
    }
    return true;
}

/* Chance of a lean over the limit less the 5 % allowed, for an upright spindle measured with that
   uncertainty (the logarithm of it) in either direction: that of a bivariate t's radius. */
static double excess_chance(double log_uncertainty, const void *context)
{
    const struct lean_limits *limits = context;
    double u = exp(log_uncertainty), sum = 0.0;
    for (int i = 0; i <= LEAN_BEARINGS; i++) {
        double ratio = limits->lean[i] / u, half = i == 0 || i == LEAN_BEARINGS ? 0.5 : 1.0;
        sum += half * pow(1.0 + ratio * ratio / (limits->dof - 2.0), -limits->dof / 2.0);
    }
    return sum / LEAN_BEARINGS - (1.0 - PERPEND_VERDICT_SURE);
}

/* Largest standard uncertainty of the lean with which an upright spindle is found to meet the goal. */
static double uncertainty_allowed(const struct lean_limits *limits)
{
    return exp(search_root(excess_chance, limits, log(1e-12), log(10.0), SEARCH_LAST_DIGIT));
}

static bool keeps(const struct lean_limits *limits, struct perpend_slope lean)
{
    double turn = fabs(remainder(perpend_slope_toward(lean) - limits->feed, PERPEND_PI));
    double place = turn / (PERPEND_PI / 2.0) * LEAN_BEARINGS;
    int i = (int)fmin(place, LEAN_BEARINGS - 1.0);
    double limit = limits->lean[i] + (place - i) * (limits->lean[i + 1] - limits->lean[i]);
    return perpend_slope_size(lean) <= limit;
}

/* Whether a lean that is found so is sure to keep the goal. */
static bool surely_keeps(const struct lean_limits *limits, struct perpend_slope found, double u)
{
    const struct perpend_uncertain_lean lean = {found, {u * u, 0.0, u * u}, limits->dof};
    const struct lattice lattice = LATTICE_OF_1597;
    long over = 0, most = (long)((1.0 - PERPEND_VERDICT_SURE) * (double)lattice.points);
    for (long i = 0; i < lattice.points && over <= most; i++)
        over += !keeps(limits, uncertain_lean_at(&lean, lattice, i));
    return over <= most;
}

/* The same of all leans within a square: straight across the feed, where a lean does most, and at places
   along two of the sides, as the other two are alike. */
static bool square_keeps(const struct lean_limits *limits, double half, double u)
{
    const double right = cos(limits->feed), back = -sin(limits->feed);
    const double across = half / fmax(fabs(right), fabs(back));
    if (!surely_keeps(limits, (struct perpend_slope){across * right, across * back}, u))
        return false;
    for (int quarter = -4; quarter <= 4; quarter++) {
        const double at = quarter / 4.0;
        if (!surely_keeps(limits, (struct perpend_slope){half, at * half}, u) ||
            !surely_keeps(limits, (struct perpend_slope){at * half, half}, u))
            return false;
    }
    return true;
}

static double largest_square(const struct lean_limits *limits, double u)
{
    double kept = 0.0, over = limits->lean[0];
    for (int i = 0; i <= LEAN_BEARINGS; i++)
        over = fmin(over, limits->lean[i]);
    for (int i = 0; i < AGREE_HALVINGS; i++) {
        double half = (kept + over) / 2.0;
        if (square_keeps(limits, half, u))
            kept = half;
        else
            over = half;
    }
    return kept;
}

/* What one sweep of an upright spindle would be good for: so many readings at equal steps. */
static enum perpend_status one_sweep(
    const struct perpend_setup *setup, unsigned bearings, struct perpend_fit *fit)
{
    struct perpend_reading readings[MOST_BEARINGS];
    for (unsigned i = 0; i < bearings; i++)
        readings[i] = (struct perpend_reading){.bearing = 2.0 * PERPEND_PI * i / bearings};
    struct perpend_setup faced = *setup;
    faced.bed_faced = true;
    faced.waves = perpend_bed_waves(setup);
    return fit_expected(readings, bearings, &faced, 1.0, fit);
}

/* Largest step with which a sweep by this arm would be as sure as that. */
static enum perpend_status step_for(
    const struct perpend_setup *setup, unsigned bearings, double allowed, double *step)
{
    double coarser = STEP_MOST, finer = 0.0;
    struct perpend_fit fit;
    for (int i = 0; i < HALVINGS; i++) { /* the lean grows more unsure with the step */
        struct perpend_setup other = *setup;
        other.gauge.step = (finer + coarser) / 2.0;
        enum perpend_status status = one_sweep(&other, bearings, &fit);
        if (status != PERPEND_OK)
            return status;
        if (sqrt(fit.lean_covariance.right_right) <= allowed)
            finer = other.gauge.step;
        else
            coarser = other.gauge.step;
    }
    *step = finer > STEP_LEAST ? finer : NAN;
    return PERPEND_OK;
}

static bool goal_is_valid(const struct perpend_goal *goal)
{
    return perpend_goal_is_set(goal) && !(goal->ridge <= 0.0) && !(goal->lean <= 0.0) &&
           !isinf(goal->ridge) && !isinf(goal->lean);
}

enum perpend_status perpend_means_for(const struct perpend_setup *setup, unsigned bearings,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, struct perpend_means *means)
{
    struct perpend_means found = {NAN, NAN, NAN, false, NAN, NAN};
    struct lean_limits limits;
    struct perpend_fit fit;
    double arm = setup->arm.length, height;
    if (bearings < 3 || bearings > MOST_BEARINGS || !isfinite(arm) || arm <= 0.0 ||
        !isfinite(setup->gauge.step) || setup->gauge.step <= 0.0 || !goal_is_valid(goal))
        return PERPEND_ERR_VALUE;
    enum perpend_status status =
        perpend_ridge_facing((struct perpend_slope){0.0, 0.0}, cutter, facing, &height);
    if (status == PERPEND_OK)
        status = one_sweep(setup, bearings, &fit);
    if (status != PERPEND_OK)
        return status;
    found.lean_uncertainty = sqrt(fit.lean_covariance.right_right);
    if (find_limits(cutter, facing, goal, &limits)) {
        limits.dof = fit.dof;
        double allowed = uncertainty_allowed(&limits);
        found.lean = fmin(limits.lean[0], limits.lean[LEAN_BEARINGS]); /* none between is worse */
        found.fine_enough = found.lean_uncertainty <= allowed;
        if (found.fine_enough)
            found.agree = 2.0 * arm * largest_square(&limits, found.lean_uncertainty);
        found.arm_needed = arm * found.lean_uncertainty / allowed;
        status = step_for(setup, bearings, allowed, &found.step_needed);
    }
    if (status == PERPEND_OK)
        *means = found;
    return status;
}
