/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Conformity (JCGM 106:2012, worked example of a voltage below a limit, from memory): estimate
   −5.47, u 0.05, upper limit −5.40: the chance of conformity is Φ(1.40) = 0.92. */
#include "support/support.h"

#include <perpend/verdict.h>

static void voltage_below_a_limit(void **state)
{
    (void)state;
    double chance = perpend_conformity(-5.47, 0.05, -5.40);
    assert_near(chance, 0.92, 0.005);
    assert_near(chance, 0.9192433407662289, 1e-12); /* Φ(1.4), tables of the normal distribution */
    assert_int_equal(perpend_verdict_for(chance), PERPEND_VERDICT_TOO_CLOSE);
}

/* The same by Monte Carlo. */
static double voltage(struct perpend_stream *stream, const void *context)
{
    (void)context;
    return -5.47 + 0.05 * perpend_stream_normal(stream);
}

static void voltage_by_trials(void **state)
{
    (void)state;
    struct perpend_trials_options options = perpend_trials_defaults();
    struct perpend_distribution distribution;
    options.exactly = 1000000;
    assert_int_equal(perpend_trials_model(voltage, NULL, -5.40, &options, &distribution), 0);
    /* four standard deviations of a share of a million */
    assert_near(distribution.chance, 0.9192433407662289, 4.0 * sqrt(0.92 * 0.08 / 1e6));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(voltage_below_a_limit),
        cmocka_unit_test(voltage_by_trials),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
