/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_STEPS_H
#define CLI_NEW_STEPS_H

/**
 * The questions of `perpend new`, one by one.
 */

#include "cli/prompt/dialogue.h"
#include "cli/new/new_draft.h"

/** Whether a question makes sense after what was answered so far. */
bool new_step_applies(const struct draft *draft, enum draft_key key, size_t joint);

/**
 * Ask it: how to find the answer, then the question, until the answer will do. An answer given
 * before is offered again.
 */
enum heard new_step_ask(
    struct dialogue *dialogue, struct draft *draft, enum draft_key key, size_t joint);

#endif
