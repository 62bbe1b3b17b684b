/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How sure the sweep fit is: the covariance in closed form, repeats, residuals beyond what the
   gauge explains, suspect readings, the closure of four. */
#include "support/sweep_world.h"

/* For n evenly spaced readings of uncertainty u: u_lean = u/R √(2/n), u_centre = u/√n, no
   correlation (from the normal equations of equal steps round a circle). */
static void uncertainty_of_an_even_sweep(void **state)
{
    (void)state;
    const double u = 0.05 / sqrt(12.0);
    for (size_t count = 3; count <= MOST; count++) {
        struct world world = even_sweep(count, 1, (struct perpend_slope){0.0, 0.0});
        struct perpend_fit fit = fit_of(&world);
        double want = u * u / (75.0 * 75.0) * 2.0 / (double)count;
        assert_relative(fit.lean_covariance.right_right, want, 1e-12);
        assert_relative(fit.lean_covariance.back_back, want, 1e-12);
        assert_near(fit.lean_covariance.right_back, 0.0, 1e-12 * want);
        assert_relative(fit.centre_uncertainty, u / sqrt((double)count), 1e-12);
        assert_relative(fit.quality.reading_uncertainty, u, 1e-15);
    }
}

/* The arm's length: u_R/R of the lean along the lean, nothing across it. */
static void uncertainty_of_the_arm(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.006, -0.008});
    struct perpend_fit without = fit_of(&world);
    world.setup.arm.relative_uncertainty = 0.02;
    struct perpend_fit with = fit_of(&world);
    struct perpend_slope_covariance a = with.lean_covariance, b = without.lean_covariance;
    assert_relative(a.right_right - b.right_right, 0.006 * 0.006 * 4e-4, 1e-7);
    assert_relative(a.right_back - b.right_back, -0.006 * 0.008 * 4e-4, 1e-7);
    assert_relative(a.back_back - b.back_back, 0.008 * 0.008 * 4e-4, 1e-7);
    assert_true(with.quality.chi2 == without.quality.chi2 || with.quality.chi2 < 1e-20);
}

/* The arm's bearing turns lean into gap where the wave is steep: a lean to the back makes the right
   and left readings uncertain by R t u_aim, so that the lean to the right is. */
static void uncertainty_of_the_aim(void **state)
{
    (void)state;
    const double u = 0.05 / sqrt(12.0), aim = perpend_radians(2.0), t = 0.010, arm = 75.0;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.0, t});
    world.setup.arm.bearing_uncertainty = aim;
    struct perpend_fit fit = fit_of(&world);
    double side = u * u + arm * t * aim * arm * t * aim;
    double wave = u * u + 0.5 * arm * t * aim * aim * arm * t * aim * aim;
    assert_relative(fit.lean_covariance.right_right, side / (2.0 * arm * arm), 1e-4);
    assert_relative(fit.lean_covariance.back_back, wave / (2.0 * arm * arm), 1e-3);
}

/* Readings that repeat to the same step on a level bed tell no more than one of each: what rounding
   hides, it hides each time. A spread of a step shakes it loose, and the mean then counts. */
static void repeats_do_not_shed_their_rounding(void **state)
{
    (void)state;
    const struct perpend_slope level = {0.0, 0.0};
    struct world once = even_sweep(4, 1, level), often = even_sweep(4, 16, level);
    once.setup.gauge.spread = often.setup.gauge.spread = 0.0;
    double ratio =
        fit_of(&often).lean_covariance.right_right / fit_of(&once).lean_covariance.right_right;
    assert_near(ratio, 1.0, 1e-3);
    once.setup.gauge.spread = often.setup.gauge.spread = 0.05;
    ratio = fit_of(&often).lean_covariance.right_right / fit_of(&once).lean_covariance.right_right;
    assert_near(ratio, 1.0 / 16.0, 1e-3);
}

/* Spread not stated: pooled from the repeats, and a covariance wider by the F quantile for its few
   degrees of freedom. Stated: taken as it stands. */
