/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The verdict, what would settle it, and whether arm and gauge can see a goal at all. */
#include "support/support.h"

#include <perpend/status.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

#include "core/fit/expected_fit.h"
#include "core/propagate/goal_region.h"
#include "core/propagate/ridge_distribution.h"

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

#define READINGS_MOST 160

/* A machine to ask about: readings as scattered as it is said, spread over n bearings, at one place of
   a faced bed or at three of one as found. */
struct bench_case {
    struct perpend_setup setup;
    struct perpend_cutter cutter;
    struct perpend_facing facing;
    struct perpend_goal goal;
    struct perpend_reading readings[READINGS_MOST];
    size_t count;
    struct perpend_fit fit;
};

static double noise(const struct bench_case *c, struct test_random *random)
{
    return hypot(perpend_gauge_uncertainty(&c->setup.gauge), c->setup.waves) * test_normal(random);
}

static void take_readings(struct bench_case *c, size_t count, struct perpend_slope lean,
    double side, struct test_random *random)
{
    const struct perpend_slope none = {0.0, 0.0};
    c->count = 0;
    for (int place = 0; place < (side > 0.0 ? 3 : 1); place++) {
        for (size_t i = 0; i < count; i++) {
            double bearing = 2.0 * PERPEND_PI * (double)i / (double)count;
            double gap = 5.0 + perpend_gap(lean, none, c->setup.arm.length, bearing, 0.0, 0.0);
            c->readings[c->count++] = (struct perpend_reading){
                bearing, gap + noise(c, random), place > 0 ? side : 0.0, place > 1 ? side : 0.0};
        }
    }
    assert_int_equal(
        perpend_fit_readings(c->readings, c->count, &c->setup, NULL, &c->fit), PERPEND_OK);
}

static struct bench_case draw_case(struct test_random *random)
{
    struct bench_case c = {
        .setup = {{test_uniform(random, 50.0, 120.0), 0.005, 2.0 * PERPEND_PI / 180.0, 0.0},
            {PERPEND_GAUGE_GAP, false, 0.0, 0.05, test_uniform(random, 0.01, 0.04)},
            .bed_faced = test_pick(random, 3) != 0, .waves = 0.02},
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
        (struct perpend_slope){size * sin(bearing), size * cos(bearing)},
        c.setup.bed_faced ? 0.0 : test_uniform(random, 60.0, 200.0), random);
    return c;
}

static enum perpend_verdict verdict_of(const struct bench_case *c)
{
    struct perpend_uncertain_lean lean = {c->fit.lean, c->fit.lean_covariance, c->fit.dof};
    struct perpend_distribution d;
    assert_int_equal(
        ridge_distribution_by(LATTICE_OF_233, &lean, &c->cutter, &c->facing, &c->goal, &d),
        PERPEND_OK);
    return perpend_verdict_for(d.chance);
}

static struct perpend_slope lean_toward(double bearing, double size)
{
    return (struct perpend_slope){size * sin(bearing), size * cos(bearing)};
}

static bool kept(const struct bench_case *c, struct perpend_slope lean)
{
    double height;
    return perpend_ridge_facing(lean, &c->cutter, &c->facing, &height) == PERPEND_OK &&
           perpend_goal_kept(&c->goal, height, lean);
}

/* The edge of the region, whichever way, is where leans no longer keep the goal. */
static void the_region_is_the_goal(void **state)
{
    (void)state;
    struct test_random random = test_random_start("region", 20261128);
    const struct perpend_slope none = {0.0, 0.0};
    for (int n = 0, cases = test_cases(300, 60); n < cases; n++) {
        struct bench_case c = draw_case(&random);
        struct goal_region region;
        double bearing = test_uniform(&random, 0.0, 2.0 * PERPEND_PI), within = 0.0, beyond = 1.0;
        c.cutter.corner = n % 4 == 0 ? test_uniform(&random, 0.2, 3.0) : 0.0;
        c.facing.along = n % 2 ? PERPEND_ALONG_X : test_uniform(&random, 0.0, PERPEND_PI);
        c.goal.lean = n % 3 == 0 ? test_uniform(&random, 0.0005, 0.003) : NAN;
        assert_true(goal_region_make(&c.cutter, &c.facing, &c.goal, &region));
        assert_true(goal_region_share(&region, none, &none, 1) == 1.0);
        for (int i = 0; i < 40; i++) {
            double middle = (within + beyond) / 2.0;
            if (goal_region_share(&region, lean_toward(bearing, middle), &none, 1) > 0.0)
                within = middle;
            else
                beyond = middle;
        }
        assert_true(kept(&c, lean_toward(bearing, within * 0.995)));
        assert_false(kept(&c, lean_toward(bearing, within * 1.005)));
    }
}

