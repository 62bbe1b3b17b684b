/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Squareness of an axis of rotation to a plane by sweeping (ISO 230-1, from memory): readings half
   a turn apart; their difference over the distance between the two points touched, which is the
   diameter of the sweep, not the radius. Machine-tool test codes quote it per 300 mm. */
#include <perpend/fit.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "support/support.h"

static struct perpend_fit sweep(const double reading[4], double arm, enum perpend_gauge_kind kind)
{
    static const double degrees[4] = {180.0, 90.0, 0.0, 270.0}; /* front, right, back, left */
    const struct perpend_setup setup = {
        .arm = {.length = arm},
        .gauge = {.kind = kind, .step = 0.01, .spread = 0.0},
        .bed_faced = true,
    };
    struct perpend_reading readings[4];
    struct perpend_fit fit;
    for (size_t i = 0; i < 4; i++)
        readings[i] =
            (struct perpend_reading){.bearing = perpend_radians(degrees[i]), .value = reading[i]};
    assert_int_equal(perpend_fit_readings(readings, 4, &setup, NULL, &fit), PERPEND_OK);
    return fit;
}

/* 0.03 mm between opposite points 300 mm apart is a squareness of 0.03/300. */
static void over_the_diameter(void **state)
{
    (void)state;
    static const double reading[4] = {0.03, 0.015, 0.0, 0.015};
    struct perpend_fit fit = sweep(reading, 150.0, PERPEND_GAUGE_GAP);
    assert_relative(fit.lean.back, 0.03 / 300.0, 1e-7); /* exact geometry adds the third order */
    assert_near(fit.lean.right, 0.0, 1e-15);
    assert_near(fit.quality.rms, 0.0, 1e-15);
}

/* Whatever the arm: opposite readings over twice its length. */
static void any_arm(void **state)
{
    (void)state;
    struct test_random random = test_random_start("opposite readings over the diameter", 13);
    for (int trial = 0; trial < 1000; trial++) {
        double arm = test_uniform(&random, 30.0, 300.0);
        double side = test_uniform(&random, -0.05, 0.05), fore = test_uniform(&random, -0.05, 0.05);
        const double reading[4] = {fore, side, -fore, -side};
        struct perpend_fit fit = sweep(reading, arm, PERPEND_GAUGE_GAP);
        assert_near(fit.lean.back, (reading[0] - reading[2]) / (2.0 * arm), 1e-8);
        assert_near(fit.lean.right, (reading[3] - reading[1]) / (2.0 * arm), 1e-8);
    }
}

/* A fact of the trade (common practice, no source): the arm scrapes at the back and leaves 1 mm at
   the front, half a millimetre at the sides: the top leans back. */
static void scrapes_at_the_back(void **state)
{
    (void)state;
    static const double gap[4] = {1.0, 0.5, 0.0, 0.5}, touch[4] = {-1.0, -0.5, 0.0, -0.5};
    struct perpend_fit fit = sweep(gap, 75.0, PERPEND_GAUGE_GAP);
    assert_near(fit.lean.back, 1.0 / 150.0, 2e-7);
    assert_near(fit.lean.right, 0.0, 1e-15);
    fit = sweep(touch, 75.0, PERPEND_GAUGE_TOUCH); /* Z has to go 1 mm lower at the front */
    assert_near(fit.lean.back, 1.0 / 150.0, 2e-7);
    assert_near(fit.lean.right, 0.0, 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(over_the_diameter),
        cmocka_unit_test(any_arm),
        cmocka_unit_test(scrapes_at_the_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