static void pooled_spread_is_used(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 2, (struct perpend_slope){0.0, 0.0});
    world.setup.gauge.step = 1e-4;
    for (size_t i = 0; i < 8; i++) /* pairs 0.02 apart, alternately: variance 0.0002 each */
        world.readings[i].value += (i < 4) == (i % 2 == 0) ? 0.01 : -0.01;
    struct perpend_fit pooled = fit_of(&world);
    assert_relative(pooled.quality.spread_used, sqrt(0.0002), 1e-12);
    assert_int_equal(pooled.quality.spread_dof, 4);
    /* F(2, 4) at 95 % is 6.944, chi-square of 2 is 5.991 (tables) */
    assert_relative(pooled.quality.few_repeats, sqrt(2.0 * 6.944 / 5.991), 1e-3);
    world.setup.gauge.spread = sqrt(0.0002);
    struct perpend_fit stated = fit_of(&world);
    assert_int_equal(stated.quality.spread_dof, 0);
    assert_true(stated.quality.few_repeats == 1.0);
    assert_relative(pooled.lean_covariance.right_right,
        stated.lean_covariance.right_right * pooled.quality.few_repeats *
            pooled.quality.few_repeats,
        1e-9);
}

/* Residuals beyond what the gauge explains widen the answer by √(χ²/dof); never narrow it. */
static void birge_widens(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.003, 0.0});
    struct perpend_fit clean = fit_of(&world);
    assert_true(clean.quality.birge == 1.0);
    assert_near(clean.quality.p, 1.0, 1e-9);
    world.readings[0].value += 0.1; /* closure: residuals ± 0.025, χ² = 4 (0.025/u)² = 12 */
    struct perpend_fit off = fit_of(&world);
    assert_near(off.quality.chi2, 12.0, 1e-3);
    assert_int_equal(off.quality.dof, 1);
    assert_near(off.quality.birge, sqrt(12.0), 1e-3);
    assert_near(off.quality.p, 0.000532, 1e-6); /* chi-square tail at 12, 1 dof (tables) */
    assert_relative(off.lean_covariance.back_back, 12.0 * clean.lean_covariance.back_back, 1e-3);
    assert_near(off.quality.rms, 0.025, 1e-5);
}

static void closure_of_four(void **state)
{
    (void)state;
    struct test_random random = test_random_start("closure of four", 49);
    for (int trial = 0; trial < 1000; trial++) {
        struct world world = even_sweep(4, 1, random_slope(&random, STEEPEST));
        double start = test_uniform(&random, -7.0, 7.0), slip = test_uniform(&random, -0.3, 0.3);
        size_t which = test_pick(&random, 4), first = 0;
        for (size_t i = 0; i < 4; i++)
            world.readings[i].bearing += start;
        read_exactly(&world);
        world.readings[which].value += slip;
        struct perpend_fit fit = fit_of(&world);
        /* the sign goes by rank from the lowest bearing on */
        double lowest = INFINITY;
        for (size_t i = 0; i < 4; i++) {
            double reduced = fmod(world.readings[i].bearing, 2.0 * PERPEND_PI);
            reduced += reduced < 0.0 ? 2.0 * PERPEND_PI : 0.0;
            if (reduced < lowest) {
                lowest = reduced;
                first = i;
            }
        }
        assert_true(fit.closure.checked);
        assert_near(fit.closure.value, (which - first) % 2 == 0 ? slip : -slip, 1e-12);
        assert_near(fit.closure.limit, 1.959964 * 2.0 * 0.05 / sqrt(12.0), 1e-6);
        assert_int_equal(fit.closure.off, fabs(slip) > fit.closure.limit);
    }
}

static void closure_needs_quarter_turns(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.0, 0.0});
    world.readings[2].bearing += 0.01;
    assert_false(fit_of(&world).closure.checked);
    world = even_sweep(5, 1, (struct perpend_slope){0.0, 0.0});
    assert_false(fit_of(&world).closure.checked);
    world = even_sweep(3, 1, (struct perpend_slope){0.0, 0.0});
    assert_false(fit_of(&world).closure.checked);
}

