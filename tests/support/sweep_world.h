/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SWEEP_WORLD_H
#define SWEEP_WORLD_H

/**
 * Machines and what they would truly read, for the tests of the sweep fit.
 */

#include <string.h>
#include <sys/types.h>

#include <perpend/fit.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "support/support.h"

#define MOST 64
#define STEEPEST 0.050 /* 50 mm/m */

enum layout { FACED, ONE_PLACE, IN_A_LINE, ALL_OVER, BED_KNOWN, LAYOUTS };

/* A random machine and what it would truly read. */
struct world {
    struct perpend_setup setup;
    struct perpend_slope lean, bed;
    double centre;
    size_t count;
    struct perpend_reading readings[MOST];
};

static inline struct perpend_slope random_slope(struct test_random *random, double most)
{
    double size = test_uniform(random, 0.0, most);
    double toward = test_uniform(random, 0.0, 2.0 * PERPEND_PI);
    return (struct perpend_slope){size * sin(toward), size * cos(toward)};
}

static inline struct perpend_setup random_setup(struct test_random *random)
{
    enum perpend_gauge_kind kind = (enum perpend_gauge_kind)test_pick(random, PERPEND_GAUGE_KINDS);
    return (struct perpend_setup){
        .arm = {.length = test_uniform(random, 20.0, 300.0),
            .relative_uncertainty = 0.005,
            .bearing_uncertainty = perpend_radians(PERPEND_ARM_BEARING_UNCERTAINTY_DEGREES)},
        .gauge = {.kind = kind,
            .rises_away = test_pick(random, 2) == 1,
            .angle = perpend_gauge_at((size_t)kind)->angled ? test_uniform(random, 0.0, 1.2) : 0.0,
            .step = pow(10.0, test_uniform(random, -3.0, -1.0)),
            .spread = test_pick(random, 2) == 1 ? NAN : test_uniform(random, 0.0, 0.05)},
        .bed_faced = true,
    };
}

static inline void read_exactly(struct world *world)
{
    double factor = perpend_gauge_gap_per_reading(&world->setup.gauge);
    for (size_t i = 0; i < world->count; i++) {
        struct perpend_reading *r = &world->readings[i];
        r->value = (world->centre + perpend_gap(world->lean, world->bed, world->setup.arm.length,
                                        r->bearing, r->x, r->y)) /
                   factor;
    }
}

static inline struct world random_world(
    struct test_random *random, enum layout layout, size_t fewest)
{
    struct world world = {.setup = random_setup(random)};
    world.lean = random_slope(random, STEEPEST);
    world.setup.bed_faced = layout == FACED;
    if (layout == IN_A_LINE || layout == ALL_OVER || layout == BED_KNOWN)
        world.bed = random_slope(random, 0.010);
    world.setup.bed_known = layout == BED_KNOWN;
    if (layout == BED_KNOWN) {
        world.setup.bed = world.bed;
        world.setup.bed_covariance = (struct perpend_slope_covariance){4e-8, 1e-8, 9e-8};
    }
    world.centre = test_uniform(random, -50.0, 50.0);
    world.count = fewest + test_pick(random, MOST - fewest + 1);
    double along = test_uniform(random, 0.0, PERPEND_PI);
    double x = test_uniform(random, -100.0, 100.0), y = test_uniform(random, -100.0, 100.0);
    for (size_t i = 0; i < world.count; i++) {
        double t = test_uniform(random, -300.0, 300.0);
        world.readings[i].bearing = test_uniform(random, -PERPEND_PI, 3.0 * PERPEND_PI);
        world.readings[i].x = x;
        world.readings[i].y = y;
        if (layout == IN_A_LINE) {
            world.readings[i].x = x + t * cos(along);
            world.readings[i].y = y + t * sin(along);
        } else if (layout != ONE_PLACE) {
            world.readings[i].x = test_uniform(random, 0.0, 400.0);
            world.readings[i].y = test_uniform(random, 0.0, 300.0);
        }
    }
    read_exactly(&world);
    return world;
}

static inline void print_world(int trial, const struct world *world, int status)
{
    printf("# case %d: status %d, %zu readings, kind %d, arm %.6g, lean %.9g %.9g, bed %.9g %.9g\n",
        trial, status, world->count, (int)world->setup.gauge.kind, world->setup.arm.length,
        world->lean.right, world->lean.back, world->bed.right, world->bed.back);
    for (size_t i = 0; i < world->count; i++)
        printf("#   %.9f %.12f %.6f %.6f\n", world->readings[i].bearing, world->readings[i].value,
            world->readings[i].x, world->readings[i].y);
}

static inline double slope_distance(struct perpend_slope a, struct perpend_slope b)
{
    return hypot(a.right - b.right, a.back - b.back);
}

static inline void add_noise(struct world *world, struct test_random *random, double size)
{
    for (size_t i = 0; i < world->count; i++)
        world->readings[i].value += size * test_normal(random);
}

/* A plain sweep of n readings evenly spaced, all gaps alike but for the lean. */
static inline struct world even_sweep(size_t count, size_t times, struct perpend_slope lean)
{
    struct world world = {
        .setup = {.arm = {.length = 75.0},
            .gauge = {.kind = PERPEND_GAUGE_GAP, .step = 0.05, .spread = 0.0},
            .bed_faced = true},
        .lean = lean,
        .centre = 1.0,
        .count = count * times,
    };
    for (size_t i = 0; i < world.count; i++)
        world.readings[i].bearing = 2.0 * PERPEND_PI * (double)(i % count) / (double)count;
    read_exactly(&world);
    return world;
}

static inline struct perpend_fit fit_of(const struct world *world)
{
    struct perpend_fit fit;
    assert_int_equal(
        perpend_fit_readings(world->readings, world->count, &world->setup, NULL, &fit), PERPEND_OK);
    return fit;
}

#endif
