/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The verdict, what would settle it, and whether arm and gauge can see a goal at all. */
#include "support/support.h"

#include <perpend/status.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

static void verdict_follows_the_chance(void **state)
{
    (void)state;
    assert_int_equal(perpend_verdict_for(NAN), PERPEND_VERDICT_NO_GOAL);
    assert_int_equal(perpend_verdict_for(1.0), PERPEND_VERDICT_MET);
    assert_int_equal(perpend_verdict_for(0.95), PERPEND_VERDICT_MET);
    assert_int_equal(perpend_verdict_for(0.9499), PERPEND_VERDICT_TOO_CLOSE);
    assert_int_equal(perpend_verdict_for(0.5), PERPEND_VERDICT_TOO_CLOSE);
    assert_int_equal(perpend_verdict_for(0.0501), PERPEND_VERDICT_TOO_CLOSE);
    assert_int_equal(perpend_verdict_for(0.05), PERPEND_VERDICT_NOT_MET);
    assert_int_equal(perpend_verdict_for(0.0), PERPEND_VERDICT_NOT_MET);
    assert_null(perpend_verdict_text(PERPEND_VERDICT_NO_GOAL));
    assert_string_equal(perpend_verdict_text(PERPEND_VERDICT_MET), "met");
    assert_string_equal(perpend_verdict_text(PERPEND_VERDICT_NOT_MET), "not met");
    assert_string_equal(perpend_verdict_text(PERPEND_VERDICT_TOO_CLOSE), "too close");
}

/* A machine to ask about: readings that fit exactly, spread over n bearings. */
struct bench_case {
    struct perpend_setup setup;
    struct perpend_cutter cutter;
    struct perpend_facing facing;
    double goal;
    struct perpend_reading readings[16];
    size_t count;
    struct perpend_fit fit;
};

static void take_readings(struct bench_case *c, size_t count, struct perpend_slope lean)
{
    const struct perpend_slope none = {0.0, 0.0};
    c->count = count;
    for (size_t i = 0; i < count; i++) {
        double bearing = 2.0 * PERPEND_PI * (double)i / (double)count;
        double gap = 5.0 + perpend_gap(lean, none, c->setup.arm.length, bearing, 0.0, 0.0);
        c->readings[i] = (struct perpend_reading){bearing, gap, 0.0, 0.0};
    }
    assert_int_equal(
        perpend_fit_readings(c->readings, count, &c->setup, NULL, &c->fit), PERPEND_OK);
}

static struct bench_case draw_case(struct test_random *random)
{
    struct bench_case c = {
        .setup = {{test_uniform(random, 50.0, 120.0), 0.005, 2.0 * PERPEND_PI / 180.0},
            {PERPEND_GAUGE_GAP, false, 0.0, 0.001, test_uniform(random, 0.01, 0.04)},
            .bed_faced = true},
        .cutter = {22.0, 0.0},
        .facing = {test_uniform(random, 5.0, 15.0), test_pick(random, 3) == 0, PERPEND_ALONG_X,
            NAN},
        .goal = 0.02,
    };
    double bearing = test_uniform(random, 0.0, 2.0 * PERPEND_PI);
    struct perpend_ridge_limits limits;
    const struct perpend_slope none = {0.0, 0.0};
    perpend_ridge_limits_for(none, &c.cutter, &c.facing, c.goal, 75.0, &limits);
    double size = limits.lean * test_uniform(random, 0.6, 1.4);
    take_readings(&c, 4 + 2 * test_pick(random, 3),
        (struct perpend_slope){size * sin(bearing), size * cos(bearing)});
    return c;
}

/* The covariance by hand for n equal steps round the circle: the readings' part 2 u²/(n R²) in
   either direction (the aim's part of u differs little from bearing to bearing: taken from the
   fit's own bearings), the arm's part along the lean. */
static struct perpend_slope_covariance by_hand(
    const struct bench_case *c, double repeats, double step, double arm)
{
    struct perpend_slope t = c->fit.lean;
    double spread = c->setup.gauge.spread, n = (double)c->count;
    double aim = arm * perpend_slope_size(t) * c->setup.arm.bearing_uncertainty / sqrt(2.0);
    double u = sqrt(spread * spread + step * step / 12.0 + aim * aim);
    double part = 2.0 * u * u / (n * arm * arm * repeats), scale = 0.005 * 0.005;
    return (struct perpend_slope_covariance){
        part + scale * t.right * t.right, scale * t.right * t.back, part + scale * t.back * t.back};
}

static double chance_of(const struct bench_case *c, struct perpend_slope_covariance covariance)
{
    struct perpend_uncertain_lean lean = {c->fit.lean, covariance, INFINITY};
    struct perpend_distribution d;
    assert_int_equal(
        perpend_ridge_distribution(&lean, &c->cutter, &c->facing, c->goal, &d), PERPEND_OK);
    return d.chance;
}

