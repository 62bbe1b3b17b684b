/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ABOUT_H
#define ABOUT_H

/** What the sentences of an answer turn on: whether a lean shows, whether there are steps to tell … */

#include <math.h>
#include <stdbool.h>

#include <perpend/job.h>

#include "text/sentences.h"

/** What the sentences are about. */
struct answer_about {
    const struct perpend_machine *machine;
    const struct perpend_job *job;
    const struct perpend_measurement *measurement;
};

/** Whether a measurement's further sweeps are named after its first, with a comma, as a session
 *  does: "as found", "as found, place 2". */
bool answer_sweeps_of_one_name(
    const struct perpend_job *job, const struct perpend_measurement *measurement);

/** Whether a lean, or a change of it, is more than what cannot be told from none (outside the 95 %
 *  region round zero). */
bool answer_slope_shows(
    struct perpend_slope slope, const struct perpend_slope_covariance *covariance);

/** Whether the readings were taken with the carriage at more than one place. */
bool several_places(const struct perpend_measurement *measurement);

/** Whether a reading is suspect or four do not close: then they are taken again first. */
bool answer_readings_doubtful(const struct answer_about *about);

/** Up to which difference of opposite readings, both pairs, a sweep like this is sure to meet the goal, mm;
 *  NAN when none would do, or no goal is set. */
double answer_agree(const struct answer_about *about);

/** The same as a gauge of this step can show it. */
double agree_shown(double agree, double step);

/** Whether every stepover that the bit can cut keeps the goal. */
bool answer_any_stepover(
    const struct perpend_ridge_limits *limits, const struct perpend_cutter *cutter);

/** Whether there is anything to tell of a plan: not when the goal is met, not when the lean cannot
 *  be told from none, not when the plan worsens the ridge. */
bool answer_has_plan(const struct perpend_measurement *measurement);

/** Whether that plan has steps; without, it only tells for want of what. */
bool answer_has_steps(const struct perpend_measurement *measurement);

/** Whether the leaves on hand run out in a joint, or in any. */
#define ANSWER_ANY_JOINT ((size_t)-1)
bool answer_leaves_run_out(const struct answer_about *about, size_t joint);

/** A lean by axis, which way and how far, for the sentences that tell of one: "lean_back" …, "bare_back"
 *  without the unit, each behind a prefix. Rounding leaves a lean of nothing with a sign of its own. */
#define SLOTS_OF_LEAN(prefix, lean, variance)                                                      \
    SLOT_IF(prefix "back", (lean).back > -1e-12), SLOT_IF(prefix "right", (lean).right > -1e-12),  \
        SLOT_PLUS_MINUS(prefix "lean_back", WORDS_SLOPE, fabs((lean).back),                        \
            words_expanded((variance).back_back)),                                                 \
        SLOT_PLUS_MINUS(prefix "lean_right", WORDS_SLOPE, fabs((lean).right),                      \
            words_expanded((variance).right_right)),                                               \
        SLOT_BARE(prefix "bare_back", WORDS_SLOPE, fabs((lean).back),                              \
            words_expanded((variance).back_back)),                                                 \
        SLOT_BARE(prefix "bare_right", WORDS_SLOPE, fabs((lean).right),                            \
            words_expanded((variance).right_right))

#endif
