/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Sums of four quantities (JCGM 101:2008, 9.2, from memory; each also follows in closed form):
 * standard normals, u = 2.00, 95 % interval ±3.92; rectangular ones of unit standard deviation,
 * u = 2.00, ±3.88; the fourth one's standard deviation raised to 10, u = 10.1, ±17.0, where normal
 * theory would say ±19.9.
 */
#include "support/support.h"

#include <perpend/status.h>
#include <perpend/trials.h>

static double four_normals(struct perpend_stream *stream, const void *context)
{
    double sum = 0.0;
    (void)context;
    for (int i = 0; i < 4; i++)
        sum += perpend_stream_normal(stream);
    return sum;
}

static double rectangular(struct perpend_stream *stream, double deviation)
{
    return sqrt(12.0) * deviation * (perpend_stream_uniform(stream) - 0.5);
}

static double four_rectangular(struct perpend_stream *stream, const void *context)
{
    const double *last = context;
    double sum = rectangular(stream, *last);
    for (int i = 0; i < 3; i++)
        sum += rectangular(stream, 1.0);
    return sum;
}

/* The shortest interval of a curve that is flat on top wanders along it: its ends are asked to be
   as far out as published in their mean, and its width likewise. */
static void check(perpend_model *model, double last, double u, double digit_u, double end,
    double digit_end, double wander)
{
    struct perpend_trials_options options = perpend_trials_defaults();
    struct perpend_distribution d;
    options.exactly = 1000000;
    assert_int_equal(perpend_trials_model(model, &last, NAN, &options, &d), PERPEND_OK);
    printf("# mean %.4f, u %.4f, interval %.4f to %.4f\n", d.mean, d.deviation, d.low, d.high);
    assert_int_equal(d.trials, 1000000);
    assert_near(d.mean, 0.0, 4.0 * u / 1000.0);
    assert_near(d.deviation, u, digit_u);
    assert_near((d.high - d.low) / 2.0, end, digit_end);
    assert_near(d.high, end, wander);
    assert_near(d.low, -end, wander);
    assert_true(isnan(d.chance));
}

static void normals_sum(void **state)
{
    (void)state;
    check(four_normals, 0.0, 2.00, 0.006, 3.92, 0.01, 0.12);
}

static void rectangular_sum(void **state)
{
    (void)state;
    check(four_rectangular, 1.0, 2.00, 0.006, 3.88, 0.01, 0.12);
}

static void rectangular_sum_with_a_wide_one(void **state)
{
    (void)state;
    /* exact: u = √103; normal theory would give ±1.96 u = ±19.9 */
    check(four_rectangular, 10.0, 10.15, 0.06, 17.0, 0.05, 0.4);
}

/* The adaptive run comes to the same answers to two digits with far fewer trials. */
static void adaptive_sums(void **state)
{
    (void)state;
    struct perpend_trials_options options = perpend_trials_defaults();
    struct perpend_distribution d;
    double last = 1.0;
    options.digits = 1;
    assert_int_equal(perpend_trials_model(four_normals, NULL, NAN, &options, &d), PERPEND_OK);
    printf("# normals: %zu trials, u %.3f, %.3f to %.3f\n", d.trials, d.deviation, d.low, d.high);
    assert_true(d.trials < 1000000);
    assert_near(d.deviation, 2.00, 0.05);
    assert_near((d.high - d.low) / 2.0, 3.92, 0.1);
    assert_int_equal(perpend_trials_model(four_rectangular, &last, NAN, &options, &d), PERPEND_OK);
    printf(
        "# rectangular: %zu trials, u %.3f, %.3f to %.3f\n", d.trials, d.deviation, d.low, d.high);
    assert_near(d.deviation, 2.00, 0.05);
    assert_near((d.high - d.low) / 2.0, 3.88, 0.1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(normals_sum),
        cmocka_unit_test(rectangular_sum),
        cmocka_unit_test(rectangular_sum_with_a_wide_one),
        cmocka_unit_test(adaptive_sums),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