static struct perpend_remedy remedy_of(const struct bench_case *c)
{
    struct perpend_remedy remedy;
    assert_int_equal(perpend_remedy_find(&(struct perpend_remedy_question){c->readings, c->count,
                                             &c->setup, &c->fit, &c->cutter, &c->facing, c->goal},
                         &remedy),
        PERPEND_OK);
    return remedy;
}

static bool settled(double chance, double slack)
{
    return chance >= 0.95 - slack || chance <= 0.05 + slack;
}

/* What is advised settles it by hand's reckoning too, and one step less does not. */
static void advice_settles(void **state)
{
    (void)state;
    struct test_random random = test_random_start("settle", 20250301);
    size_t asked = 0, repeats = 0, arms = 0;
    for (int round = 0; round < 150 && asked < 40; round++) {
        struct bench_case c = draw_case(&random);
        if (settled(chance_of(&c, c.fit.lean_covariance), 0.0))
            continue;
        asked++;
        struct perpend_remedy remedy = remedy_of(&c);
        double step = c.setup.gauge.step, arm = c.setup.arm.length, slack = 0.012;
        if (remedy.by_repeats) {
            repeats++;
            assert_true(remedy.repeats >= 2 && remedy.repeats <= 64);
            assert_true(settled(chance_of(&c, by_hand(&c, remedy.repeats, step, arm)), slack));
            if (remedy.repeats > 2)
                assert_false(
                    settled(chance_of(&c, by_hand(&c, remedy.repeats - 1, step, arm)), -slack));
        } else {
            assert_int_equal(remedy.repeats, 0);
            assert_false(settled(chance_of(&c, by_hand(&c, 64, step, arm)), -slack));
        }
        if (remedy.by_arm) {
            arms++;
            assert_true(remedy.arm > arm && remedy.arm <= 500.0);
            assert_near(fmod(remedy.arm, 5.0), 0.0, 1e-9);
            assert_true(settled(chance_of(&c, by_hand(&c, 1, step, remedy.arm)), slack));
            if (remedy.arm - 5.0 > arm)
                assert_false(
                    settled(chance_of(&c, by_hand(&c, 1, step, remedy.arm - 5.0)), -slack));
        } else {
            assert_true(isnan(remedy.arm));
        }
        /* the step is the finest there is: nothing to be won from it */
        assert_false(remedy.by_step);
        assert_true(isnan(remedy.step));
    }
    printf("# %zu too close, %zu settled by repeats, %zu by an arm\n", asked, repeats, arms);
    assert_true(asked >= 20 && repeats >= 10 && arms >= 10);
}

/* When the step is all there is to be unsure about, a finer gauge settles and repeats hardly do. */
static void finer_gauge_settles(void **state)
{
    (void)state;
    struct bench_case c = {
        .setup = {{75.0, 0.0, 0.0}, {PERPEND_GAUGE_GAP, false, 0.0, 0.1, 0.0}, .bed_faced = true},
        .cutter = {22.0, 0.0},
        .facing = {10.0, false, PERPEND_ALONG_X, NAN},
        .goal = 0.02,
    };
    take_readings(&c, 4, (struct perpend_slope){0.0, 0.00192});
    assert_false(settled(chance_of(&c, c.fit.lean_covariance), 0.0));
    struct perpend_remedy remedy = remedy_of(&c);
    assert_true(remedy.by_step);
    assert_true(settled(chance_of(&c, by_hand(&c, 1, remedy.step, 75.0)), 0.012));
    assert_near(remedy.step, 0.02, 1e-12);
    assert_false(settled(chance_of(&c, by_hand(&c, 1, 0.05, 75.0)), -0.012));
    assert_false(remedy.by_repeats); /* an untouched mount rounds alike each time */
}

/* On the edge itself nothing settles. */
static void nothing_settles_on_the_edge(void **state)
{
    (void)state;
    struct bench_case c = {
        .setup = {{75.0, 0.005, 0.035}, {PERPEND_GAUGE_GAP, false, 0.0, 0.05, NAN},
            .bed_faced = true},
        .cutter = {22.0, 0.0},
        .facing = {10.0, false, PERPEND_ALONG_X, NAN},
        .goal = 0.02,
    };
    take_readings(&c, 4, (struct perpend_slope){0.0, 0.002});
    struct perpend_remedy remedy = remedy_of(&c);
    assert_false(remedy.by_repeats || remedy.by_step || remedy.by_arm);
}

/* Scatter that the gauge does not explain is not cured by a finer one. */
static void finer_gauge_does_not_cure_scatter(void **state)
{
    (void)state;
    struct bench_case c = {
        .setup = {{75.0, 0.0, 0.0}, {PERPEND_GAUGE_GAP, false, 0.0, 0.01, 0.0}, .bed_faced = true},
        .cutter = {22.0, 0.0},
        .facing = {10.0, false, PERPEND_ALONG_X, NAN},
        .goal = 0.02,
    };
    take_readings(&c, 8, (struct perpend_slope){0.0, 0.0017});
    for (size_t i = 0; i < c.count; i++)
        c.readings[i].value += i % 2 ? 0.04 : -0.04;
    assert_int_equal(perpend_fit_readings(c.readings, c.count, &c.setup, NULL, &c.fit), PERPEND_OK);
    assert_true(c.fit.quality.birge > 5.0);
    assert_false(settled(chance_of(&c, c.fit.lean_covariance), 0.0));
    struct perpend_remedy remedy = remedy_of(&c);
    assert_false(remedy.by_step);
    assert_true(remedy.by_repeats && remedy.by_arm);
}

