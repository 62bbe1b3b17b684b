/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_MACHINE_H
#define PERPEND_MACHINE_H

/**
 * One machine as its file states it, in the library's own units.
 */

#include <stdbool.h>

#include <perpend/board.h>
#include <perpend/cut.h>
#include <perpend/fit.h>
#include <perpend/mount.h>
#include <perpend/ridge.h>
#include <perpend/units.h>

#ifdef __cplusplus
extern "C" {
#endif

/** When it wants to be swept again; 0: not stated. */
struct perpend_due {
    unsigned weeks, jobs; /* after the last sweep: so long, or so many jobs */
};

struct perpend_machine {
    char *name, *place; /* may be NULL */
    struct perpend_due due;
    enum perpend_unit unit; /* the one people see */
    struct perpend_setup setup;
    struct perpend_cutter cutter;
    struct perpend_facing facing;
    struct perpend_cut cut; /* a test cut */
    struct perpend_goal goal;
    struct perpend_mount mount;
    struct perpend_stock stock;
    struct perpend_bench bench;
};

/**
 * A machine with nothing stated.
 *
 * Returned: machine  arm length, gauge step and spread, cutter diameter, stepover, depth, goals
 *                    and test cut NAN; the defaults of perpend/sweep.h for what is not known of arm and aim;
 *                    mm, a gap gauge, feed along X, a faced bed, no name, mount or stock
 */
void perpend_machine_init(struct perpend_machine *machine);

/** Release what a machine owns (all by free()) and leave it as perpend_machine_init does; NULL is
 *  fine. */
void perpend_machine_finish(struct perpend_machine *machine);

#ifdef __cplusplus
}
#endif

#endif
