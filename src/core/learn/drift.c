/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/drift.h>
#include <perpend/status.h>

#include "core/base/covariance.h"

/* Rounding in a covariance's eigenvalues, relative to the larger one. */
#define ROUNDING 1e-13

/* A covariance's principal axes, exactly 0 across where only rounding is left. */
static struct principal_axes covariance_axes(const struct perpend_slope_covariance *covariance)
{
    struct principal_axes axes = principal_axes(*covariance);
    if (fabs(axes.smaller) <= ROUNDING * axes.larger)
        axes.smaller = 0.0;
    return axes;
}

/** Is it one: finite, and positive semi-definite but for rounding? */
static bool is_covariance(const struct perpend_slope_covariance *covariance)
{
    if (!isfinite(covariance->right_right) || !isfinite(covariance->right_back) ||
        !isfinite(covariance->back_back))
        return false;
    return covariance_axes(covariance).smaller >= 0.0;
}

/** slope' covariance⁻¹ slope; infinite where there is a slope but no variance. */
static double distance_squared(const struct principal_axes *axes, struct perpend_slope slope)
{
    const double variance[2] = {axes->larger, axes->smaller};
    double part[2] = {
        slope.right * axes->direction.right + slope.back * axes->direction.back,
        slope.back * axes->direction.right - slope.right * axes->direction.back,
    };
    double size = hypot(slope.right, slope.back);
    double sum = 0.0;
    for (int i = 0; i < 2; i++) {
        if (variance[i] > 0.0)
            sum += part[i] * part[i] / variance[i];
        else if (fabs(part[i]) > ROUNDING * size)
            sum = INFINITY;
    }
    return sum;
}

enum perpend_status perpend_drift_between(struct perpend_slope left,
    struct perpend_slope_covariance left_covariance, struct perpend_slope found,
    struct perpend_slope_covariance found_covariance, struct perpend_drift *drift)
{
    if (!isfinite(left.right) || !isfinite(left.back) || !isfinite(found.right) ||
        !isfinite(found.back) || !is_covariance(&left_covariance) ||
        !is_covariance(&found_covariance))
        return PERPEND_ERR_VALUE;

    struct perpend_slope change = {found.right - left.right, found.back - left.back};
    struct perpend_slope_covariance covariance = covariance_sum(left_covariance, found_covariance);
    struct principal_axes axes = covariance_axes(&covariance);
    double toward = perpend_slope_toward(change);
    struct perpend_slope unit = {sin(toward), cos(toward)};
    double per_unit = distance_squared(&axes, unit);

    drift->change = change;
    drift->covariance = covariance;
    drift->size = perpend_slope_size(change);
    drift->toward = toward;
    drift->chi2 = distance_squared(&axes, change);
    drift->p = exp(-drift->chi2 / 2.0);
    drift->beyond = drift->p < PERPEND_DRIFT_LEVEL;
    drift->explained = sqrt(-2.0 * log(PERPEND_DRIFT_LEVEL) / per_unit);
    return PERPEND_OK;
}
