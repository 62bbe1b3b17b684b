/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef BOLT_WORDS_H
#define BOLT_WORDS_H

/** What a bolt gets, in words. */

#include <perpend/mount.h>
#include <perpend/plan.h>

#include "text/words.h"

/** What a bolt gets in a step: "0.2 mm: 4 × 0.05 mm brass", "keep snug". */
void bolt_gets(const struct words *words, struct buffer *phrase, const struct perpend_step *step,
    size_t bolt, const struct perpend_stock *stock);

/** "0.53 mm": a shim, to 0.01 mm, thin ones to 0.001 mm: what hands can sort out. */
void words_thickness(const struct words *words, struct buffer *phrase, double thickness);

/** A displacement: "0.25 mm right and 0.03 mm up"; parts under a twentieth of the largest are left
 *  out; "not at all" for none. */
void words_displacement(
    const struct words *words, struct buffer *phrase, struct perpend_point displacement);

#endif
