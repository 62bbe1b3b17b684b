/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The facing of a board: passes, time and what the travel leaves, by going over it pass by pass. */
#include "support/support.h"

#include <perpend/board.h>
#include <perpend/machine.h>
#include <perpend/units.h>

struct facing_world {
    struct perpend_bench bench;
    struct perpend_cutter cutter;
    struct perpend_facing facing;
    struct perpend_goal goal;
};

static struct facing_world random_facing(struct test_random *random)
{
    struct perpend_machine machine;
    perpend_machine_init(&machine);
    struct facing_world w = {
        .bench = machine.bench, .facing = machine.facing, .goal = machine.goal};
    w.bench.board.area =
        (struct perpend_area){test_uniform(random, -50.0, 50.0), test_uniform(random, -50.0, 50.0),
            test_uniform(random, 100.0, 600.0), test_uniform(random, 100.0, 600.0)};
    if (test_pick(random, 3) > 0)
        w.bench.travel = (struct perpend_area){test_uniform(random, -80.0, 80.0),
            test_uniform(random, -80.0, 80.0), test_uniform(random, 300.0, 600.0),
            test_uniform(random, 300.0, 600.0)};
    w.cutter.diameter = test_uniform(random, 6.0, 40.0);
    w.facing.stepover = w.cutter.diameter * test_uniform(random, 0.1, 0.9);
    w.bench.feed = test_uniform(random, 200.0, 3000.0);
    if (test_pick(random, 2) == 0)
        w.bench.acceleration = test_uniform(random, 20.0, 1000.0);
    return w;
}

static enum perpend_status plan_of(const struct facing_world *w, const struct perpend_slope *lean,
    struct perpend_facing_plan *plan)
{
    return perpend_facing_plan_make(&w->bench, &w->cutter, &w->facing, &w->goal, lean, plan);
}

/* One move in small steps of time: speed up, hold, slow down in time. */
static double minutes_by_steps(double length, double feed, double acceleration)
{
    const double most = feed / 60.0, step = 1e-4;
    double at = 0.0, speed = 0.0, seconds = 0.0;
    if (isnan(acceleration))
        return length / feed;
    while (at < length) {
        double may = fmin(most, sqrt(2.0 * acceleration * fmax(length - at, 1e-9)));
        speed = fmin(may, speed + acceleration * step);
        at += speed * step;
        seconds += step;
    }
    return seconds / 60.0;
}

static void a_move_takes_its_time(void **state)
{
    (void)state;
    struct test_random random = test_random_start("a move's time", 181);
    for (int trial = 0; trial < 40; trial++) {
        double length = test_uniform(&random, 1.0, 400.0),
               feed = test_uniform(&random, 300.0, 3000.0);
        double acceleration = trial % 4 == 0 ? (double)NAN : test_uniform(&random, 20.0, 500.0);
        double want = minutes_by_steps(length, feed, acceleration);
        assert_near(perpend_move_minutes(length, feed, acceleration), want, 0.002 * want + 1e-4);
    }
}

/* Every pass driven by itself. */
static void time_is_the_sum_of_passes(void **state)
{
    (void)state;
    struct test_random random = test_random_start("time pass by pass", 182);
    for (int trial = 0; trial < 300; trial++) {
        struct facing_world w = random_facing(&random);
        struct perpend_facing_plan plan;
        if (plan_of(&w, NULL, &plan) != PERPEND_OK)
            continue;
        const struct perpend_passes *p = &plan.way[0];
        double end = p->path.y + p->path.deep, y = p->path.y, minutes = 0.0, length = 0.0;
        size_t count = 0;
        for (;;) {
            double next = fmin(y + w.facing.stepover, end);
            minutes += perpend_move_minutes(p->path.wide, w.bench.feed, w.bench.acceleration);
            length += p->path.wide;
            count++;
            if (end - y <= 1e-9 * w.facing.stepover)
                break;
            minutes += perpend_move_minutes(next - y, w.bench.feed, w.bench.acceleration);
            length += next - y;
            y = next;
        }
        assert_int_equal(p->count, count);
        assert_relative(p->minutes, minutes, 1e-9);
        assert_relative(p->length, length, 1e-9);
    }
}

/* A fine grid on the board: a spot is cut when some pass comes within the bit's radius. */
static void what_is_not_reached(void **state)
{
    (void)state;
    struct test_random random = test_random_start("not reached", 183);
    int strips = 0;
    for (int trial = 0; trial < 200; trial++) {
        struct facing_world w = random_facing(&random);
        struct perpend_facing_plan plan;
        const struct perpend_area *board = &w.bench.board.area;
        if (trial % 2 == 0) { /* the axis nearly gets to the board's edges */
            double short_of = w.cutter.diameter * test_uniform(&random, 0.3, 0.5);
            w.bench.travel = (struct perpend_area){board->x + short_of, board->y + short_of,
                board->wide - 2.0 * short_of, board->deep};
        }
        if (plan_of(&w, NULL, &plan) != PERPEND_OK)
            continue;
        double r = w.cutter.diameter / 2.0, left = INFINITY, front = INFINITY;
        double right = INFINITY, back = INFINITY;
        for (int way = 0; way < 2; way++) {
            const struct perpend_area *path = way == 0 ? &plan.way[0].path : &plan.way[1].path;
            left = fmin(left, fmax(path->x - r - board->x, 0.0));
            right = fmin(right, fmax(board->x + board->wide - path->x - path->wide - r, 0.0));
            front = fmin(front, fmax(path->y - r - board->y, 0.0));
            back = fmin(back, fmax(board->y + board->deep - path->y - path->deep - r, 0.0));
        }
        const double want[4] = {left, right, front, back};
        bool any = false;
        for (int i = 0; i < 4; i++) {
            assert_near(isnan(plan.strip[i]) ? 0.0 : plan.strip[i], want[i], 1e-9);
            any = any || want[i] > 0.0;
        }
        strips += any;
    }
    printf("# %d with strips\n", strips);
    assert_true(strips > 20);
}

