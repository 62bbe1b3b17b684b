/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/status.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

#include "core/ridge/ridge_limits.h"
#include "core/ridge/ridge_search.h"

#define LEAN_BEARINGS 48

/* Largest leans that keep the goal, one a bearing, over a quarter turn. */
struct lean_limits {
    double lean[LEAN_BEARINGS];
};

/* Chance of a lean over the limit less the 5 % allowed, for an upright spindle measured with that
   uncertainty (the logarithm of it) in either direction: the size is Rayleigh distributed. */
static double excess_chance(double log_uncertainty, const void *context)
{
    const struct lean_limits *limits = context;
    double u = exp(log_uncertainty), sum = 0.0;
    for (int i = 0; i < LEAN_BEARINGS; i++) {
        double ratio = limits->lean[i] / u;
        sum += exp(-ratio * ratio / 2.0);
    }
    return sum / LEAN_BEARINGS - (1.0 - PERPEND_VERDICT_SURE);
}

/* Largest standard uncertainty of the lean with which an upright spindle is found to meet the goal;
   NAN when nothing is. */
static double uncertainty_allowed(
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal)
{
    struct lean_limits limits;
    for (int i = 0; i < LEAN_BEARINGS; i++) {
        double bearing = PERPEND_PI / 2.0 * (i + 0.5) / LEAN_BEARINGS;
        limits.lean[i] = ridge_lean_limit(cutter, facing, goal, bearing);
        if (!(limits.lean[i] > 0.0))
            return NAN;
    }
    return exp(search_root(excess_chance, &limits, log(1e-12), log(10.0), SEARCH_LAST_DIGIT));
}

enum perpend_status perpend_means_for(const struct perpend_setup *setup, unsigned bearings,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal,
    struct perpend_means *means)
{
    const struct perpend_slope upright = {0.0, 0.0};
    const struct perpend_gauge *gauge = &setup->gauge;
    double arm = setup->arm.length;
    struct perpend_ridge_limits limits;
    if (bearings < 3 || !isfinite(arm) || arm <= 0.0 || !isfinite(gauge->step) ||
        gauge->step <= 0.0)
        return PERPEND_ERR_VALUE;
    enum perpend_status status =
        perpend_ridge_limits_for(upright, cutter, facing, goal, arm, &limits);
    if (status != PERPEND_OK)
        return status;

    /* n equal steps round a circle: the first harmonic's coefficients each have u √(2/n) */
    double per_lean = sqrt(2.0 / bearings) / arm;
    double reading = perpend_gauge_uncertainty(gauge, 0.0);
    double allowed = uncertainty_allowed(cutter, facing, goal);
    double scale = fabs(perpend_gauge_gap_per_reading(gauge));
    double spread = isnan(gauge->spread) ? 0.0 : gauge->spread;
    double of_reading = allowed / per_lean / scale;
    double step = 12.0 * (of_reading - spread) * (of_reading + spread);

    *means = (struct perpend_means){
        .agree = limits.opposite_reading,
        .lean = limits.lean,
        .lean_uncertainty = reading * per_lean,
        .fine_enough = reading * per_lean <= allowed,
        .step_needed = step > 0.0 ? sqrt(step) : NAN,
        .arm_needed = arm * reading * per_lean / allowed,
    };
    return PERPEND_OK;
}
