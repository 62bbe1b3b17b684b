/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The calibration line of a thermometer: JCGM 100:2008 (GUM), example H.3. The same data stand in
   the documentation of the general-purpose GTC library. */
#include "core/fit/least_squares.h"
#include <perpend/status.h>

#include "support/support.h"

#define POINTS 11
#define STRIDE LEAST_SQUARES_MOST

static const double temperature[POINTS] = {
    21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511};
static const double correction[POINTS] = {
    -0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160};

static struct least_squares line_from(double reference)
{
    double design[POINTS * 2];
    struct least_squares fit;
    for (size_t i = 0; i < POINTS; i++) {
        design[2 * i] = 1.0;
        design[2 * i + 1] = temperature[i] - reference;
    }
    assert_int_equal(
        least_squares_solve(
            &(struct linear_problem){design, correction, NULL, POINTS, 2}, &fit, NULL, NULL),
        PERPEND_OK);
    return fit;
}

/* All figures as printed: half a unit of the last digit is allowed. */
static void line_at_20_degrees(void **state)
{
    (void)state;
    struct least_squares fit = line_from(20.0);
    double residual = sqrt(fit.chi2 / (POINTS - 2));
    double u_intercept = residual * sqrt(fit.covariance[0]);
    double u_slope = residual * sqrt(fit.covariance[STRIDE + 1]);
    assert_near(fit.value[0], -0.1712, 0.00005);
    assert_near(u_intercept, 0.0029, 0.00005);
    assert_near(fit.value[1], 0.00218, 0.000005);
    assert_near(u_slope, 0.00067, 0.000005);
    assert_near(residual, 0.0035, 0.00005);
    double correlation = fit.covariance[1] / sqrt(fit.covariance[0] * fit.covariance[STRIDE + 1]);
    assert_near(correlation, -0.930, 0.0005);
}

static void predicted_at_30_degrees(void **state)
{
    (void)state;
    struct least_squares fit = line_from(20.0);
    double variance =
        fit.covariance[0] + 2.0 * 10.0 * fit.covariance[1] + 100.0 * fit.covariance[STRIDE + 1];
    assert_near(fit.value[0] + 10.0 * fit.value[1], -0.1494, 0.00005);
    assert_near(sqrt(variance * fit.chi2 / (POINTS - 2)), 0.0041, 0.00005);
}

/* The correction at 30 °C does not depend on where the scale begins. */
static void reference_makes_no_difference(void **state)
{
    (void)state;
    struct least_squares from_20 = line_from(20.0), from_30 = line_from(30.0);
    assert_near(from_30.value[0], from_20.value[0] + 10.0 * from_20.value[1], 1e-14);
    assert_relative(from_30.chi2, from_20.chi2, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_at_20_degrees),
        cmocka_unit_test(predicted_at_30_degrees),
        cmocka_unit_test(reference_makes_no_difference),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
