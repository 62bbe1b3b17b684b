/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is asked of the ridge backwards: best direction, limits, depth. */
#include "support/ridge_cases.h"

#include <perpend/status.h>

/* The worst of a square is looked for in three places: elsewhere it may be a hair more. */
#define SQUARE_SLIP 0.03

/* No direction out of 1440 leaves less than the best one; without a corner it lies along the lean.
 */
static void best_direction_is_best(void **state)
{
    (void)state;
    struct test_random random = test_random_start("best direction", 20250107);
    for (size_t i = 0; i < 150; i++) {
        struct case_ c = draw_case(&random, i % 2 == 0);
        struct perpend_facing facing = {c.stepover, false, c.along, NAN};
        struct perpend_ridge ridge;
        if (perpend_ridge_describe(c.lean, &c.cutter, &facing, &ridge) != PERPEND_OK)
            continue;
        double height, least = INFINITY;
        for (int k = 0; k < 1440; k++) {
            int status = perpend_ridge_height(
                c.lean, &c.cutter, c.stepover, PERPEND_PI * k / 1440.0, &height);
            if (status == PERPEND_OK)
                least = fmin(least, height);
        }
        assert_true(ridge.best_along >= 0.0 && ridge.best_along < PERPEND_PI);
        assert_true(ridge.best_height <= ridge.height);
        if (ridge.best_height > least * (1.0 + 1e-8) + 1e-13) {
            print_case(i, &c);
            printf("# best %.17g at %.17g, but there is %.17g\n", ridge.best_height,
                ridge.best_along, least);
            fail();
        }
        assert_int_equal(
            perpend_ridge_height(c.lean, &c.cutter, c.stepover, ridge.best_along, &height),
            PERPEND_OK);
        assert_near(height, ridge.best_height, 1e-12);
    }
}

static double height_at(const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    double size, double toward)
{
    double height;
    struct perpend_slope lean = {size * sin(toward), size * cos(toward)};
    int status = perpend_ridge_facing(lean, cutter, facing, &height);
    return status == PERPEND_OK ? height : INFINITY;
}

/* The worst that one of two leans at once, to the right and to the back, can do. */
static double worst_of_square(
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double half)
{
    double worst = 0.0;
    for (int k = -100; k <= 100; k++) {
        struct perpend_slope sides[2] = {{half, half * k / 100.0}, {half * k / 100.0, half}};
        for (int side = 0; side < 2; side++)
            worst = fmax(worst, height_at(cutter, facing, perpend_slope_size(sides[side]),
                                    perpend_slope_toward(sides[side])));
    }
    if (!facing->both_ways) { /* straight across, which the grid may miss */
        double across = facing->along + PERPEND_PI / 2.0;
        worst = fmax(worst,
            height_at(cutter, facing, half / fmax(fabs(sin(across)), fabs(cos(across))), across));
    }
    return worst;
}

