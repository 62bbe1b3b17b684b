/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MOUNT_WORK_H
#define MOUNT_WORK_H

/** What was done at a mount, or is planned for it, bolt by bolt: for figures and tables. */

#include <perpend/job.h>
#include <perpend/mount.h>
#include <perpend/plan.h>
#include <perpend/units.h>

/** Of one bolt; of all bolts of all joints. */
struct bolt_work {
    bool touched;
    struct perpend_amount amounts[PERPEND_MOVE_COUNT]; /* one a row of the table of moves */
};
struct mount_work {
    struct bolt_work bolts[PERPEND_JOINTS_MOST][PERPEND_BOLTS_MOST]; /* [joint][bolt] */
};

/** All that was done in a job, added up; after one measurement; or what a plan asks for. */
struct mount_work mount_work_done(
    const struct perpend_job *job, const struct perpend_solution *solution);
struct mount_work mount_work_of(
    const struct perpend_job *job, const struct perpend_measurement *measurement);
struct mount_work mount_work_planned(const struct perpend_plan *plan);
bool mount_work_any(const struct mount_work *work);
bool mount_work_at(const struct mount_work *work, size_t joint);

/** "shim +0.53 mm", "slide 0.21 mm right and 0.10 mm up"; "nothing". By malloc. */
char *bolt_work_text(enum perpend_unit unit, const struct bolt_work *work);

#endif