/* What a sweep of an upright spindle tells is what the fit expects of it. */
static void an_upright_sweep_is_as_sure_as_its_fit(void **state)
{
    (void)state;
    struct test_random random = test_random_start("upright", 20261129);
    for (int n = 0; n < 100; n++) {
        struct bench_case c = draw_case(&random);
        struct perpend_fit fit;
        unsigned count = 3 + (unsigned)test_pick(&random, 60);
        c.setup.bed_faced = true;
        c.setup.gauge.spread = n % 2 ? NAN : c.setup.gauge.spread;
        for (size_t i = 0; i < count; i++)
            c.readings[i] =
                (struct perpend_reading){2.0 * PERPEND_PI * (double)i / count, 0.0, 0.0, 0.0};
        assert_int_equal(fit_expected(c.readings, count, &c.setup, 1.0, &fit), PERPEND_OK);
        const double variance = fit_upright_variance(&c.setup, count);
        if (n % 2 == 0 || count <= 4) {
            assert_relative(variance, fit.lean_covariance.right_right, 1e-9);
            assert_relative(variance, fit.lean_covariance.back_back, 1e-9);
        } else { /* for a hand that nobody knows all of the rounding may stay, as at four bearings */
            const double step = c.setup.gauge.step / c.setup.arm.length;
            assert_true(variance > fit.lean_covariance.right_right);
            assert_true(variance - fit.lean_covariance.right_right < step * step / 12.0);
        }
        assert_near(fit_upright_dof(&c.setup, count), fit.dof, 0.0);
    }
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

/* The measurement that the advice asks for, of a spindle that truly leans so. */
static void follow(const struct bench_case *c, const struct perpend_remedy *advice,
    struct perpend_slope truth, struct test_random *random, struct bench_case *then)
{
    const struct perpend_slope sum = perpend_fit_sum(&c->fit); /* known far better than its parts */
    const struct perpend_slope none = {0.0, 0.0};
    const struct perpend_slope bed = {sum.right - truth.right, sum.back - truth.back};
    size_t times = 0;
    *then = *c;
    if (advice->kind == PERPEND_REMEDY_SWEEPS)
        times = (size_t)advice->value;
    if (advice->kind == PERPEND_REMEDY_STEP)
        then->setup.gauge.step = advice->value;
    if (advice->kind == PERPEND_REMEDY_ARM)
        then->setup.arm.length = advice->value;
    if (advice->kind == PERPEND_REMEDY_PLATE)
        then->setup.waves = PERPEND_WAVES_PLATE;
    if (advice->kind == PERPEND_REMEDY_PLACES)
        take_readings(then, c->count / 3, none, advice->value, random);
    size_t once = then->count;
    then->count = once * (1 + times);
    for (size_t i = times > 0 ? once : 0; i < then->count; i++) {
        struct perpend_reading *r = &then->readings[i];
        *r = then->readings[i % once];
        r->value = 5.0 + noise(then, random) +
                   perpend_gap(truth, c->setup.bed_faced ? none : bed, then->setup.arm.length,
                       r->bearing, r->x, r->y);
    }
    assert_int_equal(
        perpend_fit_readings(then->readings, then->count, &then->setup, NULL, &then->fit),
        PERPEND_OK);
}

/* Of jobs that are too close and follow the advice that was given first, as many are settled as was
   said, whatever the advice. */
static void advice_settles(void **state)
{
    (void)state;
    struct test_random random = test_random_start("remedies", 20250301);
    double said[PERPEND_REMEDIES + 1] = {0}, settled[PERPEND_REMEDIES + 1] = {0};
    double asked[PERPEND_REMEDIES + 1] = {0};
    double *all = &asked[PERPEND_REMEDIES], wanted = test_cases(600, 150);
    for (int round = 0; round < 4000 && *all < wanted; round++) {
        struct bench_case c = draw_case(&random), then;
        if (verdict_of(&c) != PERPEND_VERDICT_TOO_CLOSE)
            continue;
        struct remedies remedies = remedies_of(&c);
        for (size_t i = 0; i < remedies.count; i++) {
            const struct perpend_remedy *advice = &remedies.list[i];
            assert_true(advice->chance >= 0.2 && advice->chance <= 1.0);
            assert_true(i == 0 || advice->chance <= remedies.list[i - 1].chance);
            follow(&c, advice, truth_of(&c, &random), &random, &then);
            double done = verdict_of(&then) != PERPEND_VERDICT_TOO_CLOSE;
            for (int row = (int)advice->kind;; row = PERPEND_REMEDIES) {
                asked[row] += 1.0;
                said[row] += advice->chance;
                settled[row] += done;
                if (row == PERPEND_REMEDIES || i > 0)
                    break;
            }
        }
    }
    const char *const names[] = {"sweeps", "step", "arm", "plate", "places", "said first"};
    for (int row = 0; row <= PERPEND_REMEDIES; row++)
        printf("# %-10s %3.0f jobs: said %2.0f in 100, settled %2.0f\n", names[row], asked[row],
            100.0 * said[row] / asked[row], 100.0 * settled[row] / asked[row]);
    assert_true(*all >= wanted);
    for (int row = 0; row <= PERPEND_REMEDIES; row++)
        assert_near(settled[row] / asked[row], said[row] / asked[row],
            0.04 + 1.5 / sqrt(asked[row])); /* three standard deviations */
}

static double rough_chance_of(const struct bench_case *c, const struct perpend_fit *fit)
{
    struct perpend_uncertain_lean lean = {fit->lean, fit->lean_covariance, fit->dof};
    struct perpend_distribution d;
    assert_int_equal(
        ridge_distribution_by(LATTICE_OF_1597, &lean, &c->cutter, &c->facing, &c->goal, &d),
        PERPEND_OK);
    return d.chance;
}

/* The least chance of the goal of leans that are found within a square, as sure as a sweep is. */
static double worst_chance(
    const struct bench_case *c, const struct perpend_means *means, double half)
{
    const double u2 = pow(means->lean_uncertainty, 2.0);
    double worst = 1.0;
    for (int k = -4; k <= 4; k++) {
        struct perpend_fit fit = {
            .lean = {half, half * k / 4.0}, .lean_covariance = {u2, 0.0, u2}, .dof = c->fit.dof};
        worst = fmin(worst, rough_chance_of(c, &fit));
        fit.lean = (struct perpend_slope){half * k / 4.0, half};
        worst = fmin(worst, rough_chance_of(c, &fit));
    }
    return worst;
}

/* While opposite readings differ by no more than is said, both pairs, the goal is met for sure, and not
   by much more. */
static void agree_is_just_sure(const struct bench_case *c, const struct perpend_means *means)
{
    double half = means->agree / (2.0 * c->setup.arm.length);
    assert_true(isnan(means->agree) == !means->fine_enough);
    if (means->fine_enough) {
        double within = worst_chance(c, means, half);
        double beyond = worst_chance(c, means, half + 0.1 * means->lean_uncertainty);
        if (within < 0.95 - 0.015 || beyond > 0.95 + 0.01)
            fail_msg("corner %g, along %g, both %d, goal %g %g: %.4f within, %.4f beyond",
                c->cutter.corner, c->facing.along, c->facing.both_ways, c->goal.ridge, c->goal.lean,
                within, beyond);
    }
}

/* Chance that a lean found one step off both ways is no more than is allowed, by sums over the radius and
   the direction of a bivariate t. */
static double one_step_chance(
    const struct perpend_setup *setup, unsigned bearings, const struct perpend_means *means)
{
    const double dof = (isnan(setup->gauge.spread) ? 4.0 : 50.0) + bearings - 3.0;
    const double scale = means->lean_uncertainty * sqrt((dof - 2.0) / dof);
    const double half = fabs(perpend_gauge_gap_per_reading(&setup->gauge)) * setup->gauge.step /
                        (2.0 * setup->arm.length);
    const int parts = 120;
    int within = 0;
    for (int i = 0; i < parts; i++)
        for (int j = 0; j < parts; j++) {
            double q = (i + 0.5) / parts, turn = 2.0 * PERPEND_PI * (j + 0.5) / parts;
            double radius = scale * sqrt(dof * (pow(1.0 - q, -2.0 / dof) - 1.0));
            within += hypot(half + radius * cos(turn), half + radius * sin(turn)) <= means->lean;
        }
    return (double)within / (parts * parts);
}

/* At the step and at the arm that are needed the goal is as sure as it has to be, one step off. */
static void means_are_just_enough(void **state)
{
    (void)state;
    struct test_random random = test_random_start("means", 20250302);
    for (int round = 0, rounds = (int)test_cases(300, 15); round < rounds; round++) {
        struct bench_case c = draw_case(&random);
        unsigned bearings = 3 + (unsigned)test_pick(&random, 14);
        struct perpend_means means;
        struct perpend_ridge_limits limits;
        const struct perpend_slope none = {0.0, 0.0};
        c.setup.gauge.step = test_uniform(&random, 0.01, 0.2);
        c.setup.gauge.spread = round % 2 ? NAN : test_uniform(&random, 0.0, 0.03);
        if (round % 7 == 0)
            c.setup.gauge = (struct perpend_gauge){PERPEND_GAUGE_LEVER, true, 0.5, 0.01, 0.005};
        if (round % 15 == 0) /* takes twenty times as long */
            c.cutter.corner = 1.0;
        if (round % 4 == 0)
            c.goal.lean = test_uniform(&random, 0.0005, 0.003);
        if (round % 3 == 0)
            c.facing.along = test_uniform(&random, 0.0, PERPEND_PI);
        assert_int_equal(
            perpend_means_for(&c.setup, bearings, &c.cutter, &c.facing, &c.goal, &means),
            PERPEND_OK);
        perpend_ridge_limits_for(
            none, &c.cutter, &c.facing, c.goal.ridge, c.setup.arm.length, &limits);
        if (isnan(c.goal.lean))
            assert_relative(means.lean, limits.lean, 1e-12);
        c.fit.dof = (isnan(c.setup.gauge.spread) ? 4.0 : 50.0) + bearings - 3.0;
        agree_is_just_sure(&c, &means);
        struct perpend_setup at_arm = c.setup, at_step = c.setup;
        at_arm.arm.length = means.arm_needed;
        at_step.gauge.step = means.step_needed;
        for (int which = 0; which < 2; which++) {
            if (which && (isnan(means.step_needed) || means.step_needed > 0.999))
                continue;
            const struct perpend_setup *needed = which ? &at_step : &at_arm;
            struct perpend_means there;
            assert_int_equal(
                perpend_means_for(needed, bearings, &c.cutter, &c.facing, &c.goal, &there),
                PERPEND_OK);
            assert_near(one_step_chance(needed, bearings, &there), 0.95, 0.006);
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
    const struct perpend_goal goal = {0.02, NAN}, below = {-0.02, NAN};
    struct perpend_means means;
    assert_int_equal(perpend_means_for(&setup, 4, &cutter, &facing, &goal, &means), PERPEND_OK);
    assert_near(means.agree, 0.2576, 0.001); /* of 0.300 for a lean that is exactly known */
    assert_true(means.fine_enough);
    assert_int_equal(
        perpend_means_for(&setup, 2, &cutter, &facing, &goal, &means), PERPEND_ERR_VALUE);
    assert_int_equal(
        perpend_means_for(&setup, 4, &cutter, &facing, &below, &means), PERPEND_ERR_VALUE);
    /* numbers that mean nothing are refused, one at a time */
    const double bad[] = {NAN, INFINITY, 0.0, -1.0};
    for (size_t i = 0; i < 4; i++) {
        struct perpend_setup arm = setup, gauge = setup;
        struct perpend_facing wrong = facing;
        struct perpend_goal ridge = {bad[i], NAN}, lean = {NAN, bad[i]};
        arm.arm.length = gauge.gauge.step = wrong.stepover = bad[i];
        assert_int_not_equal(
            perpend_means_for(&arm, 4, &cutter, &facing, &goal, &means), PERPEND_OK);
        assert_int_not_equal(
            perpend_means_for(&gauge, 4, &cutter, &facing, &goal, &means), PERPEND_OK);
        assert_int_not_equal(
            perpend_means_for(&setup, 4, &cutter, &wrong, &goal, &means), PERPEND_OK);
        assert_int_not_equal(
            perpend_means_for(&setup, 4, &cutter, &facing, &ridge, &means), PERPEND_OK);
        assert_int_not_equal(
            perpend_means_for(&setup, 4, &cutter, &facing, &lean, &means), PERPEND_OK);
    }
    assert_int_equal(
        perpend_means_for(&setup, 1000000, &cutter, &facing, &goal, &means), PERPEND_ERR_VALUE);
    struct perpend_remedy none_found[PERPEND_REMEDIES];
    size_t found = 1;
    assert_int_equal(perpend_remedies_find(
                         &(struct perpend_remedy_question){.goal = {NAN, NAN}}, none_found, &found),
        PERPEND_ERR_VALUE);
    assert_int_equal(found, 0);
    assert_int_equal(perpend_remedies_find(
                         &(struct perpend_remedy_question){.goal = {NAN, 0.001}, .count = 1000000},
                         none_found, &found),
        PERPEND_OK);
    assert_int_equal(found, 0);
    /* a ball end never cuts so flat */
    const struct perpend_cutter ball = {22.0, 11.0};
    assert_int_equal(perpend_means_for(&setup, 4, &ball, &facing, &goal, &means), PERPEND_OK);
    assert_false(means.fine_enough);
    assert_true(isnan(means.lean) && isnan(means.step_needed) && isnan(means.arm_needed));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(verdict_follows_the_chance),
        cmocka_unit_test(the_region_is_the_goal),
        cmocka_unit_test(an_upright_sweep_is_as_sure_as_its_fit),
        cmocka_unit_test(advice_settles),
        cmocka_unit_test(means_are_just_enough),
        cmocka_unit_test(demo_means),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
