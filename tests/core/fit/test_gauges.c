/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Gauges, and the uncertainty of a reading. */
#include <perpend/status.h>
#include <perpend/sweep.h>
#include <perpend/units.h>

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
    const double rounding = 0.05 / sqrt(12.0);
    assert_near(perpend_gauge_uncertainty(&gauge), hypot(rounding, 0.02), 1e-17);
    gauge.spread = 0.01;
    assert_near(perpend_gauge_uncertainty(&gauge), hypot(rounding, 0.01), 1e-17);
    gauge.kind = PERPEND_GAUGE_LEVER;
    gauge.angle = perpend_radians(60.0);
    assert_near(perpend_gauge_uncertainty(&gauge), 0.5 * hypot(rounding, 0.01), 1e-17);
}

/* What is not stated: of the step, and never less than a hand has. */
static void usual_spread(void **state)
{
    (void)state;
    static const struct {
        enum perpend_gauge_kind kind;
        double step, want;
    } cases[] = {
        {PERPEND_GAUGE_GAP, 0.05, 0.02},
        {PERPEND_GAUGE_GAP, 0.1, 0.04},
        {PERPEND_GAUGE_GAP, 0.01, 0.02},
        {PERPEND_GAUGE_TOUCH, 0.01, 0.01},
        {PERPEND_GAUGE_TOUCH, 0.1, 0.05},
        {PERPEND_GAUGE_DIAL, 0.01, 0.005},
        {PERPEND_GAUGE_DIAL, 0.1, 0.05},
        {PERPEND_GAUGE_LEVER, 0.002, 0.005},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct perpend_gauge gauge = {.kind = cases[i].kind, .step = cases[i].step, .spread = NAN};
        assert_near(perpend_gauge_spread(&gauge), cases[i].want, 1e-15);
        gauge.spread = 0.003;
        assert_true(perpend_gauge_spread(&gauge) == 0.003);
    }
}

/* One reading shows nothing, like ones do not show a still hand, very many show their own scatter. */
static void measured_spread(void **state)
{
    (void)state;
    struct test_random random = test_random_start("measured spread", 24);
    for (int i = 0; i < 200; i++) {
        struct perpend_gauge gauge = {.kind = PERPEND_GAUGE_GAP, .step = 0.05, .spread = NAN};
        const double usual = perpend_gauge_spread(&gauge), true_one = usual * (0.2 + 0.02 * i);
        double readings[4000], five[5];
        gauge.spread = 1.0; /* which does not count */
        for (size_t j = 0; j < 4000; j++)
            readings[j] = 3.0 + true_one * test_normal(&random);
        for (size_t j = 0; j < 5; j++)
            five[j] = readings[0];
        assert_near(perpend_gauge_spread_of(&gauge, readings, 1), usual, 1e-12);
        assert_near(perpend_gauge_spread_of(&gauge, five, 5), usual * sqrt(0.5), 1e-12);
        assert_near(perpend_gauge_spread_of(&gauge, readings, 4000), true_one, 0.06 * true_one);
    }
}

/* Against rounding itself: the mean of many readings of one true value, wherever it lies in a step.
   From a tenth of a step of scatter on, the first term is the whole of it to a few per cent. */
static void what_stays_of_the_rounding(void **state)
{
    (void)state;
    static const double scatters[] = {0.1, 0.2, 0.3, 0.4};
    struct test_random random = test_random_start("what stays of the rounding", 23);
    for (size_t i = 0; i < sizeof scatters / sizeof *scatters; i++) {
        const struct perpend_gauge gauge = {
            .kind = PERPEND_GAUGE_DIAL, .step = 1.0, .spread = scatters[i]};
        const int places = 400, draws = 20000;
        double squares = 0.0;
        for (int place = 0; place < places; place++) {
            double value = (place + 0.5) / places, sum = 0.0;
            for (int draw = 0; draw < draws; draw++)
                sum += floor(value + scatters[i] * test_normal(&random) + 0.5) - value;
            squares += sum / draws * (sum / draws) / places;
        }
        double own = (1.0 / 12.0 + scatters[i] * scatters[i]) / draws; /* of so many draws */
        assert_near(perpend_gauge_stays(&gauge), squares - own,
            0.25 * perpend_gauge_stays(&gauge) + 0.3 * own);
    }
    const struct perpend_gauge still = {.kind = PERPEND_GAUGE_DIAL, .step = 1.0, .spread = 0.0};
    assert_true(perpend_gauge_stays(&still) <= 1.0 / 12.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gap_per_reading),
        cmocka_unit_test(reading_uncertainty),
        cmocka_unit_test(usual_spread),
        cmocka_unit_test(measured_spread),
        cmocka_unit_test(what_stays_of_the_rounding),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
