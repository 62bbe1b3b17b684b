/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef AMOUNTS_H
#define AMOUNTS_H

/**
 * Amounts as people type them: leaves of shim, and how much was done to a bolt. All are false for
 * what cannot be read so.
 */

#include <stdbool.h>

#include <perpend/moves.h>
#include <perpend/units.h>

#include "files/buffer.h"

struct leaves {
    double thick; /* mm, of one; with its sign */
    unsigned count;
    const char *name; /* the rest of the text; may be "" */
};

/** What comes first where both numbers are whole and neither has a unit, so that either could be
 *  the count. */
enum leaves_first { LEAVES_THICK_FIRST, LEAVES_COUNT_FIRST };

/**
 * A count and a thickness, in either order, parted by x, X, * or ×, and a name behind them:
 * "0.05 x 8 brass", "8 × 0.05 mm brass". The count is a whole number without a unit.
 *
 * Given:    text   stays, since the name is a part of it
 *           unit   of a thickness without one
 * Value:    false also when the thickness is more than 25 mm or the count more than 1000
 */
bool leaves_parse(
    const char *text, enum perpend_unit unit, enum leaves_first first, struct leaves *leaves);

/**
 * How much was done to a bolt, by the kind of its amount:
 *
 *     thickness     "0.5", "4 x 0.05", "0.1 + 2 x 0.05", "-0.05"; 50 mm at most
 *     displacement  "0.25 right", "0.2 left 0.1 up", "0"; 50 mm at most
 *     turns         "1/4", "0.25 turn in", "0.86 turn in (308°)", "0.5 out", "90°", "-90 deg", + in;
 *                   50 at most
 */
bool amount_parse(const char *text, enum perpend_amount_kind kind, enum perpend_unit unit,
    struct perpend_amount *amount);

#endif
