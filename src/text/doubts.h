/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DOUBTS_H
#define DOUBTS_H

/** What speaks against the readings, and what an adjustment showed of the mount. */

#include "text/about.h"

/** Add what speaks against readings, and what to do about it: of a measurement that is doubtful, or of
 *  the place that a session has just swept (perpend_place_check). */
void doubt_add(const struct words *words, struct buffer *phrase,
    const struct perpend_machine *machine, const struct perpend_doubt *doubt);
void doubt_add_advice(
    const struct words *words, struct buffer *phrase, const struct perpend_doubt *doubt);

/** Scatter beyond the gauge; that, a suspect, four that do not close and three that nothing checks. */
void answer_scatter(struct words *words, const struct answer_about *about);
/** Add what a test cut says beside the arm: that it waits for the other way, that they do not agree. */
void doubt_add_cut(const struct words *words, struct buffer *phrase,
    const struct perpend_measurement *measurement);

/** A ridge that was measured and is off the expected one by more than both are unsure: what that may mean. */
void answer_measured(struct words *words, const struct answer_about *about);

/** Each reading and how far it is off the fit; the steps of a test cut. */
void answer_residuals(struct words *words, const struct answer_about *about);
void answer_doubts(struct words *words, const struct answer_about *about);

/** Add what the last adjustment showed of the mount, with a blank before it. */
void response_add(
    const struct words *words, struct buffer *phrase, const struct answer_about *about);

/** Add "Asked 6.7 mm/m, got 1.2 mm/m", and the question for its cause where somebody can answer it. */
void surprise_add(const struct words *words, struct buffer *phrase,
    const struct perpend_adjustment *adjustment, bool question);

/** What an adjustment showed, as a paragraph where no steps of a plan follow. */
void answer_response_alone(struct words *words, const struct answer_about *about);

#endif
