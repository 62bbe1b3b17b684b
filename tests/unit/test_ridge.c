/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The closed-form ridge against brute force from the definition, and the laws it must keep. */
#include "support.h"

#include <perpend/ridge.h>
#include <perpend/status.h>
#include <perpend/units.h>

/*
 * Brute force, written from the picture alone: points of a tilted circle in space (balls of the
 * corner radius round them), the lowest over every pass that reaches a place, many places and the
 * neighbourhood of the highest and lowest of them.
 */
struct tool {
    double l1, l2, z1, z2; /* lateral offset and height of cos θ, sin θ on the circle */
    double corner;
    double reach;
};

static struct tool tool_make(
    struct perpend_slope lean, const struct perpend_cutter *cutter, double along)
{
    double k = sqrt(1.0 + lean.right * lean.right + lean.back * lean.back);
    double axis[3] = {lean.right / k, lean.back / k, 1.0 / k};
    /* e1 = Y × axis, made a unit; e2 = axis × e1 */
    double e1[3] = {axis[2], 0.0, -axis[0]};
    double n = hypot(e1[0], e1[2]);
    e1[0] /= n;
    e1[2] /= n;
    double e2[3] = {axis[1] * e1[2] - axis[2] * e1[1], axis[2] * e1[0] - axis[0] * e1[2],
        axis[0] * e1[1] - axis[1] * e1[0]};
    double l[2] = {cos(along), -sin(along)}; /* f × Z for f = (sin, cos) */
    double r = cutter->diameter / 2.0 - cutter->corner;
    struct tool tool = {.l1 = r * (e1[0] * l[0] + e1[1] * l[1]),
        .l2 = r * (e2[0] * l[0] + e2[1] * l[1]),
        .z1 = r * e1[2],
        .z2 = r * e2[2],
        .corner = cutter->corner};
    tool.reach = hypot(tool.l1, tool.l2) + cutter->corner;
    return tool;
}

/* Golden section for the least of a function known to fall and then rise. */
typedef double brute_function(double x, const void *context);

static double golden(brute_function *f, const void *context, double low, double high)
{
    const double ratio = 0.6180339887498949;
    double x1 = high - ratio * (high - low), x2 = low + ratio * (high - low);
    double f1 = f(x1, context), f2 = f(x2, context), least = fmin(f1, f2);
    for (int i = 0; i < 75; i++) {
        if (f1 < f2) {
            high = x2;
            x2 = x1;
            f2 = f1;
            x1 = high - ratio * (high - low);
            f1 = f(x1, context);
        } else {
            low = x1;
            x1 = x2;
            f1 = f2;
            x2 = low + ratio * (high - low);
            f2 = f(x2, context);
        }
        least = fmin(least, fmin(f1, f2));
    }
    return least;
}

static double scan(
    brute_function *f, const void *context, double low, double high, int samples, bool periodic)
{
    double pitch = (high - low) / samples, least = INFINITY, at = low;
    for (int i = 0; i <= samples; i++) {
        double value = f(low + pitch * i, context);
        if (value < least) {
            least = value;
            at = low + pitch * i;
        }
    }
    double left = periodic ? at - pitch : fmax(low, at - pitch);
    double right = periodic ? at + pitch : fmin(high, at + pitch);
    return fmin(least, golden(f, context, left, right));
}

struct place {
    const struct tool *tool;
    double p, stepover, sign;
};

/* Lowest point over p of the corner's ball that sits at θ on the circle. */
static double ball_low(double theta, const void *context)
{
    const struct place *place = context;
    const struct tool *tool = place->tool;
    double c = cos(theta), s = sin(theta);
    double d = place->p - (tool->l1 * c + tool->l2 * s);
    double off = tool->corner * tool->corner - d * d;
    /* out of the ball's reach: farther is worse, so that the search finds its way */
    double drop = off >= 0.0 ? -sqrt(off) : 1e3 + fabs(d);
    return tool->z1 * c + tool->z2 * s + drop;
}

/* Lowest point of one pass at lateral offset p. */
static double pass_low(const struct tool *tool, double p)
{
    double amplitude = hypot(tool->l1, tool->l2), phase = atan2(tool->l2, tool->l1);
    if (tool->corner == 0.0) {
        double turn = acos(fmin(fmax(p / amplitude, -1.0), 1.0));
        double first = phase + turn, second = phase - turn;
        return fmin(tool->z1 * cos(first) + tool->z2 * sin(first),
            tool->z1 * cos(second) + tool->z2 * sin(second));
    }
    struct place place = {.tool = tool, .p = p};
    /* the balls that reach p stand on one or two arcs: look along both halves of the circle */
    double near = fmin(fmax((p - tool->corner) / amplitude, -1.0), 1.0);
    double far = fmin(fmax((p + tool->corner) / amplitude, -1.0), 1.0);
    return fmin(scan(ball_low, &place, phase + acos(far), phase + acos(near), 16, false),
        scan(ball_low, &place, phase - acos(near), phase - acos(far), 16, false));
}

