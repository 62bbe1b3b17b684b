/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SIMULATED_BENCH_H
#define SIMULATED_BENCH_H

/**
 * A machine that exists only as numbers, for trying the advisor out on thousands of them. Its mount
 * is its own model, not the advisor's:
 *
 *   - a clamp plate that looks to the front, four M5 bolts in 5.5 mm holes, 60 mm by 80 mm: leaves
 *     behind its top or bottom pair, and turned as far as the holes let it, no farther whatever it
 *     is told;
 *   - a bracket that looks to the right, four M6 bolts, 50 mm by 60 mm: leaves only;
 *   - what the plate and the bracket are given by their geometry is not what the spindle does:
 *     a 2 × 2 matrix of gains and cross-coupling, drawn anew for each machine, stands between, and
 *     each tightening lets the spindle settle by a little noise; some answer a little differently
 *     each time, some stick now and then and let go at the next tightening.
 *
 * Its gauge reads with spread, rounds to its step, and the arm is aimed by eye.
 */

#include "support/support.h"

#include <string.h>

#include <perpend/perpend.h>

#define PLATE 0
#define BRACKET 1
#define BENCH_JOINTS 2
#define BENCH_LEAVES 8

/* What one kind of workplace has and wants. */
struct workplace {
    const char *name;
    double gauge_step, gauge_spread; /* mm */
    size_t readings;                 /* in one sweep, equally spaced from the back on */
    bool dial;
    double gain_low, gain_high, coupling; /* the mount's */
    double settling;                      /* standard deviation per tightening, mm/mm per axis */
    double varying; /* standard deviation of a gain from one tightening to the next, as a share */
    double sticks, through; /* chance that a tightening sticks; the share that it then lets through,
                               the rest comes with the next */
    double goal;            /* mm */
    bool both_ways;
    double thick[BENCH_LEAVES];
    unsigned count[BENCH_LEAVES];
    size_t kinds;
};

#define BENCH_ARM 75.0
#define BENCH_BIT 22.0
#define BENCH_STEPOVER 10.0
#define BENCH_MOST_LEAN 0.015
#define BENCH_AIM (2.0 * 3.14159265358979323846 / 180.0)

struct bench {
    const struct workplace *place;
    struct test_random *random;
    /* what is true, and nobody knows */
    double lean[2]; /* right, back */
    double gain[2][2];
    double held[2]; /* what stuck */
    double turned;  /* the plate in its holes, rad */
    /* what the operator knows */
    struct perpend_bolt bolts[BENCH_JOINTS][4];
    struct perpend_joint joints[BENCH_JOINTS];
    struct perpend_mount mount;
    struct perpend_leaf leaves[BENCH_LEAVES];
    struct perpend_stock stock;
    struct perpend_setup setup;
    struct perpend_cutter cutter;
    struct perpend_facing facing;
    double believed_turn[BENCH_JOINTS];
};

static inline void bench_build(struct bench *bench)
{
    const struct workplace *place = bench->place;
    static const double plate[4][3] = {
        {-30, 40, 210}, {30, 40, 210}, {-30, 40, 130}, {30, 40, 130}};
    static const double bracket[4][3] = {
        {-45, 60, 200}, {-45, 110, 200}, {-45, 60, 140}, {-45, 110, 140}};
    for (size_t i = 0; i < 4; i++) {
        bench->bolts[PLATE][i] =
            (struct perpend_bolt){.at = {plate[i][0], plate[i][1], plate[i][2]}, .thread = 5};
        bench->bolts[BRACKET][i] =
            (struct perpend_bolt){.at = {bracket[i][0], bracket[i][1], bracket[i][2]}, .thread = 6};
    }
    bench->joints[PLATE] = (struct perpend_joint){.face = PERPEND_FACE_FRONT,
        .allows = PERPEND_MOVE_SHIM | PERPEND_MOVE_SLIDE,
        .bolts = bench->bolts[PLATE],
        .bolt_count = 4};
    bench->joints[BRACKET] = (struct perpend_joint){.face = PERPEND_FACE_RIGHT,
        .allows = PERPEND_MOVE_SHIM,
        .bolts = bench->bolts[BRACKET],
        .bolt_count = 4};
    bench->mount = (struct perpend_mount){bench->joints, BENCH_JOINTS};
    for (size_t i = 0; i < place->kinds; i++)
        bench->leaves[i] =
            (struct perpend_leaf){.thick = place->thick[i], .count = place->count[i]};
    bench->stock = (struct perpend_stock){bench->leaves, place->kinds};
    bench->setup = (struct perpend_setup){
        .arm = {BENCH_ARM, 0.005, BENCH_AIM, 0.0},
        .gauge = {.kind = place->dial ? PERPEND_GAUGE_DIAL : PERPEND_GAUGE_GAP,
            .step = place->gauge_step,
            .spread = place->gauge_spread},
        .bed_faced = true,
    };
    bench->cutter = (struct perpend_cutter){.diameter = BENCH_BIT};
    bench->facing = (struct perpend_facing){.stepover = BENCH_STEPOVER,
        .both_ways = place->both_ways,
        .along = PERPEND_ALONG_X,
        .depth = NAN};
}

