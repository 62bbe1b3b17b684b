/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef EXPECTED_FIT_H
#define EXPECTED_FIT_H

/** How sure a measurement would be that has not been taken. */

#include <perpend/fit.h>

/**
 * As perpend_fit_readings for valid input, with the scale given in the place of what the residuals
 * tell, and without suspects.
 */
enum perpend_status fit_expected(const struct perpend_reading *readings, size_t count,
    const struct perpend_setup *setup, double scale, struct perpend_fit *fit);

/**
 * The same in closed form for an upright spindle and one sweep of evenly spaced bearings: the variance of
 * its lean, alike in every direction, and its degrees of freedom. The bed has no slope of its own. Where
 * the hand's scatter is not stated nobody knows yet whose hand it will be: all of the rounding counts as
 * what may stay.
 *
 * Source:   docs/method.md, "One scale", with (AᵀWA)⁻¹ = 2/(n R²)
 */
double fit_upright_variance(const struct perpend_setup *setup, unsigned bearings);
double fit_upright_dof(const struct perpend_setup *setup, unsigned bearings);

#endif