/* At the limits the ridge is the goal; a little beyond, it is more; within, it never is. */
static void limits_turn_the_ridge_round(void **state)
{
    (void)state;
    struct test_random random = test_random_start("limits backwards", 20250108);
    for (size_t i = 0; i < 120; i++) {
        struct case_ c = draw_case(&random, i % 3 == 0);
        struct perpend_facing facing = {c.stepover * 0.8, i % 5 == 0, c.along, NAN};
        double goal = pow(10.0, test_uniform(&random, -4.0, -0.5));
        double arm = test_uniform(&random, 30.0, 300.0);
        double base = facing.both_ways ? PERPEND_ALONG_X : facing.along, height;
        struct perpend_ridge_limits limits;
        int status = perpend_ridge_limits_for(c.lean, &c.cutter, &facing, goal, arm, &limits);
        if (perpend_ridge_facing((struct perpend_slope){0.0, 0.0}, &c.cutter, &facing, &height) !=
            PERPEND_OK) {
            assert_int_equal(status, PERPEND_ERR_STEPOVER);
            continue;
        }
        assert_int_equal(status, PERPEND_OK);
        if (height > goal) {
            assert_true(isnan(limits.lean) && isnan(limits.lean_along));
        } else if (limits.lean < 1.0) {
            double worst = 0.0, beyond = 0.0;
            for (int k = 0; k < 720; k++) {
                double toward = base + PERPEND_PI * k / 360.0;
                worst = fmax(worst, height_at(&c.cutter, &facing, limits.lean, toward));
                beyond = fmax(beyond, height_at(&c.cutter, &facing, limits.lean * 1.001, toward));
            }
            if (worst > goal * (1.0 + 1e-9) || beyond <= goal) {
                print_case(i, &c);
                printf("# goal %.17g lean %.17g: at it %.17g, beyond %.17g\n", goal, limits.lean,
                    worst, beyond);
                fail();
            }
            double half = limits.opposite_reading / (2.0 * arm);
            if (half < 1.0 / sqrt(2.0)) {
                double inside = worst_of_square(&c.cutter, &facing, half);
                double outside = worst_of_square(&c.cutter, &facing, half * 1.001);
                if (inside > goal * (1.0 + SQUARE_SLIP) || outside <= goal) {
                    print_case(i, &c);
                    printf("# goal %.17g, square of %.17g: %.17g, beyond %.17g\n", goal, half,
                        inside, outside);
                    fail();
                }
            }
            double at = height_at(&c.cutter, &facing, limits.lean_across, base + PERPEND_PI / 2.0);
            if (limits.lean_across < 1.0 && isfinite(at))
                assert_near(at, goal, 1e-9);
            at = height_at(&c.cutter, &facing, limits.lean_along, base);
            if (limits.lean_along < 1.0 && isfinite(at))
                assert_near(at, goal, 1e-9);
        }
        facing.stepover = limits.stepover;
        assert_int_equal(perpend_ridge_facing(c.lean, &c.cutter, &facing, &height), PERPEND_OK);
        assert_true(height <= goal + 1e-9);
        facing.stepover *= 1.0 + 1e-4;
        status = perpend_ridge_facing(c.lean, &c.cutter, &facing, &height);
        assert_true(status == PERPEND_ERR_STEPOVER || height > goal);
    }
}

/* The inverse questions need the ridge to grow with lean and stepover: look that it does. */
static void ridge_grows_with_lean_and_stepover(void **state)
{
    (void)state;
    struct test_random random = test_random_start("growth", 20250109);
    for (size_t i = 0; i < 3000; i++) {
        struct case_ c = draw_case(&random, i % 3 == 0);
        double more = 1.0 + pow(10.0, test_uniform(&random, -3.0, 0.0));
        struct perpend_slope larger = {c.lean.right * more, c.lean.back * more};
        double height, other;
        perpend_ridge_height(c.lean, &c.cutter, c.stepover, c.along, &height);
        if (perpend_ridge_height(larger, &c.cutter, c.stepover, c.along, &other) == PERPEND_OK &&
            hypot(larger.right, larger.back) < 0.1) {
            if (other < height - 1e-12)
                print_case(i, &c);
            assert_true(other >= height - 1e-12);
        }
        if (perpend_ridge_height(c.lean, &c.cutter, c.stepover * more, c.along, &other) ==
            PERPEND_OK) {
            if (other < height - 1e-12)
                print_case(i, &c);
            assert_true(other >= height - 1e-12);
        }
    }
}

/* Of the floor, place by place: what lies deeper in the board than that is reached by no pass. */
static double highest(const struct case_ *c)
{
    double top = 0.0, z;
    for (int k = 0; k < 1000; k++)
        if (perpend_floor_height(c->lean, &c->cutter, c->stepover, c->along,
                c->stepover * k / 1000.0, &z) == PERPEND_OK)
            top = fmax(top, z);
    return top;
}

/* What one pass cuts at a depth is as wide as the stepover that would leave a ridge of that depth.
 */
