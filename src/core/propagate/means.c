/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/status.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

#include "core/fit/expected_fit.h"
#include "core/ridge/ridge_limits.h"
#include "core/ridge/ridge_search.h"

#define LEAN_BEARINGS 48
#define MOST_BEARINGS 64
#define STEP_MOST 1.0   /* mm */
#define STEP_LEAST 1e-4 /* mm: no gauge reads finer */
#define HALVINGS 40

/* Largest leans that keep the goal, one a bearing, over a quarter turn, and the degrees of freedom
   with which a sweep would tell the lean. */
struct lean_limits {
    double lean[LEAN_BEARINGS];
    double dof;
};

/* Chance of a lean over the limit less the 5 % allowed, for an upright spindle measured with that
   uncertainty (the logarithm of it) in either direction: that of a bivariate t's radius. */
static double excess_chance(double log_uncertainty, const void *context)
{
    const struct lean_limits *limits = context;
    double u = exp(log_uncertainty), sum = 0.0;
    for (int i = 0; i < LEAN_BEARINGS; i++) {
        double ratio = limits->lean[i] / u;
        sum += pow(1.0 + ratio * ratio / (limits->dof - 2.0), -limits->dof / 2.0);
    }
    return sum / LEAN_BEARINGS - (1.0 - PERPEND_VERDICT_SURE);
}

/* Largest standard uncertainty of the lean with which an upright spindle is found to meet the goal;
   NAN when nothing is. */
static double uncertainty_allowed(const struct perpend_cutter *cutter,
    const struct perpend_facing *facing, double goal, double dof)
{
    struct lean_limits limits = {.dof = dof};
    for (int i = 0; i < LEAN_BEARINGS; i++) {
        double bearing = PERPEND_PI / 2.0 * (i + 0.5) / LEAN_BEARINGS;
        limits.lean[i] = ridge_lean_limit(cutter, facing, goal, bearing);
        if (!(limits.lean[i] > 0.0))
            return NAN;
    }
    return exp(search_root(excess_chance, &limits, log(1e-12), log(10.0), SEARCH_LAST_DIGIT));
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

enum perpend_status perpend_means_for(const struct perpend_setup *setup, unsigned bearings,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal,
    struct perpend_means *means)
{
    const struct perpend_slope upright = {0.0, 0.0};
    double arm = setup->arm.length, coarser = STEP_MOST, finer = 0.0;
    struct perpend_ridge_limits limits;
    struct perpend_fit fit;
    if (bearings < 3 || bearings > MOST_BEARINGS || !isfinite(arm) || arm <= 0.0 ||
        !isfinite(setup->gauge.step) || setup->gauge.step <= 0.0)
        return PERPEND_ERR_VALUE;
    enum perpend_status status =
        perpend_ridge_limits_for(upright, cutter, facing, goal, arm, &limits);
    if (status == PERPEND_OK)
        status = one_sweep(setup, bearings, &fit);
    if (status != PERPEND_OK)
        return status;
    double allowed = uncertainty_allowed(cutter, facing, goal, fit.dof);
    double found = sqrt(fit.lean_covariance.right_right);
    for (int i = 0; i < HALVINGS; i++) { /* the lean grows more unsure with the step */
        struct perpend_setup other = *setup;
        other.gauge.step = (finer + coarser) / 2.0;
        status = one_sweep(&other, bearings, &fit);
        if (status != PERPEND_OK)
            return status;
        if (sqrt(fit.lean_covariance.right_right) <= allowed)
            finer = other.gauge.step;
        else
            coarser = other.gauge.step;
    }
    *means = (struct perpend_means){
        .agree = limits.opposite_reading,
        .lean = limits.lean,
        .lean_uncertainty = found,
        .fine_enough = found <= allowed,
        .step_needed = finer > STEP_LEAST ? finer : NAN,
        .arm_needed = arm * found / allowed,
    };
    return PERPEND_OK;
}
