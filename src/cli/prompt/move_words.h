/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_MOVE_WORDS_H
#define CLI_MOVE_WORDS_H

/**
 * What was done to a bolt, as people say it.
 */

#include <stdbool.h>

#include <perpend/geometry.h>
#include <perpend/units.h>

/** A stack: "0.5", "4 x 0.05", "0.1 + 2 x 0.05", "-0.05"; mm, 50 at most. */
bool stack_parse(const char *text, enum perpend_unit unit, double *mm);

/** A displacement: "0.25 right", "0.2 left 0.1 up", "0"; mm, 50 at most. */
bool slide_parse(const char *text, enum perpend_unit unit, struct perpend_point *slide);

/** Turns of a push screw, + in: "1/4", "0.25 turn in", "0.86 turn in (308°)", "0.5 out", "90°",
 *  "-90 deg"; 50 at most. */
bool turns_parse(const char *text, double *turns);

#endif
