/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The closed-form ridge against brute force from the definition, and the laws it must keep. */
#include "support/ridge_cases.h"

#include <perpend/status.h>

#include "core/ridge/ridge_search.h"

static void closed_form_is_brute_force(int all, bool corner, int samples, uint64_t seed)
{
    struct test_random random = test_random_start("closed form = brute force", seed);
    double worst = 0.0;
    const int cases = test_cases(all, 100);
    for (int i = 0; i < cases; i++) {
        struct case_ c = draw_case(&random, corner);
        double height = NAN;
        int status = perpend_ridge_height(c.lean, &c.cutter, c.stepover, c.along, &height);
        double brute = brute_ridge(c.lean, &c.cutter, c.stepover, c.along, samples);
        worst = fmax(worst, fabs(height - brute));
        if (status != PERPEND_OK || !(fabs(height - brute) <= 1e-9)) {
            print_case((size_t)i, &c);
            printf("# status %d, closed form %.17g, brute force %.17g\n", status, height, brute);
            fail();
        }
    }
    printf("# %d cases, farthest apart %.2g mm\n", cases, worst);
}

static void sharp_ridge_is_brute_force(void **state)
{
    (void)state;
    closed_form_is_brute_force(20000, false, 120, 20250101);
}

static void rounded_ridge_is_brute_force(void **state)
{
    (void)state;
    closed_form_is_brute_force(1500, true, 48, 20250102);
}

/* s tan(lean) across the feed; a hollow of known depth along it; both to rounding, at any size. */
static void known_limits_hold(void **state)
{
    (void)state;
    struct test_random random = test_random_start("limits", 20250103);
    for (size_t i = 0; i < 5000; i++) {
        struct perpend_cutter cutter = {test_uniform(&random, 2.0, 80.0), 0.0};
        double size = pow(10.0, test_uniform(&random, -14.0, -0.4));
        double along = test_uniform(&random, 0.0, 2.0 * PERPEND_PI);
        double d = cutter.diameter, s, height;
        struct perpend_slope across = {size * cos(along), -size * sin(along)};
        s = d / hypot(1.0, size) * test_uniform(&random, 0.01, 1.0);
        assert_int_equal(perpend_ridge_height(across, &cutter, s, along, &height), PERPEND_OK);
        /* sin and cos of the bearing leave a trace of lean along the feed */
        assert_relative(height, s * size, 1e-7);
        struct perpend_slope feed = {size * sin(along), size * cos(along)};
        s = d * test_uniform(&random, 0.01, 0.99);
        assert_int_equal(perpend_ridge_height(feed, &cutter, s, along, &height), PERPEND_OK);
        double depth = s * s / (2.0 * (d + sqrt(d * d - s * s))); /* (D − √(D² − s²)) / 2 */
        assert_relative(height, size / hypot(1.0, size) * depth, 1e-9);
    }
}

/* Turning the world, feeding the other way, mirroring in the feed: the floor stays the same. */
static void symmetries_hold(void **state)
{
    (void)state;
    struct test_random random = test_random_start("symmetries", 20250104);
    for (size_t i = 0; i < 4000; i++) {
        struct case_ c = draw_case(&random, i % 4 == 0);
        double a, b, turn = test_uniform(&random, 0.0, 2.0 * PERPEND_PI);
        struct perpend_slope turned = {c.lean.right * cos(turn) + c.lean.back * sin(turn),
            c.lean.back * cos(turn) - c.lean.right * sin(turn)};
        struct perpend_slope about = {-c.lean.right, -c.lean.back};
        assert_int_equal(
            perpend_ridge_height(c.lean, &c.cutter, c.stepover, c.along, &a), PERPEND_OK);
        assert_int_equal(
            perpend_ridge_height(turned, &c.cutter, c.stepover, c.along + turn, &b), PERPEND_OK);
        if (fabs(a - b) > 1e-10)
            print_case(i, &c);
        assert_near(b, a, 1e-10);
        assert_int_equal(
            perpend_ridge_height(c.lean, &c.cutter, c.stepover, c.along + PERPEND_PI, &b),
            PERPEND_OK);
        assert_near(b, a, 1e-10);
        assert_int_equal(
            perpend_ridge_height(about, &c.cutter, c.stepover, c.along, &b), PERPEND_OK);
        assert_near(b, a, 1e-10);
    }
}

/* A quarter turn of everything swaps feed along X and along Y exactly, in each field. */
static void quarter_turn_swaps_x_and_y(void **state)
{
    (void)state;
    struct test_random random = test_random_start("quarter turn", 20250105);
    for (size_t i = 0; i < 200; i++) {
        struct case_ c = draw_case(&random, i % 2 == 0);
        struct perpend_facing facing = {c.stepover * 0.9, i % 3 == 0, c.along, 0.1};
        struct perpend_facing turned_facing = facing;
        turned_facing.along += PERPEND_PI / 2.0;
        struct perpend_slope turned = {c.lean.back, -c.lean.right};
        struct perpend_ridge a, b;
        int status = perpend_ridge_describe(c.lean, &c.cutter, &facing, &a);
        assert_int_equal(perpend_ridge_describe(turned, &c.cutter, &turned_facing, &b), status);
        if (status != PERPEND_OK)
            continue;
        assert_near(b.height, a.height, 1e-10);
        assert_near(b.ra, a.ra, 1e-9);
        assert_near(b.best_height, a.best_height, 1e-10);
        assert_near(b.width, a.width, 1e-6);
        assert_near(b.drop, a.drop, 1e-12);
        if (isfinite(a.along_x) && isfinite(b.along_y))
            assert_near(b.along_y, a.along_x, 1e-10);
        if (isfinite(a.along_y) && isfinite(b.along_x))
            assert_near(b.along_x, a.along_y, 1e-10);
    }
}