static double floor_low(double x, const void *context)
{
    const struct place *place = context;
    double low = INFINITY;
    double first = ceil((x - place->tool->reach) / place->stepover);
    double last = floor((x + place->tool->reach) / place->stepover);
    for (double j = first; j <= last; j++)
        low = fmin(low, pass_low(place->tool, x - j * place->stepover));
    return place->sign * low;
}

static double brute_ridge(struct perpend_slope lean, const struct perpend_cutter *cutter,
    double stepover, double along, int samples)
{
    struct tool tool = tool_make(lean, cutter, along);
    struct place low = {.tool = &tool, .stepover = stepover, .sign = 1.0};
    struct place high = {.tool = &tool, .stepover = stepover, .sign = -1.0};
    return -scan(floor_low, &high, 0.0, stepover, samples, true) -
           scan(floor_low, &low, 0.0, stepover, samples, true);
}

struct case_ {
    struct perpend_slope lean;
    struct perpend_cutter cutter;
    double stepover, along;
};

static void print_case(size_t number, const struct case_ *c)
{
    printf("# case %zu: lean %.17g %.17g, diameter %.17g, corner %.17g, stepover %.17g, along "
           "%.17g\n",
        number, c->lean.right, c->lean.back, c->cutter.diameter, c->cutter.corner, c->stepover,
        c->along);
}

/* Leans to 50 mm/m and one in four to 500; also none, along the feed, across it, nearly so. */
static struct case_ draw_case(struct test_random *random, bool corner)
{
    struct case_ c = {.cutter = {test_uniform(random, 2.0, 80.0), 0.0}};
    double most = test_pick(random, 4) == 0 ? 0.5 : 0.05;
    double size = test_pick(random, 2) ? most * pow(10.0, test_uniform(random, -6.0, 0.0))
                                       : test_uniform(random, 0.0, most);
    c.along = test_uniform(random, -PERPEND_PI, 2.0 * PERPEND_PI);
    double toward = test_uniform(random, 0.0, 2.0 * PERPEND_PI);
    switch (test_pick(random, 8)) {
    case 0:
        toward = c.along;
        break;
    case 1:
        toward = c.along + PERPEND_PI / 2.0;
        break;
    case 2:
        toward = c.along - PERPEND_PI / 2.0 + pow(10.0, test_uniform(random, -9.0, 0.0));
        break;
    case 3:
        c.along = test_pick(random, 2) ? PERPEND_ALONG_X : PERPEND_ALONG_Y;
        toward = (double)test_pick(random, 4) * PERPEND_PI / 2.0;
        break;
    default:
        break;
    }
    c.lean = (struct perpend_slope){size * sin(toward), size * cos(toward)};
    if (test_pick(random, 50) == 0)
        c.lean = (struct perpend_slope){0.0, 0.0};
    if (corner)
        c.cutter.corner = c.cutter.diameter / 2.0 *
                          (test_pick(random, 2) ? test_uniform(random, 0.001, 0.99)
                                                : pow(10.0, test_uniform(random, -4.0, -0.5)));
    struct tool tool = tool_make(c.lean, &c.cutter, c.along);
    c.stepover = 2.0 * tool.reach * test_uniform(random, corner ? 0.1 : 0.02, 0.999);
    return c;
}

static void closed_form_is_brute_force(size_t cases, bool corner, int samples, uint64_t seed)
{
    struct test_random random = test_random_start("closed form = brute force", seed);
    double worst = 0.0;
    for (size_t i = 0; i < cases; i++) {
        struct case_ c = draw_case(&random, corner);
        double height = NAN;
        int status = perpend_ridge_height(c.lean, &c.cutter, c.stepover, c.along, &height);
        double brute = brute_ridge(c.lean, &c.cutter, c.stepover, c.along, samples);
        worst = fmax(worst, fabs(height - brute));
        if (status != PERPEND_OK || !(fabs(height - brute) <= 1e-9)) {
            print_case(i, &c);
            printf("# status %d, closed form %.17g, brute force %.17g\n", status, height, brute);
            fail();
        }
    }
    printf("# %zu cases, farthest apart %.2g mm\n", cases, worst);
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
        if (fabs(ra - ridge.ra) > 1e-9 + 0.002 * ridge.height ||
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
            assert_near(limits.opposite_reading, 2.0 * arm * limits.lean, 1e-12);
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
        assert_true(ridge.rise <= ridge.drop + c.cutter.corner + 1e-12);
        assert_true(ridge.depth_short == (facing.depth < ridge.rise));
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
    facing.depth = NAN;
    perpend_ridge_describe((struct perpend_slope){0.01, 0.0}, &cutter, &facing, &ridge);
    assert_false(ridge.depth_short);
    assert_near(ridge.rise, ridge.drop / 2.0, 1e-12);
}

/* The demo machine's figures, from the design. */
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
        cmocka_unit_test(best_direction_is_best),
        cmocka_unit_test(limits_turn_the_ridge_round),
        cmocka_unit_test(ridge_grows_with_lean_and_stepover),
        cmocka_unit_test(width_at_a_depth),
        cmocka_unit_test(demo_figures),
        cmocka_unit_test(wrong_input_is_refused),
        cmocka_unit_test(ball_end_ignores_the_lean),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