static void width_at_a_depth(void **state)
{
    (void)state;
    struct test_random random = test_random_start("depth", 20250110);
    for (size_t i = 0; i < 300; i++) {
        struct case_ c = draw_case(&random, i % 3 == 0);
        struct perpend_facing facing = {
            c.stepover, false, c.along, pow(10.0, test_uniform(&random, -5.0, 0.5))};
        struct perpend_ridge ridge;
        if (perpend_ridge_describe(c.lean, &c.cutter, &facing, &ridge) != PERPEND_OK)
            continue;
        double size = perpend_slope_size(c.lean), height;
        assert_near(ridge.drop, c.cutter.diameter * sin(atan(size)), 1e-9);
        assert_true(!ridge.depth_short || facing.depth < ridge.drop + c.cutter.corner + 1e-12);
        double top = highest(&c);
        if (fabs(facing.depth - ridge.height) > 0.02 * ridge.height)
            assert_true(ridge.stripes == (top > facing.depth));
        if (!ridge.depth_short) {
            assert_near(ridge.width, ridge.full_width, 0.0);
            continue;
        }
        assert_true(ridge.width < ridge.full_width);
        assert_int_equal(
            perpend_ridge_height(c.lean, &c.cutter, ridge.width, c.along, &height), PERPEND_OK);
        /* a side that ends under the board's face makes the width short of that stepover's ridge */
        if (height > facing.depth + 1e-9)
            print_case(i, &c);
        assert_true(height <= facing.depth + 1e-9);
    }
    struct perpend_cutter cutter = {22.0, 0.0};
    struct perpend_facing facing = {10.0, false, PERPEND_ALONG_X, 0.1};
    struct perpend_ridge ridge;
    perpend_ridge_describe((struct perpend_slope){0.0, 0.01}, &cutter, &facing, &ridge);
    assert_true(ridge.depth_short);
    assert_near(ridge.width, 10.0, 1e-9); /* 0.1 mm at 10 mm/m */
    assert_true(isinf(ridge.bottom_radius));
    facing.depth = 0.5;
    perpend_ridge_describe((struct perpend_slope){0.0, 0.01}, &cutter, &facing, &ridge);
    assert_false(ridge.depth_short);
    /* lean along the feed: a pass rises by half the drop of 0.22 mm */
    for (int k = 0; k < 3; k++) {
        facing.depth = k == 0 ? 0.10 : k == 1 ? 0.12 : NAN;
        perpend_ridge_describe((struct perpend_slope){0.01, 0.0}, &cutter, &facing, &ridge);
        assert_true(ridge.depth_short == (k == 0));
    }
}

/* The demo machine's figures, worked by hand. */
static void demo_figures(void **state)
{
    (void)state;
    const struct perpend_slope lean = {0.0, 1.0 / 150.0};
    const struct perpend_cutter cutter = {22.0, 0.0};
    const struct perpend_facing facing = {10.0, false, PERPEND_ALONG_X, 0.2};
    struct perpend_ridge ridge;
    struct perpend_ridge_limits limits;
    assert_int_equal(perpend_ridge_describe(lean, &cutter, &facing, &ridge), PERPEND_OK);
    assert_near(ridge.height, 0.0667, 0.00005);
    assert_near(ridge.along_x, 0.0667, 0.00005);
    assert_near(ridge.along_y, 0.0080, 0.00005);
    assert_near(ridge.best_along, PERPEND_ALONG_Y, 1e-9);
    assert_near(ridge.best_height, ridge.along_y, 1e-15);
    assert_int_equal(
        perpend_ridge_limits_for(lean, &cutter, &facing, 0.02, 75.0, &limits), PERPEND_OK);
    assert_near(limits.lean, 0.002, 1e-12);
    assert_near(limits.opposite_reading, 0.30, 1e-9);
    assert_near(limits.stepover, 3.0, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(best_direction_is_best),
        cmocka_unit_test(limits_turn_the_ridge_round),
        cmocka_unit_test(ridge_grows_with_lean_and_stepover),
        cmocka_unit_test(width_at_a_depth),
        cmocka_unit_test(demo_figures),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
