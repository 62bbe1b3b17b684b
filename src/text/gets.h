/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GETS_H
#define GETS_H

/**
 * What a bolt gets: the one rendering of an amount of a move, for the steps, the drawing, tables and
 * figures. It loops over the table of moves (perpend/moves.h) and asks only what an amount is made of.
 */

#include <perpend/job.h>
#include <perpend/mount.h>
#include <perpend/plan.h>

#include "text/sentences.h"

/** In a step: "0.2 mm: 4 × 0.05 mm brass", "0.25 turn in (90°)", "moves 0.2 mm right", "keep snug". */
void bolt_gets(const struct words *words, struct buffer *phrase, const struct perpend_step *step,
    size_t bolt, const struct perpend_stock *stock);

/** What was done to it, to the last digit: "shim 0.2 mm", "took out 0.05 mm", "slid 0.25 mm right". */
void bolt_did(const struct words *words, struct buffer *phrase, enum perpend_move move,
    const struct perpend_amount *amount);

/** Whether a bolt stays as it is in a step: it gets no shim, is the pivot, is not turned. */
bool bolt_stays(const struct perpend_step *step, size_t bolt);

/** What one bolt got, or is to get, in all; all bolts of all joints. */
struct bolt_work {
    bool touched;
    struct perpend_amount amounts[PERPEND_MOVE_COUNT]; /* one a row of the table of moves */
};
struct mount_work {
    bool any, joints[PERPEND_JOINTS_MOST]; /* whether something was done; at which joints */
    struct bolt_work bolts[PERPEND_JOINTS_MOST][PERPEND_BOLTS_MOST]; /* [joint][bolt] */
};

/** All that was done after so many measurements of a job, added up; or what a plan asks for. */
struct mount_work mount_work_done(
    const struct perpend_job *job, const struct perpend_measurement *measurements, size_t count);
struct mount_work mount_work_planned(const struct perpend_plan *plan);
void mount_work_add(struct mount_work *work, const struct perpend_did *did);

/** Of what a bolt got all but slides; touched where there is any. */
struct bolt_work bolt_work_unslid(const struct bolt_work *work);

/** What a bolt got in all: "shim +0.53 mm", "slide 0.21 mm right and 0.10 up"; "nothing". */
char *say_work(enum perpend_unit unit, const struct bolt_work *work);

#endif
