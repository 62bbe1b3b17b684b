/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Gauges, the uncertainty of a reading, and what counts as a repeat. */
#include <perpend/status.h>
#include <perpend/sweep.h>
#include <perpend/units.h>

#include "core/fit/repeats.h"
#include "support/support.h"

static void gap_per_reading(void **state)
{
    (void)state;
    struct perpend_gauge gauge = {.kind = PERPEND_GAUGE_GAP, .step = 0.05, .spread = NAN};
    assert_true(perpend_gauge_gap_per_reading(&gauge) == 1.0);
    gauge.kind = PERPEND_GAUGE_TOUCH;
    assert_true(perpend_gauge_gap_per_reading(&gauge) == -1.0);
    gauge.kind = PERPEND_GAUGE_DIAL;
    assert_true(perpend_gauge_gap_per_reading(&gauge) == -1.0);
    gauge.rises_away = true;
    assert_true(perpend_gauge_gap_per_reading(&gauge) == 1.0);
    gauge.kind = PERPEND_GAUGE_LEVER;
    gauge.angle = perpend_radians(60.0);
    assert_near(perpend_gauge_gap_per_reading(&gauge), 0.5, 1e-15);
    gauge.rises_away = false;
    assert_near(perpend_gauge_gap_per_reading(&gauge), -0.5, 1e-15);
    /* the other kinds do not look at an angle or a direction */
    gauge.kind = PERPEND_GAUGE_GAP;
    gauge.rises_away = true;
    assert_true(perpend_gauge_gap_per_reading(&gauge) == 1.0);
}

static void reading_uncertainty(void **state)
{
    (void)state;
    struct perpend_gauge gauge = {.kind = PERPEND_GAUGE_GAP, .step = 0.05, .spread = NAN};
    assert_near(perpend_gauge_uncertainty(&gauge, 0.0), 0.05 / sqrt(12.0), 1e-17);
    assert_near(perpend_gauge_uncertainty(&gauge, 0.02), hypot(0.05 / sqrt(12.0), 0.02), 1e-17);
    gauge.spread = 0.01; /* stated: the pooled one does not count */
    assert_near(perpend_gauge_uncertainty(&gauge, 0.5), hypot(0.05 / sqrt(12.0), 0.01), 1e-17);
    gauge.kind = PERPEND_GAUGE_LEVER;
    gauge.angle = perpend_radians(60.0);
    assert_near(
        perpend_gauge_uncertainty(&gauge, 0.0), 0.5 * hypot(0.05 / sqrt(12.0), 0.01), 1e-17);
}

/* Worked by hand: three at 0° (1, 2, 3: variance 1, 2 dof), two at 90° (5, 7: 2, 1 dof), one at
   180°: pooled √((2·1 + 1·2)/3). */
static void pooled_by_hand(void **state)
{
    (void)state;
    const double quarter = PERPEND_PI / 2.0;
    const struct perpend_reading readings[] = {
        {0.0, 1.0, 0.0, 0.0},
        {quarter, 5.0, 0.0, 0.0},
        {0.0, 3.0, 0.0, 0.0},
        {2.0 * quarter, 9.0, 0.0, 0.0},
        {4.0 * quarter - 1e-12, 2.0, 0.0, 0.0}, /* a whole turn is no turn */
        {quarter + 1e-12, 7.0, 1e-12, -1e-12},
    };
    int dof = -1;
    assert_near(perpend_pooled_spread(readings, 6, &dof), sqrt(4.0 / 3.0), 1e-15);
    assert_int_equal(dof, 3);
    assert_true(perpend_pooled_spread(readings, 0, &dof) == 0.0);
    assert_int_equal(dof, 0);
    assert_true(perpend_pooled_spread(readings, 2, &dof) == 0.0);
    assert_int_equal(dof, 0);
}

/* The same bearing at another place is not a repeat, nor a bearing a hair and a half away. */
static void what_is_not_a_repeat(void **state)
{
    (void)state;
    const struct perpend_reading readings[] = {
        {1.0, 1.0, 0.0, 0.0},
        {1.0, 2.0, 1e-6, 0.0},
        {1.0, 3.0, 0.0, 1e-6},
        {1.0 + 1e-6, 4.0, 0.0, 0.0},
        {1.0 + PERPEND_PI, 5.0, 0.0, 0.0},
    };
    int dof = -1;
    assert_true(perpend_pooled_spread(readings, 5, &dof) == 0.0);
    assert_int_equal(dof, 0);
}

