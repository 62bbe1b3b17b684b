/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ANSWER_H
#define ANSWER_H

/**
 * The answer in words: the same screen for `solve` and for the session at the machine, and paragraphs
 * of it for the report. Each function adds what it says, or nothing where there is nothing to say. The
 * doubts are in doubts.h, the plan in steps.h and shims.h.
 */

#include "text/about.h"
#include "text/doubts.h"
#include "text/shims.h"
#include "text/steps.h"

/** Rows of an answer on a screen of 24, what is asked below it having the rest. */
#define ANSWER_ROWS 21

/** The whole answer to the last measurement: verdict, compass, plan; on one screen if it can be, by
 *  leaving out the compass. With options->more on as many rows as it takes, and all else behind it. What
 *  words->out held is gone. */
void answer_job(struct words *words, const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_solution *solution,
    const struct answer_options *options);

/** The verdict, one line; what was found and what follows from it, without the compass. */
void answer_verdict(struct words *words, const struct answer_about *about);
void answer_findings(struct words *words, const struct answer_about *about);

/** The plan alone, and what it falls short of. */
void answer_steps(
    struct words *words, const struct answer_about *about, const struct answer_options *options);

/** Fits, residuals, remedies, cautions: what helps nobody act. */
void answer_more(struct words *words, const struct answer_about *about);

/** Turning the feed would already do. */
void answer_turn_feed(struct words *words, const struct answer_about *about);

/** What would settle a verdict that is too close. */
void answer_remedy(struct words *words, const struct answer_about *about);

#endif
