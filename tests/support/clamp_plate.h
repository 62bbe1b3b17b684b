/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLAMP_PLATE_H
#define CLAMP_PLATE_H

/** The demo machine's mount, for planning: one upright plate, its bit and facing. */

#include <math.h>

#include <perpend/plan.h>

static struct perpend_bolt plate_bolts[] = {
    {.name = "top left", .at = {-30, 40, 210}, .thread = 5},
    {.name = "top right", .at = {30, 40, 210}, .thread = 5},
    {.name = "bottom left", .at = {-30, 40, 130}, .thread = 5},
    {.name = "bottom right", .at = {30, 40, 130}, .thread = 5, .hole = 5.5},
};
static struct perpend_joint plate = {.name = "clamp plate",
    .face = PERPEND_FACE_FRONT,
    .allows = PERPEND_MOVE_SHIM | PERPEND_MOVE_SLIDE,
    .bolts = plate_bolts,
    .bolt_count = 4};
static const struct perpend_mount plate_mount = {&plate, 1};

static const struct perpend_cutter bit = {.diameter = 22};
static const struct perpend_facing along_x = {
    .stepover = 10, .along = PERPEND_ALONG_X, .depth = NAN};

/** What the planner is given for a lean of a mount with that bit and facing. */
static inline struct perpend_plan_input input_for(
    const struct perpend_mount *mount, struct perpend_slope lean)
{
    return (struct perpend_plan_input){
        .lean = lean, .mount = mount, .cutter = &bit, .facing = &along_x};
}

#endif