/* 400 by 430 mm at a slow feed and a small step take well over an hour: 1 h 40 min was seen (common
   practice, no source). */
static void an_afternoon(void **state)
{
    (void)state;
    struct facing_world w = {.bench = {.board.area = {0.0, 0.0, 400.0, 430.0},
                                 .feed = 500.0,
                                 .speed = 12000.0,
                                 .acceleration = 30.0},
        .cutter = {20.0, 0.0},
        .facing = {.stepover = 4.0, .along = PERPEND_ALONG_X, .depth = 0.2},
        .goal = {NAN, NAN}};
    struct perpend_facing_plan plan;
    assert_int_equal(plan_of(&w, NULL, &plan), PERPEND_OK);
    assert_int_equal(plan.way[0].count, 109);
    assert_near(plan.way[0].length, 109 * 420.0 + 430.0, 1e-9);
    assert_true(plan.way[0].minutes > 92.0 && plan.way[0].minutes < 102.0);
    printf("# 400 x 430 mm: %.1f min along X, %.1f along Y\n", plan.way[0].minutes,
        plan.way[1].minutes);
    assert_near(plan.rim, 12000.0 / 60.0 * PERPEND_PI * 0.02, 1e-9);
    assert_true(isnan(plan.way[0].ridge));
    w.bench.feed = w.bench.speed = NAN;
    assert_int_equal(plan_of(&w, NULL, &plan), PERPEND_OK);
    assert_true(isnan(plan.way[0].minutes) && isnan(plan.rim));
}

/* The demo's bit on a board of 400 by 430 mm; nothing stated but the feed. */
static struct facing_world plain_facing(void)
{
    return (struct facing_world){.bench = {.board.area = {0.0, 0.0, 400.0, 430.0},
                                     .feed = 1000.0,
                                     .speed = NAN,
                                     .acceleration = NAN},
        .cutter = {22.0, 0.0},
        .facing = {.stepover = 10.0, .depth = NAN},
        .goal = {0.02, NAN}};
}

/* The lean wants the direction along which it lies, unless both keep the goal: then the shorter way. */
static void direction(void **state)
{
    (void)state;
    struct facing_world w = plain_facing();
    struct perpend_slope lean = {0.0, 0.0067};
    struct perpend_facing_plan plan;
    double height;
    assert_int_equal(plan_of(&w, &lean, &plan), PERPEND_OK);
    assert_int_equal(plan.advised, 1);
    perpend_ridge_height(lean, &w.cutter, 10.0, PERPEND_ALONG_X, &height);
    assert_near(plan.way[0].ridge, height, 0.0);
    lean = (struct perpend_slope){0.0067, 0.0};
    assert_int_equal(plan_of(&w, &lean, &plan), PERPEND_OK);
    assert_int_equal(plan.advised, 0);
    lean = (struct perpend_slope){0.0001, 0.0002};
    assert_int_equal(plan_of(&w, &lean, &plan), PERPEND_OK);
    assert_int_equal(plan.advised, plan.way[1].length < plan.way[0].length);
    lean = (struct perpend_slope){0.7, 0.7}; /* so far over that the disc cuts less than the step */
    w.facing.stepover = 21.0;
    assert_int_equal(plan_of(&w, &lean, &plan), PERPEND_OK);
    assert_true(isinf(plan.way[0].ridge));
}

static void bad_values_are_refused(void **state)
{
    (void)state;
    struct facing_world good = plain_facing();
    struct perpend_facing_plan plan;
    struct facing_world w[8];
    for (int i = 0; i < 8; i++)
        w[i] = good;
    w[0].bench.board.area.wide = 0.0;
    w[1].bench.board.area.deep = NAN;
    w[2].cutter.diameter = 0.0;
    w[3].facing.stepover = NAN;
    w[4].bench.feed = 0.0;
    w[5].bench.acceleration = -1.0;
    w[6].bench.travel = (struct perpend_area){500.0, 0.0, 100.0, 500.0};
    w[7].bench.travel = (struct perpend_area){0.0, -300.0, 100.0, 200.0};
    for (int i = 0; i < 8; i++)
        assert_int_equal(plan_of(&w[i], NULL, &plan), PERPEND_ERR_VALUE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_move_takes_its_time),
        cmocka_unit_test(time_is_the_sum_of_passes),
        cmocka_unit_test(what_is_not_reached),
        cmocka_unit_test(an_afternoon),
        cmocka_unit_test(direction),
        cmocka_unit_test(bad_values_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