/* The same machine for the same random state. */
static inline void bench_start(
    struct bench *bench, const struct workplace *place, struct test_random *random)
{
    memset(bench, 0, sizeof *bench);
    bench->place = place;
    bench->random = random;
    for (int i = 0; i < 2; i++) {
        bench->lean[i] = test_uniform(random, -BENCH_MOST_LEAN, BENCH_MOST_LEAN);
        for (int j = 0; j < 2; j++)
            bench->gain[i][j] = i == j ? test_uniform(random, place->gain_low, place->gain_high)
                                       : test_uniform(random, -place->coupling, place->coupling);
    }
    bench_build(bench);
}

/* The true ridge, by the closed form that its own tests check. */
static inline double bench_ridge(const struct bench *bench)
{
    struct perpend_slope lean = {bench->lean[0], bench->lean[1]};
    double ridge = INFINITY;
    assert_int_equal(
        perpend_ridge_facing(lean, &bench->cutter, &bench->facing, &ridge), PERPEND_OK);
    return ridge;
}

/* Sweep: an arm aimed by eye round a leaning axis over a flat bed, read and rounded. */
static inline void bench_sweep(const struct bench *bench, struct perpend_reading *readings)
{
    const struct workplace *place = bench->place;
    double height = test_uniform(bench->random, 0.5, 1.5);
    for (size_t i = 0; i < place->readings; i++) {
        double stated = 2.0 * PERPEND_PI * (double)i / (double)place->readings;
        double bearing = stated + BENCH_AIM * test_normal(bench->random);
        double slope = bench->lean[0] * sin(bearing) + bench->lean[1] * cos(bearing);
        double gap = height - BENCH_ARM * sin(atan(slope));
        double reading = place->dial ? 5.0 - gap : gap;
        reading += place->gauge_spread * test_normal(bench->random);
        reading = place->gauge_step * floor(reading / place->gauge_step + 0.5);
        readings[i] = (struct perpend_reading){.bearing = stated, .value = reading};
    }
}

/* The mount takes a change by its geometry its own way. */
static inline void bench_yield(struct bench *bench, double right, double back)
{
    const struct workplace *place = bench->place;
    bool stuck = place->sticks > 0.0 && test_uniform(bench->random, 0.0, 1.0) < place->sticks;
    double share = stuck ? place->through : 1.0;
    for (int i = 0; i < 2; i++) {
        double gain[2];
        for (int j = 0; j < 2; j++)
            gain[j] =
                bench->gain[i][j] *
                (1.0 + (place->varying > 0 ? place->varying * test_normal(bench->random) : 0));
        double comes = bench->held[i] + gain[0] * right + gain[1] * back;
        bench->held[i] = (1.0 - share) * comes;
        bench->lean[i] += share * comes + place->settling * test_normal(bench->random);
    }
}

/* Half the bolts are in the top row, half in the bottom one. */
static inline double bench_tilt(const double shim[4], double rows)
{
    return ((shim[0] + shim[1]) - (shim[2] + shim[3])) / 2.0 / rows;
}

/* Turn the plate clockwise seen from the front by `turn`, as far as the holes let it. */
static inline double bench_turn_plate(struct bench *bench, double turn)
{
    const double most = (5.5 - 5.0) / 2.0 / 50.0;
    double to = fmax(-most, fmin(most, bench->turned + turn));
    double got = to - bench->turned;
    bench->turned = to;
    return got;
}

/* Do what a plan says; leaves that were used are gone. Of its largest step so much is done as `done`
   says of what is told: 1 as told, 0.2 a fifth, −1 at the wrong end.

   Value: the lean change that the geometry makes of what was really done */
static inline struct perpend_slope bench_follow(
    struct bench *bench, const struct perpend_plan *plan, double done)
{
    double right = 0.0, back = 0.0;
    size_t largest = 0;
    if (plan->step_count == 0)
        return (struct perpend_slope){0.0, 0.0};
    for (size_t k = 1; k < plan->step_count; k++)
        if (perpend_slope_size(plan->steps[k].change) >
            perpend_slope_size(plan->steps[largest].change))
            largest = k;
    for (size_t k = 0; k < plan->step_count; k++) {
        const struct perpend_step *step = &plan->steps[k];
        double shim[4], much = k == largest ? done : 1.0;
        for (size_t i = 0; i < 4; i++) {
            shim[i] = much * step->bolts[i].amount.value;
            for (size_t s = 0; s < step->bolts[i].stack_count; s++) {
                const struct perpend_stack_part *part = &step->bolts[i].stack[s];
                assert_true(bench->leaves[part->leaf].count >= part->count);
                bench->leaves[part->leaf].count -= part->count;
            }
        }
        if (step->move == PERPEND_MOVE_SHIM && step->joint == PLATE)
            back -= bench_tilt(shim, 80.0); /* the top comes to the front */
        else if (step->move == PERPEND_MOVE_SHIM)
            right += bench_tilt(shim, 60.0); /* the top goes to the right */
        else {
            /* how much farther the top row goes to the right than the bottom row */
            double turn =
                (step->bolts[0].amount.shift.right - step->bolts[2].amount.shift.right) / 80.0;
            right += bench_turn_plate(bench, much * turn);
            bench->believed_turn[PLATE] -= step->change.right;
        }
    }
    bench_yield(bench, right, back);
    return (struct perpend_slope){right, back};
}

#endif
