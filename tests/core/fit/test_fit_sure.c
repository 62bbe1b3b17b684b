/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How sure the sweep fit is: the covariance in closed form, the scale that residuals set, suspect readings, the closure of four. */
#include "support/sweep_world.h"

/* What a stated spread's 50 degrees of freedom make of residuals of chi2 on dof, as a variance. */
static double scale_of(double prior, double chi2, double dof)
{
    return (prior + chi2) / (prior + dof) * (prior + dof) / (prior + dof - 2.0);
}

/* For n evenly spaced readings of uncertainty u: u_lean = u/R √(2/n), u_centre = u/√n, no
   correlation (from the normal equations of equal steps round a circle), times the scale; what stays
   of the rounding, and the waves, as for four. */
static void uncertainty_of_an_even_sweep(void **state)
{
    (void)state;
    for (size_t count = 3; count <= MOST; count++) {
        struct world world = even_sweep(count, 1, (struct perpend_slope){0.0, 0.0});
        world.setup.waves = count % 2 == 0 ? 0.0 : 0.03;
        world.setup.gauge.spread = count % 3 == 0 ? NAN : 0.01;
        struct perpend_fit fit = fit_of(&world);
        double n = (double)count, prior = count % 3 == 0 ? 4.0 : 50.0;
        double w2 = world.setup.waves * world.setup.waves;
        double u2 = pow(perpend_gauge_uncertainty(&world.setup.gauge), 2.0) + w2;
        double stays = w2 + perpend_gauge_stays(&world.setup.gauge);
        double each =
            scale_of(prior, 0.0, n - 3.0) * u2 / n +
            (n > 4.0 ? stays * (0.25 - 1.0 / n) * (prior + n - 3.0) / (prior + n - 5.0) : 0.0);
        double want = each * 2.0 / (75.0 * 75.0);
        assert_relative(fit.lean_covariance.right_right, want, 1e-12);
        assert_relative(fit.lean_covariance.back_back, want, 1e-12);
        assert_near(fit.lean_covariance.right_back, 0.0, 1e-12 * want);
        assert_near(fit.dof, prior + n - 3.0, 0.0);
    }
}

/* Places an arm's length apart have waves of their own; the same readings at one place have not. */
static void places_share_no_waves(void **state)
{
    (void)state;
    struct world one = even_sweep(4, 8, (struct perpend_slope){0.0, 0.0}), many = one;
    one.setup.waves = many.setup.waves = 0.05;
    for (size_t i = 0; i < many.count; i++)
        many.readings[i].x = 100.0 * (double)(i / 4);
    double ratio = fit_of(&one).lean_covariance.back_back / fit_of(&many).lean_covariance.back_back;
    double u2 = pow(perpend_gauge_uncertainty(&one.setup.gauge), 2.0) + 0.05 * 0.05;
    double stays = 0.05 * 0.05 + perpend_gauge_stays(&one.setup.gauge);
    assert_relative(ratio, 1.0 + stays / u2 * 7.0 / fit_of(&one).quality.scale, 1e-9);
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

/* All bearings turned together turn the lean: u_turned of it, square to it, nothing along it. */
static void uncertainty_of_a_turn(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.006, -0.008});
    struct perpend_fit without = fit_of(&world);
    world.setup.arm.turned_uncertainty = 0.03;
    struct perpend_fit with = fit_of(&world);
    struct perpend_slope_covariance a = with.lean_covariance, b = without.lean_covariance;
    assert_relative(a.right_right - b.right_right, 0.008 * 0.008 * 9e-4, 1e-7);
    assert_relative(a.right_back - b.right_back, 0.006 * 0.008 * 9e-4, 1e-7);
    assert_relative(a.back_back - b.back_back, 0.006 * 0.006 * 9e-4, 1e-7);
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
    double scale = scale_of(50.0, 0.0, 1.0);
    assert_relative(fit.lean_covariance.right_right, scale * side / (2.0 * arm * arm), 1e-4);
    assert_relative(fit.lean_covariance.back_back, scale * wave / (2.0 * arm * arm), 1e-3);
}

/* One scale: what was known before counts like readings, so that a guess gives way to the residuals
   sooner than what was stated. */
static void residuals_set_the_scale(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.003, 0.0});
    world.readings[0].value += 0.1; /* closure: residuals ± 0.025, χ² = 4 (0.025/u)² */
    for (int stated = 0; stated < 2; stated++) {
        world.setup.gauge.spread = stated ? 0.0 : NAN;
        struct perpend_fit fit = fit_of(&world);
        double u = perpend_gauge_uncertainty(&world.setup.gauge), prior = stated ? 50.0 : 4.0;
        double chi2 = 4.0 * (0.025 / u) * (0.025 / u);
        assert_near(fit.quality.chi2, chi2, 1e-3);
        assert_int_equal(fit.quality.dof, 1);
        assert_near(fit.quality.scale, (prior + chi2) / (prior + 1.0), 1e-3);
        assert_near(fit.quality.rms, 0.025, 1e-5);
        assert_relative(fit.lean_covariance.back_back,
            scale_of(prior, chi2, 1.0) * u * u / (2.0 * 75.0 * 75.0), 1e-3);
    }
    world.setup.gauge.spread = 0.0;
    assert_near(fit_of(&world).quality.p, 0.000532, 1e-6); /* χ² tail at 12, 1 dof (tables) */
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
        assert_near(fit.closure.limit, 2.355 * 2.0 * 0.05 / sqrt(12.0), 1e-6);
        assert_int_equal(fit.closure.off, fabs(slip) > fit.closure.limit);
    }
}

/* A hand with leaves who states nothing is asked again when opposite pairs are three leaves apart. */
static void three_leaves_apart_are_questioned(void **state)
{
    (void)state;
    struct world world = even_sweep(4, 1, (struct perpend_slope){0.0, 0.0});
    world.setup.gauge.spread = world.setup.waves = NAN;
    world.readings[1].value += 0.1;
    assert_false(fit_of(&world).closure.off);
    world.readings[1].value += 0.05;
    assert_true(fit_of(&world).closure.off);
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
    assert_true(fit.quality.scale > 1.0);
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
        cmocka_unit_test(uncertainty_of_a_turn),
        cmocka_unit_test(places_share_no_waves),
        cmocka_unit_test(residuals_set_the_scale),
        cmocka_unit_test(closure_of_four),
        cmocka_unit_test(three_leaves_apart_are_questioned),
        cmocka_unit_test(closure_needs_quarter_turns),
        cmocka_unit_test(suspect_is_named),
        cmocka_unit_test(one_step_is_no_suspect),
        cmocka_unit_test(fewer_than_six_name_nobody),
        cmocka_unit_test(twins_are_both_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
