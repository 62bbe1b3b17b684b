/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef BENCH_MACHINE_H
#define BENCH_MACHINE_H

/* The demo machine in memory, for tests that need a whole one but no file. */

#include <math.h>
#include <stddef.h>
#include <string.h>

#include <perpend/perpend.h>

#define BOLTS 4

/* The demo machine's mount, and a machine round it, in memory of the test's own. */
struct bench {
    struct perpend_bolt bolts[BOLTS];
    struct perpend_joint joint;
    struct perpend_machine machine;
};

static inline void bench_init(struct bench *bench)
{
    static const struct perpend_point at[BOLTS] = {
        {-30, 40, 210}, {30, 40, 210}, {-30, 40, 130}, {30, 40, 130}};
    static char *const names[BOLTS] = {"top left", "top right", "bottom left", "bottom right"};
    memset(bench, 0, sizeof *bench);
    for (size_t i = 0; i < BOLTS; i++)
        bench->bolts[i] = (struct perpend_bolt){.name = names[i], .at = at[i], .thread = 5};
    bench->joint = (struct perpend_joint){.name = "clamp plate",
        .face = PERPEND_FACE_FRONT,
        .allows = PERPEND_MOVE_SHIM | PERPEND_MOVE_SLIDE,
        .bolts = bench->bolts,
        .bolt_count = BOLTS};
    struct perpend_machine *machine = &bench->machine;
    machine->setup.arm = (struct perpend_arm){75, 0.005, perpend_radians(2), perpend_radians(2)};
    machine->setup.gauge =
        (struct perpend_gauge){.kind = PERPEND_GAUGE_GAP, .step = 0.05, .spread = NAN};
    machine->setup.bed_faced = true;
    machine->cutter = (struct perpend_cutter){.diameter = 22, .corner = 0};
    machine->facing = (struct perpend_facing){
        .stepover = 10, .along = PERPEND_ALONG_X, .depth = 0.2, .both_ways = false};
    machine->goal = (struct perpend_goal){0.02, NAN};
    machine->mount = (struct perpend_mount){&bench->joint, 1};
}

/* Readings front, right, back, left for a lean, as a feeler would show them without rounding. */
static inline void sweep_of(struct perpend_slope lean, struct perpend_reading readings[BOLTS])
{
    static const struct perpend_slope level = {0, 0};
    static const double degrees[BOLTS] = {180, 90, 0, 270};
    for (size_t i = 0; i < BOLTS; i++) {
        double bearing = perpend_radians(degrees[i]);
        readings[i] = (struct perpend_reading){
            .bearing = bearing, .value = 0.5 + perpend_gap(lean, level, 75, bearing, 0, 0)};
    }
}

#endif