/* The floor drawn point by point has the ridge and the roughness that the closed forms state. */
static void floor_agrees_with_ridge(void **state)
{
    (void)state;
    struct test_random random = test_random_start("floor", 20250106);
    enum { POINTS = 4000 };
    static double z[POINTS];
    double worst = 0.0;
    for (size_t i = 0; i < 300; i++) {
        struct case_ c = draw_case(&random, i % 3 == 0);
        struct perpend_facing facing = {c.stepover, false, c.along, NAN};
        struct perpend_ridge ridge;
        if (perpend_ridge_describe(c.lean, &c.cutter, &facing, &ridge) != PERPEND_OK)
            continue;
        double low = INFINITY, high = -INFINITY, mean = 0.0, ra = 0.0;
        double start = test_uniform(&random, -100.0, 100.0);
        for (int k = 0; k < POINTS; k++) {
            double p = start + c.stepover * (k + 0.5) / POINTS;
            assert_int_equal(
                perpend_floor_height(c.lean, &c.cutter, c.stepover, c.along, p, &z[k]), PERPEND_OK);
            low = fmin(low, z[k]);
            high = fmax(high, z[k]);
            mean += z[k] / POINTS;
        }
        for (int k = 0; k < POINTS; k++)
            ra += fabs(z[k] - mean) / POINTS;
        /* samples miss the peak by half a step or less, steep as the profile may be there */
        double slack = 1e-9 + ridge.height * 0.02;
        if (fabs(ra - ridge.ra) > 1e-9 + 0.0003 * ridge.height ||
            high - low > ridge.height + 1e-12 || high - low < ridge.height - slack) {
            print_case(i, &c);
            printf("# ra %.12g against %.12g, height %.12g against %.12g\n", ridge.ra, ra,
                ridge.height, high - low);
            fail();
        }
        if (ridge.height > 0.0)
            worst = fmax(worst, fabs(ra - ridge.ra) / ridge.height);
    }
    printf("# roughness by sum over %d points off by at most %.2g of the ridge\n", POINTS, worst);
}

/* The disc dips on the side that the spindle's top leans to, and the floor with it. */
static void floor_falls_toward_the_lean(void **state)
{
    (void)state;
    const struct perpend_slope right = {0.01, 0.0}, left = {-0.01, 0.0};
    const struct perpend_cutter cutter = {20.0, 0.0};
    double a, b;
    /* feed to the back: l = f × Z is to the right */
    perpend_floor_height(right, &cutter, 8.0, PERPEND_ALONG_Y, 3.0, &a);
    perpend_floor_height(right, &cutter, 8.0, PERPEND_ALONG_Y, 9.0, &b);
    assert_near(a - b, 0.06, 1e-12);
    perpend_floor_height(left, &cutter, 8.0, PERPEND_ALONG_Y, -3.0, &a);
    perpend_floor_height(left, &cutter, 8.0, PERPEND_ALONG_Y, -9.0, &b);
    assert_near(a - b, 0.06, 1e-12);
}

