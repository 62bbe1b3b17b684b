/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The verdict, what would settle it, and whether arm and gauge can see a goal at all. */
#include "support/support.h"

#include <perpend/status.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

#include "core/fit/expected_fit.h"

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
    assert_string_equal(perpend_verdict_text(PERPEND_VERDICT_UNKNOWN), "unknown");
}

/* A machine to ask about: readings that fit exactly, spread over n bearings. */
struct bench_case {
    struct perpend_setup setup;
    struct perpend_cutter cutter;
    struct perpend_facing facing;
    struct perpend_goal goal;
    struct perpend_reading readings[64];
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
        .setup = {{test_uniform(random, 50.0, 120.0), 0.005, 2.0 * PERPEND_PI / 180.0, 0.0},
            {PERPEND_GAUGE_GAP, false, 0.0, 0.05, test_uniform(random, 0.01, 0.04)},
            .bed_faced = true},
        .cutter = {22.0, 0.0},
        .facing = {test_uniform(random, 5.0, 15.0), test_pick(random, 3) == 0, PERPEND_ALONG_X,
            NAN},
        .goal = {0.02, NAN},
    };
    double bearing = test_uniform(random, 0.0, 2.0 * PERPEND_PI);
    struct perpend_ridge_limits limits;
    const struct perpend_slope none = {0.0, 0.0};
    perpend_ridge_limits_for(none, &c.cutter, &c.facing, c.goal.ridge, 75.0, &limits);
    double size = limits.lean * test_uniform(random, 0.6, 1.4);
    take_readings(&c, 4 + 2 * test_pick(random, 3),
        (struct perpend_slope){size * sin(bearing), size * cos(bearing)});
    return c;
}

static double chance_of(const struct bench_case *c, const struct perpend_fit *fit)
{
    struct perpend_uncertain_lean lean = {fit->lean, fit->lean_covariance, fit->dof};
    struct perpend_distribution d;
    assert_int_equal(
        perpend_ridge_distribution(&lean, &c->cutter, &c->facing, &c->goal, &d), PERPEND_OK);
    return d.chance;
}

struct remedies {
    struct perpend_remedy list[PERPEND_REMEDIES];
    size_t count;
};

static struct remedies remedies_of(const struct bench_case *c)
{
    struct remedies remedies;
    assert_int_equal(perpend_remedies_find(&(struct perpend_remedy_question){c->readings, c->count,
                                               &c->setup, &c->fit, &c->cutter, &c->facing, c->goal},
                         remedies.list, &remedies.count),
        PERPEND_OK);
    return remedies;
}

/* The spindle as it may truly be, by what was measured: a lean of the fit's t distribution. */
static struct perpend_slope truth_of(const struct bench_case *c, struct test_random *random)
{
    const struct perpend_slope_covariance *v = &c->fit.lean_covariance;
    double root = sqrt(v->right_right), shared = v->right_back / root, sum = 0.0;
    for (int i = 0; i < (int)c->fit.dof; i++)
        sum += pow(test_normal(random), 2.0);
    double wider = sqrt((c->fit.dof - 2.0) / sum), one = test_normal(random);
    return (struct perpend_slope){c->fit.lean.right + wider * root * one,
        c->fit.lean.back + wider * (shared * one + sqrt(fmax(0.0, v->back_back - shared * shared)) *
                                                       test_normal(random))};
}

/* Of jobs that are too close and follow the advice to sweep again or with another gauge or arm, as
   many are settled as was said. */
static void advice_settles(void **state)
{
    (void)state;
    struct test_random random = test_random_start("remedies", 20250301);
    double said = 0.0, settled = 0.0, asked = 0.0;
    for (int round = 0; round < 4000 && asked < 300.0; round++) {
        struct bench_case c = draw_case(&random), then = c;
        enum perpend_verdict verdict = perpend_verdict_for(chance_of(&c, &c.fit));
        if (verdict != PERPEND_VERDICT_TOO_CLOSE)
            continue;
        struct remedies remedies = remedies_of(&c);
        if (remedies.count == 0)
            continue;
        const struct perpend_remedy *first = &remedies.list[0];
        struct perpend_slope truth = truth_of(&c, &random);
        assert_true(first->chance >= 0.2 && first->chance <= 1.0);
        for (size_t i = 1; i < remedies.count; i++)
            assert_true(remedies.list[i].chance <= remedies.list[i - 1].chance);
        asked += 1.0;
        said += first->chance;
        size_t times = first->kind == PERPEND_REMEDY_SWEEPS ? (size_t)first->value : 0;
        if (first->kind == PERPEND_REMEDY_STEP)
            then.setup.gauge.step = first->value;
        if (first->kind == PERPEND_REMEDY_ARM)
            then.setup.arm.length = first->value;
        if (first->kind == PERPEND_REMEDY_PLATE)
            then.setup.waves = PERPEND_WAVES_PLATE;
        then.count = c.count * (1 + times);
        for (size_t i = times > 0 ? c.count : 0; i < then.count; i++) {
            const struct perpend_slope none = {0.0, 0.0};
            struct perpend_reading *r = &then.readings[i];
            *r = c.readings[i % c.count];
            double noise = hypot(perpend_gauge_uncertainty(&then.setup.gauge), then.setup.waves);
            r->value = 5.0 + perpend_gap(truth, none, then.setup.arm.length, r->bearing, 0.0, 0.0) +
                       noise * test_normal(&random);
        }
        assert_int_equal(
            perpend_fit_readings(then.readings, then.count, &then.setup, NULL, &then.fit),
            PERPEND_OK);
        settled += perpend_verdict_for(chance_of(&then, &then.fit)) != PERPEND_VERDICT_TOO_CLOSE;
    }
    printf("# %.0f jobs: said %.2f, settled %.2f\n", asked, said / asked, settled / asked);
    assert_true(asked >= 100.0);
    assert_near(settled / asked, said / asked, 0.15);
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
            perpend_means_for(&c.setup, bearings, &c.cutter, &c.facing, c.goal.ridge, &means),
            PERPEND_OK);
        perpend_ridge_limits_for(
            none, &c.cutter, &c.facing, c.goal.ridge, c.setup.arm.length, &limits);
        assert_relative(means.agree, limits.opposite_reading, 1e-12);
        assert_relative(means.lean, limits.lean, 1e-12);
        struct perpend_setup at_arm = c.setup, at_step = c.setup;
        at_arm.arm.length = means.arm_needed;
        at_step.gauge.step = means.step_needed;
        for (int which = 0; which < 2; which++) {
            if (which && (isnan(means.step_needed) || means.step_needed > 0.999))
                continue;
            struct bench_case upright = c;
            upright.setup = which ? at_step : at_arm;
            upright.count = bearings;
            for (size_t i = 0; i < bearings; i++)
                upright.readings[i] = (struct perpend_reading){
                    2.0 * PERPEND_PI * (double)i / bearings, 0.0, 0.0, 0.0};
            struct perpend_fit fit;
            assert_int_equal(
                fit_expected(upright.readings, bearings, &upright.setup, 1.0, &fit), PERPEND_OK);
            assert_near(chance_of(&upright, &fit), 0.95, 0.004);
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
        {75.0, 0.005, 0.035, 0.0}, {PERPEND_GAUGE_GAP, false, 0.0, 0.05, NAN}, .bed_faced = true};
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
        cmocka_unit_test(means_are_just_enough),
        cmocka_unit_test(demo_means),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