/* At the step and at the arm that are needed, an upright spindle has a 95 % chance. */
static void means_are_just_enough(void **state)
{
    (void)state;
    struct test_random random = test_random_start("means", 20250302);
    for (int round = 0; round < 60; round++) {
        struct bench_case c = draw_case(&random);
        unsigned bearings = 3 + (unsigned)test_pick(&random, 14);
        struct perpend_means means;
        struct perpend_ridge_limits limits;
        const struct perpend_slope none = {0.0, 0.0};
        c.setup.gauge.step = test_uniform(&random, 0.01, 0.2);
        c.setup.gauge.spread = round % 2 ? NAN : test_uniform(&random, 0.0, 0.03);
        if (round % 7 == 0)
            c.setup.gauge = (struct perpend_gauge){PERPEND_GAUGE_LEVER, true, 0.5, 0.01, 0.005};
        if (round % 5 == 0)
            c.cutter.corner = 1.0;
        assert_int_equal(
            perpend_means_for(&c.setup, bearings, &c.cutter, &c.facing, c.goal, &means),
            PERPEND_OK);
        perpend_ridge_limits_for(none, &c.cutter, &c.facing, c.goal, c.setup.arm.length, &limits);
        assert_relative(means.agree, limits.opposite_reading, 1e-12);
        assert_relative(means.lean, limits.lean, 1e-12);
        double reading = perpend_gauge_uncertainty(&c.setup.gauge, 0.0);
        assert_relative(
            means.lean_uncertainty, reading * sqrt(2.0 / bearings) / c.setup.arm.length, 1e-12);

        struct perpend_setup at_arm = c.setup, at_step = c.setup;
        at_arm.arm.length = means.arm_needed;
        at_step.gauge.step = means.step_needed;
        for (int which = 0; which < 2; which++) {
            const struct perpend_setup *setup = which ? &at_step : &at_arm;
            if (which && isnan(means.step_needed))
                continue;
            double u = perpend_gauge_uncertainty(&setup->gauge, 0.0) * sqrt(2.0 / bearings) /
                       setup->arm.length;
            struct perpend_slope_covariance covariance = {u * u, 0.0, u * u};
            struct perpend_uncertain_lean lean = {none, covariance, INFINITY};
            struct perpend_distribution d;
            assert_int_equal(
                perpend_ridge_distribution(&lean, &c.cutter, &c.facing, c.goal, &d), PERPEND_OK);
            assert_near(d.chance, 0.95, 0.004);
        }
        assert_true(means.fine_enough == (means.arm_needed <= c.setup.arm.length));
        if (!isnan(means.step_needed))
            assert_true(means.fine_enough == (means.step_needed >= c.setup.gauge.step));
    }
}

/* The demo: 0.02 mm of ridge, 75 mm of arm, leaves of 0.05 mm. */
static void demo_means(void **state)
{
    (void)state;
    const struct perpend_setup setup = {
        {75.0, 0.005, 0.035}, {PERPEND_GAUGE_GAP, false, 0.0, 0.05, NAN}, .bed_faced = true};
    const struct perpend_cutter cutter = {22.0, 0.0};
    const struct perpend_facing facing = {10.0, false, PERPEND_ALONG_X, 0.2};
    struct perpend_means means;
    assert_int_equal(perpend_means_for(&setup, 4, &cutter, &facing, 0.02, &means), PERPEND_OK);
    assert_near(means.agree, 0.30, 1e-9);
    assert_true(means.fine_enough);
    assert_int_equal(
        perpend_means_for(&setup, 2, &cutter, &facing, 0.02, &means), PERPEND_ERR_VALUE);
    assert_int_equal(
        perpend_means_for(&setup, 4, &cutter, &facing, -0.02, &means), PERPEND_ERR_VALUE);
    /* a ball end never cuts so flat */
    const struct perpend_cutter ball = {22.0, 11.0};
    assert_int_equal(perpend_means_for(&setup, 4, &ball, &facing, 0.02, &means), PERPEND_OK);
    assert_false(means.fine_enough);
    assert_true(isnan(means.lean) && isnan(means.step_needed) && isnan(means.arm_needed));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(verdict_follows_the_chance),
        cmocka_unit_test(advice_settles),
        cmocka_unit_test(finer_gauge_settles),
        cmocka_unit_test(nothing_settles_on_the_edge),
        cmocka_unit_test(finer_gauge_does_not_cure_scatter),
        cmocka_unit_test(means_are_just_enough),
        cmocka_unit_test(demo_means),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
