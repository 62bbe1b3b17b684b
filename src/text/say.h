/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SAY_H
#define SAY_H

/** Quantities as strings for figures and documents, in the same words and digits as the printed
 *  answer; what belongs together is joined by no-break spaces. All by malloc: see buffer.h. */

#include <perpend/job.h>
#include <perpend/units.h>

#include "text/words.h"

/** A finished phrase with WORDS_GLUE turned into U+00A0 and the sign before a negative number into
 *  U+2212; the buffer is emptied. */
char *say_phrase(struct buffer *phrase);

char *say_plus_minus(enum perpend_unit unit, enum words_kind kind, double value, double expanded);
char *say_rounded(enum perpend_unit unit, enum words_kind kind, double value, double expanded);
/** A ridge, to a micrometre or a tenth of a thou; with its 95 % interval. */
char *say_ridge(enum perpend_unit unit, double height);
char *say_ridge_range(enum perpend_unit unit, double height, double low, double high);
char *say_stated(enum perpend_unit unit, enum words_kind kind, double value);
char *say_reading(enum perpend_unit unit, double value, double step);
char *say_bearing(double bearing);
char *say_feed(double along);
char *say_facing(const struct perpend_facing *facing);

/** The names of a measurement's sweeps, each to keep its writing direction to itself: "as found",
 *  "a and b", "as found (3 sweeps)". */
char *say_sweeps(const struct perpend_job *job, const struct perpend_measurement *measurement);

/** "6.7 mm/m toward the back", its digits fit for its uncertainty; "0.0 mm/m" for none. */
char *say_lean(enum perpend_unit unit, const struct perpend_fit *fit);

/** A plain number with a fixed count of decimals. */
char *say_number(double value, int decimals);

/** The value in the unit that people see, and that unit's name. */
double say_shown(enum perpend_unit unit, enum words_kind kind, double value);
const char *say_unit(enum perpend_unit unit, enum words_kind kind);

#endif