/* Any groups, in any order: the pooled spread is what the definition gives. */
static void pooled_by_definition(void **state)
{
    (void)state;
    struct test_random random = test_random_start("pooled spread", 21);
    for (int trial = 0; trial < 2000; trial++) {
        struct perpend_reading readings[60];
        size_t kind[60], count = 1 + test_pick(&random, 60), kinds = 1 + test_pick(&random, 12);
        double squares = 0.0;
        int want = 0, dof;
        for (size_t i = 0; i < count; i++) {
            kind[i] = test_pick(&random, kinds);
            double turns = 2.0 * PERPEND_PI * (double)test_pick(&random, 3);
            readings[i] = (struct perpend_reading){
                .bearing = 0.7 * (double)(kind[i] % 4) + turns - 2.0 * PERPEND_PI,
                .x = kind[i] / 4 == 1 ? 50.0 : 0.0,
                .y = kind[i] / 4 == 2 ? -50.0 : 0.0,
                .value = test_uniform(&random, 10.0, 11.0),
            };
        }
        for (size_t k = 0; k < kinds; k++) {
            double sum = 0.0, n = 0.0;
            for (size_t i = 0; i < count; i++) {
                sum += kind[i] == k ? readings[i].value : 0.0;
                n += kind[i] == k;
            }
            for (size_t i = 0; i < count; i++) {
                double off = kind[i] == k ? readings[i].value - sum / n : 0.0;
                squares += off * off;
            }
            want += n > 0.0 ? (int)n - 1 : 0;
        }
        double got = perpend_pooled_spread(readings, count, &dof);
        assert_int_equal(dof, want);
        assert_near(got, want > 0 ? sqrt(squares / want) : 0.0, 1e-13);
    }
}

/* Against rounding itself: two readings of one true value, each moved by a normal deviation and
   rounded; the covariance of their rounding errors over step²/12. */
static void shared_rounding_is_what_rounding_shares(void **state)
{
    (void)state;
    static const double motions[] = {0.0, 0.05, 0.1, 0.2, 0.3, 0.5};
    const int draws = 400000;
    struct test_random random = test_random_start("shared rounding", 22);
    for (size_t i = 0; i < sizeof motions / sizeof *motions; i++) {
        double sum = 0.0;
        for (int draw = 0; draw < draws; draw++) {
            double value = test_uniform(&random, 0.0, 1.0);
            double one = value + motions[i] * test_normal(&random);
            double other = value + motions[i] * test_normal(&random);
            sum += (floor(one + 0.5) - one) * (floor(other + 0.5) - other);
        }
        /* the share of one draw is spread by about 1: five standard deviations of the mean */
        assert_near(repeats_shared_rounding(motions[i]), 12.0 * sum / draws, 5.0 / sqrt(draws));
    }
}

/* The two forms it is computed by are one function: the series, summed to its end. */
static void shared_rounding_is_one_series(void **state)
{
    (void)state;
    for (double motion = 0.02; motion < 2.0; motion *= 1.05) {
        double sum = 0.0;
        for (int k = 2000; k >= 1; k--)
            sum += exp(-4.0 * PERPEND_PI * PERPEND_PI * k * k * motion * motion) / ((double)k * k);
        assert_near(repeats_shared_rounding(motion), 6.0 / (PERPEND_PI * PERPEND_PI) * sum, 1e-13);
    }
    assert_true(repeats_shared_rounding(0.0) == 1.0);
    assert_true(repeats_shared_rounding(1e9) == 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gap_per_reading),
        cmocka_unit_test(reading_uncertainty),
        cmocka_unit_test(pooled_by_hand),
        cmocka_unit_test(what_is_not_a_repeat),
        cmocka_unit_test(pooled_by_definition),
        cmocka_unit_test(shared_rounding_is_what_rounding_shares),
        cmocka_unit_test(shared_rounding_is_one_series),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