static void wrong_input_is_refused(void **state)
{
    (void)state;
    const struct perpend_slope none = {0.0, 0.0}, bad = {NAN, 0.0}, endless = {INFINITY, 0.0};
    const struct perpend_slope across = {0.0, 0.01};
    const struct perpend_cutter cutter = {22.0, 0.0}, ball = {22.0, 11.0};
    const struct perpend_cutter wrong[] = {{0.0, 0.0}, {-1.0, 0.0}, {NAN, 0.0}, {INFINITY, 0.0},
        {22.0, -0.1}, {22.0, 11.1}, {22.0, NAN}};
    double height = 7.0;
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        assert_int_equal(
            perpend_ridge_height(none, &wrong[i], 10.0, 0.0, &height), PERPEND_ERR_VALUE);
    assert_int_equal(perpend_ridge_height(bad, &cutter, 10.0, 0.0, &height), PERPEND_ERR_VALUE);
    assert_int_equal(perpend_ridge_height(endless, &cutter, 10.0, 0.0, &height), PERPEND_ERR_VALUE);
    assert_int_equal(perpend_ridge_height(none, &cutter, 0.0, 0.0, &height), PERPEND_ERR_VALUE);
    assert_int_equal(perpend_ridge_height(none, &cutter, -1.0, 0.0, &height), PERPEND_ERR_VALUE);
    assert_int_equal(perpend_ridge_height(none, &cutter, NAN, 0.0, &height), PERPEND_ERR_VALUE);
    assert_int_equal(perpend_ridge_height(none, &cutter, 10.0, NAN, &height), PERPEND_ERR_VALUE);
    assert_int_equal(perpend_ridge_height(none, &cutter, 22.1, 0.0, &height), PERPEND_ERR_STEPOVER);
    assert_int_equal(perpend_ridge_height(none, &ball, 22.1, 0.0, &height), PERPEND_ERR_STEPOVER);
    assert_int_equal(perpend_ridge_height(across, &cutter, 22.0, PERPEND_ALONG_X, &height),
        PERPEND_ERR_STEPOVER);
    assert_near(height, 7.0, 0.0);

    struct perpend_facing facing = {10.0, false, PERPEND_ALONG_X, -1.0};
    struct perpend_ridge ridge;
    struct perpend_ridge_limits limits;
    assert_int_equal(perpend_ridge_describe(none, &cutter, &facing, &ridge), PERPEND_ERR_VALUE);
    facing.depth = NAN;
    assert_int_equal(perpend_ridge_describe(none, &cutter, &facing, &ridge), PERPEND_OK);
    assert_near(ridge.height, 0.0, 0.0);
    assert_near(ridge.ra, 0.0, 0.0);
    assert_int_equal(
        perpend_ridge_limits_for(none, &cutter, &facing, 0.0, 75.0, &limits), PERPEND_ERR_VALUE);
    assert_int_equal(
        perpend_ridge_limits_for(none, &cutter, &facing, 0.02, -75.0, &limits), PERPEND_ERR_VALUE);
    assert_int_equal(
        perpend_ridge_limits_for(none, &cutter, &facing, 0.02, NAN, &limits), PERPEND_OK);
    assert_true(isnan(limits.opposite_reading));
    assert_near(limits.stepover, 22.0, 1e-12);
}

/* A ball end leaves the same cusps whatever the lean. */
static void ball_end_ignores_the_lean(void **state)
{
    (void)state;
    struct test_random random = test_random_start("ball end", 20250111);
    for (size_t i = 0; i < 500; i++) {
        double r = test_uniform(&random, 1.0, 20.0), height;
        struct perpend_cutter ball = {2.0 * r, r};
        double s = 2.0 * r * test_uniform(&random, 0.01, 0.999);
        struct perpend_slope lean = {
            test_uniform(&random, -0.1, 0.1), test_uniform(&random, -0.1, 0.1)};
        assert_int_equal(perpend_ridge_height(lean, &ball, s, 1.0, &height), PERPEND_OK);
        assert_near(height, r - sqrt(r * r - s * s / 4.0), 1e-11);
    }
}

static double cubic(double x, const void *context)
{
    const double *root = context;
    double d = x - *root;
    return d * (1.0 + d * d);
}

static double falling(double x, const void *context)
{
    return -cubic(x, context);
}

static double no_number(double x, const void *context)
{
    return x < *(const double *)context ? -1.0 : NAN;
}

/* The root to the last digit, from either side; the end that is nearest to it when it lies outside;
   what is no number counts as one, so that nothing of GSL's is ever called in vain. */
static void roots_are_found(void **state)
{
    (void)state;
    struct test_random random = test_random_start("roots", 20250112);
    for (size_t i = 0; i < 5000; i++) {
        double low = test_uniform(&random, -10, 10), high = low + test_uniform(&random, 1e-6, 20);
        double root = test_uniform(&random, low, high), below = low - 1.0, above = high + 1.0;
        double up = search_root(cubic, &root, low, high, SEARCH_LAST_DIGIT);
        double down = search_root(falling, &root, high, low, SEARCH_LAST_DIGIT);
        assert_near(up, root, 4e-16 * fmax(fabs(root), fabs(high - low)));
        assert_near(down, root, 4e-16 * fmax(fabs(root), fabs(high - low)));
        assert_near(search_root(cubic, &root, low, high, 1e-3), root, 2e-3 * (high - low));
        assert_near(search_root(cubic, &below, low, high, SEARCH_LAST_DIGIT), low, 0.0);
        assert_near(search_root(cubic, &above, low, high, SEARCH_LAST_DIGIT), high, 0.0);
        assert_near(search_root(cubic, &root, root, root, SEARCH_LAST_DIGIT), root, 0.0);
        assert_true(search_root(no_number, &root, low, high, SEARCH_LAST_DIGIT) >= root);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sharp_ridge_is_brute_force),
        cmocka_unit_test(rounded_ridge_is_brute_force),
        cmocka_unit_test(known_limits_hold),
        cmocka_unit_test(symmetries_hold),
        cmocka_unit_test(quarter_turn_swaps_x_and_y),
        cmocka_unit_test(floor_agrees_with_ridge),
        cmocka_unit_test(floor_falls_toward_the_lean),
        cmocka_unit_test(wrong_input_is_refused),
        cmocka_unit_test(ball_end_ignores_the_lean),
        cmocka_unit_test(roots_are_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