static void suspect_is_named(void **state)
{
    (void)state;
    const struct perpend_slope lean = {0.002, 0.004};
    struct test_random random = test_random_start("suspect is named", 50);
    for (int trial = 0; trial < 500; trial++) {
        struct world world = even_sweep(6 + test_pick(&random, 20), 1, lean);
        world.setup.gauge.spread = 0.005;
        add_noise(&world, &random, 0.005);
        struct world rest = world;
        size_t which = test_pick(&random, world.count);
        world.readings[which].value += trial % 2 == 0 ? 1.0 : -1.0;
        struct perpend_fit fit = fit_of(&world);
        if (fit.suspect.index != which || fit.suspect.has_twin) {
            print_world(trial, &world, PERPEND_OK);
            printf("# misread %zu, named %zd\n", which, (ssize_t)fit.suspect.index);
            fail();
        }
        assert_true(fabs(fit.suspect.studentised) > fit.suspect.limit);
        assert_true((fit.suspect.studentised > 0.0) == (trial % 2 == 0));
        rest.readings[which] = rest.readings[--rest.count];
        struct perpend_fit without = fit_of(&rest);
        assert_true(fit.suspect.has_lean_without);
        assert_near(slope_distance(fit.suspect.lean_without, without.lean), 0.0, 1e-12);
        assert_relative(fit.suspect.lean_without_covariance.right_right,
            without.lean_covariance.right_right, 1e-9);
    }
}

/* A whole step of rounding among readings that else agree to the last digit is not a misreading;
   two steps and more beyond what the gauge explains is. */
static void one_step_is_no_suspect(void **state)
{
    (void)state;
    struct world world = even_sweep(8, 1, (struct perpend_slope){0.0, 0.0});
    world.readings[3].value += 0.05;
    struct perpend_fit fit = fit_of(&world);
    assert_true(fit.suspect.index == PERPEND_FIT_NO_SUSPECT);
    assert_true(fit.quality.birge == 1.0);
    world.readings[3].value += 0.05;
    fit = fit_of(&world);
    assert_true(fit.suspect.index == 3);
}

static void fewer_than_six_name_nobody(void **state)
{
    (void)state;
    struct world world = even_sweep(5, 1, (struct perpend_slope){0.0, 0.0});
    world.readings[3].value += 1.0;
    struct perpend_fit fit = fit_of(&world);
    assert_true(fit.suspect.index == PERPEND_FIT_NO_SUSPECT);
    assert_true(fit.quality.birge > 1.0);
}

/* Three bearings, each read twice: a pair that pulls apart says that one of the two is wrong, not
   which, and nothing is left to answer from without both. */
static void twins_are_both_named(void **state)
{
    (void)state;
    struct world world = even_sweep(3, 2, (struct perpend_slope){0.001, 0.0});
    world.readings[0].value += 0.001;
    world.readings[2].value -= 0.001;
    world.readings[4].value += 1.0;
    struct perpend_fit fit = fit_of(&world);
    assert_true(fit.suspect.has_twin && fit.suspect.index != fit.suspect.twin);
    for (size_t i = 0; i < world.count; i++)
        assert_int_equal(perpend_fit_suspects(&fit, i), i == 1 || i == 4);
    assert_false(fit.suspect.has_lean_without);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(uncertainty_of_an_even_sweep),
        cmocka_unit_test(uncertainty_of_the_arm),
        cmocka_unit_test(uncertainty_of_the_aim),
        cmocka_unit_test(repeats_do_not_shed_their_rounding),
        cmocka_unit_test(pooled_spread_is_used),
        cmocka_unit_test(birge_widens),
        cmocka_unit_test(closure_of_four),
        cmocka_unit_test(closure_needs_quarter_turns),
        cmocka_unit_test(suspect_is_named),
        cmocka_unit_test(one_step_is_no_suspect),
        cmocka_unit_test(fewer_than_six_name_nobody),
        cmocka_unit_test(twins_are_both_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
