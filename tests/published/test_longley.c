/* SPDX-License-Identifier: GPL-3.0-or-later */
/* NIST Statistical Reference Datasets, linear regression. Longley (higher difficulty): data as in
   R's datasets::longley (r-base-core), brought to NIST's units; certified values. Wampler 1 and 2
   (higher difficulty; from memory): polynomials whose coefficients are exact by construction. */
#include "core/fit/least_squares.h"
#include <perpend/status.h>

#include "support/support.h"

#define STRIDE LEAST_SQUARES_MOST
#define YEARS 16
#define COEFFICIENTS 7

/* deflator, GNP, unemployed, armed forces, population, year; employed */
static const double longley[YEARS][COEFFICIENTS] = {
    {83.0, 234289, 2356, 1590, 107608, 1947, 60323},
    {88.5, 259426, 2325, 1456, 108632, 1948, 61122},
    {88.2, 258054, 3682, 1616, 109773, 1949, 60171},
    {89.5, 284599, 3351, 1650, 110929, 1950, 61187},
    {96.2, 328975, 2099, 3099, 112075, 1951, 63221},
    {98.1, 346999, 1932, 3594, 113270, 1952, 63639},
    {99.0, 365385, 1870, 3547, 115094, 1953, 64989},
    {100.0, 363112, 3578, 3350, 116219, 1954, 63761},
    {101.2, 397469, 2904, 3048, 117388, 1955, 66019},
    {104.6, 419180, 2822, 2857, 118734, 1956, 67857},
    {108.4, 442769, 2936, 2798, 120445, 1957, 68169},
    {110.8, 444546, 4681, 2637, 121950, 1958, 66513},
    {112.6, 482704, 3813, 2552, 123366, 1959, 68655},
    {114.2, 502601, 3931, 2514, 125368, 1960, 69564},
    {115.7, 518173, 4806, 2572, 127852, 1961, 69331},
    {116.9, 554894, 4007, 2827, 130081, 1962, 70551},
};

static const double certified[COEFFICIENTS] = {-3482258.63459582, 15.0618722713733,
    -0.0358191792925910, -2.02022980381683, -1.03322686717359, -0.0511041056535807,
    1829.15146461355};
static const double certified_deviation[COEFFICIENTS] = {890420.383607373, 84.9149257747669,
    0.0334910077722432, 0.488399681651699, 0.214274163161675, 0.226073200069370, 455.478499142212};
static const double certified_squares = 836424.055505915;

/* Prints how near it came, in relative terms, and fails beyond `tolerance`. */
static void check_relative(
    const char *what, const double *got, const double *want, size_t count, double tolerance)
{
    double worst = 0.0;
    for (size_t i = 0; i < count; i++)
        worst = fmax(worst, fabs(got[i] / want[i] - 1.0));
    printf("# %s: off by at most %.1e\n", what, worst);
    assert_true(worst <= tolerance);
}

static void longley_as_certified(void **state)
{
    (void)state;
    double design[YEARS * COEFFICIENTS], observed[YEARS], deviation[COEFFICIENTS];
    struct least_squares fit;
    for (size_t i = 0; i < YEARS; i++) {
        design[i * COEFFICIENTS] = 1.0;
        for (size_t j = 1; j < COEFFICIENTS; j++)
            design[i * COEFFICIENTS + j] = longley[i][j - 1];
        observed[i] = longley[i][COEFFICIENTS - 1];
    }
    assert_int_equal(
        least_squares_solve(&(struct linear_problem){design, observed, NULL, YEARS, COEFFICIENTS},
            &fit, NULL, NULL),
        PERPEND_OK);
    for (size_t j = 0; j < COEFFICIENTS; j++)
        deviation[j] = sqrt(fit.chi2 / (YEARS - COEFFICIENTS) * fit.covariance[j * STRIDE + j]);
    check_relative("coefficients", fit.value, certified, COEFFICIENTS, 1e-10);
    check_relative("deviations", deviation, certified_deviation, COEFFICIENTS, 1e-10);
    check_relative("residual sum of squares", &fit.chi2, &certified_squares, 1, 1e-11);
}

/* y = Σ base^k x^k, x = 0 … 20, k = 0 … 5. */
static void wampler(double base, double tolerance)
{
    double design[21 * 6], observed[21], want[6];
    struct least_squares fit;
    for (size_t i = 0; i < 21; i++) {
        double power = 1.0;
        observed[i] = 0.0;
        for (size_t k = 0; k < 6; k++) {
            want[k] = pow(base, (double)k);
            design[i * 6 + k] = power;
            observed[i] += want[k] * power;
            power *= (double)i;
        }
    }
    assert_int_equal(least_squares_solve(
                         &(struct linear_problem){design, observed, NULL, 21, 6}, &fit, NULL, NULL),
        PERPEND_OK);
    check_relative("coefficients", fit.value, want, 6, tolerance);
}

static void wampler_1(void **state)
{
    (void)state;
    wampler(1.0, 1e-8);
}

static void wampler_2(void **state)
{
    (void)state;
    wampler(0.1, 1e-11);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(longley_as_certified),
        cmocka_unit_test(wampler_1),
        cmocka_unit_test(wampler_2),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
