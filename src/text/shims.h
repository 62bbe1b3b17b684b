/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SHIMS_H
#define SHIMS_H

/** Words about shims: the material, what the leaves on hand make of it, and what there is too little
 *  of. */

#include "text/about.h"

/** Whether a step takes shims out that the job put in before. */
bool step_takes_out(const struct perpend_step *step);

/** What else to know about a step's shims: what is wanted where the stack is not quite that, a
 *  common size, and what could come out instead. */
void shim_notes(const struct words *words, struct buffer *phrase, const struct answer_about *about,
    const struct perpend_step *step);

/** What the plan cannot do and for want of what. */
void answer_shortfall(struct words *words, const struct answer_about *about);

#endif
