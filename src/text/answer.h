/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ANSWER_H
#define ANSWER_H

/**
 * The answer in words: the same sentences for `solve`, for the session at the machine and for the
 * report. Each function adds one paragraph, or nothing where there is nothing to say; answer_job
 * strings them together in the order in which a tired person wants them.
 */

#include <stdbool.h>

#include <perpend/job.h>

#include "text/words.h"

/** What the sentences are about. */
struct answer_about {
    const struct perpend_machine *machine;
    const struct perpend_job *job;
    const struct perpend_measurement *measurement;
};

struct answer_options {
    bool no_drawing; /* steps without the joint's drawing */
};

/** The whole answer to the last measurement, with a line for each earlier one. */
void answer_job(struct words *words, const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_solution *solution,
    const struct answer_options *options);

/** The last measurement alone, without its heading. */
void answer_measurement(
    struct words *words, const struct answer_about *about, const struct answer_options *options);

/* answer.c */

/** "as found: back 6.67 ± 0.28, right 0.0 ± 0.4 mm/m; ridge 0.067 mm; not met" */
void answer_brief(struct words *words, const struct answer_about *about);

/** Whether a lean, or a change of it, is more than what cannot be told from none (outside the 95 %
 *  region round zero). */
bool answer_slope_shows(
    struct perpend_slope slope, const struct perpend_slope_covariance *covariance);

/** Turning the feed would already do, and what it costs. */
void answer_turn_feed(struct words *words, const struct answer_about *about);

/** Is it good enough, and how sure is that. */
void answer_verdict(struct words *words, const struct answer_about *about);

/** Which way the top leans and how far; lean and bed together or apart. */
void answer_lean(struct words *words, const struct answer_about *about);

/** The ridge to expect along X, along Y, at best; a cut too shallow for the lean. */
void answer_ridge(struct words *words, const struct answer_about *about);

/** Whether the lean, not a rounded corner, is why a cut leaves the bit's high side standing; and
 *  that in words: "A cut of 0.1 mm is too shallow for this lean: …" */
bool ridge_cut_too_shallow(const struct perpend_ridge *ridge, double depth);
void words_shallow_cut(const struct words *words, struct buffer *phrase,
    const struct perpend_ridge *ridge, double depth);

/** Whether a measurement's further sweeps are named after its first, with a comma, as a session
 *  does: "as found", "as found, place 2". */
bool answer_sweeps_of_one_name(
    const struct perpend_job *job, const struct perpend_measurement *measurement);

/** Whether every stepover that the bit can cut keeps the goal. */
bool answer_any_stepover(
    const struct perpend_ridge_limits *limits, const struct perpend_cutter *cutter);

/** What would settle a verdict that is too close. */
void answer_remedy(struct words *words, const struct answer_about *about);

/* doubts.c */

/** Whether a reading is suspect or four do not close: then they are taken again first. */
bool answer_readings_doubtful(const struct answer_about *about);

/** What speaks against the readings: a suspect, four that do not close, scatter beyond the gauge,
 *  three that nothing checks. */
void answer_doubts(struct words *words, const struct answer_about *about);

/** What the last adjustment showed of the mount. */
void answer_response(struct words *words, const struct answer_about *about);

/** The same where no steps of a plan follow. */
void answer_response_alone(struct words *words, const struct answer_about *about);

/* steps.c */

/** Whether there is anything to tell of a plan: not when the goal is met, not when the lean cannot
 *  be told from none, not when the plan worsens the ridge. */
bool answer_has_plan(const struct perpend_measurement *measurement);

/** Whether that plan has steps; without, it only tells for want of what. */
bool answer_has_steps(const struct perpend_measurement *measurement);

/** Whether the plan, for want of a joint, play or leaves that serve one axis, would leave a higher
 *  ridge than there is for all that the sweep can tell: the lean it leaves is less, but lies across
 *  the feed. */
bool answer_plan_worsens(const struct perpend_measurement *measurement);

/** Says so, instead of the plan; nothing when it does not. */
void answer_worse(struct words *words, const struct answer_about *about);

/** The plan, step by step, with the cautions where they belong. */
void answer_plan(
    struct words *words, const struct answer_about *about, const struct answer_options *options);

/** What the next sweep should read, after the plan. */
void answer_next_sweep(struct words *words, const struct answer_about *about);

/* shim_words.c */

/** Whether a step takes shims out that the job put in before. */
bool step_takes_out(const struct perpend_step *step);

/** What else to know about a step's shims: what is wanted where the stack is not quite that, a
 *  common size, and what could come out instead. */
void shim_notes(const struct words *words, struct buffer *phrase, const struct answer_about *about,
    const struct perpend_step *step);

/** Whether the leaves on hand run out in some joint. */
bool answer_wants_leaves(const struct answer_about *about);

/** What the plan cannot do and for want of what. */
void answer_shortfall(struct words *words, const struct answer_about *about);

#endif
