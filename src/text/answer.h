/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ANSWER_H
#define ANSWER_H

/**
 * The answer in words: the same sentences for `solve`, for the session at the machine and for the
 * report. Each function adds one paragraph, or nothing where there is nothing to say; answer_job
 * strings them together in the order in which a tired person wants them. The paragraphs about doubts
 * are in doubts.h, those about the plan in steps.h and shims.h.
 */

#include "text/about.h"
#include "text/doubts.h"
#include "text/shims.h"
#include "text/steps.h"

/** The whole answer to the last measurement, with a line for each earlier one. */
void answer_job(struct words *words, const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_solution *solution,
    const struct answer_options *options);

/** The last measurement alone, without its heading. */
void answer_measurement(
    struct words *words, const struct answer_about *about, const struct answer_options *options);

/** "as found: back 6.67 ± 0.28, right 0.0 ± 0.4 mm/m; ridge 0.067 mm; not met" */
void answer_brief(struct words *words, const struct answer_about *about);

/** Turning the feed would already do, and what it costs. */
void answer_turn_feed(struct words *words, const struct answer_about *about);

/** Is it good enough, and how sure is that. */
void answer_verdict(struct words *words, const struct answer_about *about);

/** Which way the top leans and how far; lean and bed together or apart. */
void answer_lean(struct words *words, const struct answer_about *about);

/** The ridge to expect along X, along Y, at best; a cut too shallow for the lean. */
void answer_ridge(struct words *words, const struct answer_about *about);

/** What would settle a verdict that is too close. */
void answer_remedy(struct words *words, const struct answer_about *about);

#endif
