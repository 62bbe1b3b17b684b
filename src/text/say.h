/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SAY_H
#define SAY_H

/** Phrases as strings for figures and documents, in the same words and digits as the printed answer;
 *  what belongs together is joined by no-break spaces. All by malloc: see buffer.h. */

#include <perpend/job.h>

#include "text/sentences.h"

/** A finished phrase with WORDS_GLUE turned into U+00A0 and the sign before a negative number into
 *  U+2212; the buffer is emptied. */
char *say_phrase(struct buffer *phrase);

/** A sentence (sentences.h). */
char *say_filled(enum perpend_unit unit, const char *sentence, const struct slot *slots);

/** The names of a measurement's sweeps, each to keep its writing direction to itself: "as found",
 *  "a and b", "as found (3 sweeps)". */
char *say_sweeps(const struct perpend_job *job, const struct perpend_measurement *measurement);

/** "6.7 mm/m toward the back", its digits fit for its uncertainty; "0.0 mm/m" for none. */
char *say_lean(enum perpend_unit unit, const struct perpend_fit *fit);

#endif
