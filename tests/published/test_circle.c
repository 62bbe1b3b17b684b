/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Equal steps round a circle: the least-squares reference circle of the roundness standards
   (ISO 12181, BS 3730; from memory). With n readings y_i at equal angles θ_i the first-harmonic
   coefficients are (2/n) Σ y_i cos θ_i and (2/n) Σ y_i sin θ_i. */
#include <perpend/fit.h>
#include "core/fit/least_squares.h"
#include <perpend/status.h>
#include <perpend/units.h>

#include "support/support.h"

#define MOST 64

static void harmonics(const double *value, size_t count, double *mean, double *sine, double *cosine)
{
    *mean = *sine = *cosine = 0.0;
    for (size_t i = 0; i < count; i++) {
        double angle = 2.0 * PERPEND_PI * (double)i / (double)count;
        *mean += value[i] / (double)count;
        *sine += 2.0 / (double)count * value[i] * sin(angle);
        *cosine += 2.0 / (double)count * value[i] * cos(angle);
    }
}

/* The linear problem itself: any readings, any count from three up. */
static void least_squares_is_the_closed_form(void **state)
{
    (void)state;
    struct test_random random = test_random_start("closed form of equal steps", 11);
    double worst = 0.0;
    for (size_t count = 3; count <= MOST; count++) {
        double design[MOST * 3], value[MOST], mean, sine, cosine;
        struct least_squares fit;
        for (size_t i = 0; i < count; i++) {
            double angle = 2.0 * PERPEND_PI * (double)i / (double)count;
            value[i] = test_uniform(&random, -1.0, 1.0);
            design[3 * i] = 1.0;
            design[3 * i + 1] = sin(angle);
            design[3 * i + 2] = cos(angle);
        }
        harmonics(value, count, &mean, &sine, &cosine);
        assert_int_equal(
            least_squares_solve(
                &(struct linear_problem){design, value, NULL, count, 3}, &fit, NULL, NULL),
            PERPEND_OK);
        worst = fmax(worst, fabs(fit.value[0] - mean));
        worst = fmax(worst, fmax(fabs(fit.value[1] - sine), fabs(fit.value[2] - cosine)));
        assert_near(fit.value[0], mean, 1e-13);
        assert_near(fit.value[1], sine, 1e-13);
        assert_near(fit.value[2], cosine, 1e-13);
    }
    printf("# off by at most %.1e\n", worst);
}

/* The sweep: the lean is the harmonic over −R as long as it is small; what the exact geometry adds
   is of the third order (R t³). The aim is taken as perfect, so that all weights are alike. */
static void lean_is_the_first_harmonic(void **state)
{
    (void)state;
    struct test_random random = test_random_start("lean is the first harmonic", 12);
    const struct perpend_setup setup = {
        .arm = {.length = 80.0},
        .gauge = {.kind = PERPEND_GAUGE_GAP, .step = 0.01, .spread = 0.02},
        .bed_faced = true,
    };
    for (size_t count = 3; count <= MOST; count++) {
        struct perpend_reading readings[MOST];
        double value[MOST], mean, sine, cosine;
        struct perpend_fit fit;
        double right = test_uniform(&random, -1e-3, 1e-3),
               back = test_uniform(&random, -1e-3, 1e-3);
        for (size_t i = 0; i < count; i++) {
            double angle = 2.0 * PERPEND_PI * (double)i / (double)count;
            value[i] =
                2.0 - 80.0 * (right * sin(angle) + back * cos(angle)) + 0.02 * test_normal(&random);
            readings[i] = (struct perpend_reading){.bearing = angle, .value = value[i]};
        }
        harmonics(value, count, &mean, &sine, &cosine);
        assert_int_equal(perpend_fit_readings(readings, count, &setup, NULL, &fit), PERPEND_OK);
        double size = perpend_slope_size(fit.lean), third = size * size * (size + 1e-3);
        assert_near(fit.lean.right, -sine / 80.0, third);
        assert_near(fit.lean.back, -cosine / 80.0, third);
        assert_near(fit.centre, mean, 80.0 * third);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(least_squares_is_the_closed_form),
        cmocka_unit_test(lean_is_the_first_harmonic),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
