/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef STEPS_H
#define STEPS_H

/** The plan as steps for a tired person, each caution where the hand meets the thing. */

#include "text/about.h"

/** The number of one of the plan's steps on the screen, where unplugging and tightening have theirs. */
unsigned answer_step_number(const struct perpend_plan *plan, size_t step);

struct answer_options {
    bool more;       /* all that there is to say, joints drawn */
    bool brief;      /* a step that may be skipped is only named */
    bool in_session; /* what is said of commands is said of a session's words */
};

/** Says that the plan would worsen the ridge, instead of the plan; nothing when it would not. */
void answer_worse(struct words *words, const struct answer_about *about);

/** The plan, step by step, with the cautions where they belong; options may be NULL. */
void answer_plan(
    struct words *words, const struct answer_about *about, const struct answer_options *options);

/** What the next sweep should read, after the plan. */
void answer_next_sweep(struct words *words, const struct answer_about *about);

#endif
