/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_LEAVES_H
#define CLI_LEAVES_H

/**
 * Leaves as people say them: "0.05 x 8 brass", "8 × 0.05 mm brass".
 */

#include <stdbool.h>

#include <perpend/units.h>

struct leaves {
    double thick; /* mm, of one; with its sign */
    unsigned count;
    const char *name; /* the rest of the text; may be "" */
};

/** What comes first where both numbers are whole and neither has a unit, so that either could be
 *  the count. */
enum leaves_first { LEAVES_THICK_FIRST, LEAVES_COUNT_FIRST };

/** Whether anything in the text says "times": x, X, * or ×. */
bool leaves_has_times(const char *text);

/**
 * A count and a thickness, in either order, parted by x, X, * or ×, and a name behind them. The
 * count is a whole number without a unit.
 *
 * Given:    text   stays, since the name is a part of it
 *           unit   of a thickness without one
 * Value:    false when it is not that, or the thickness is more than 25 mm or the count more than
 *           1000
 */
bool leaves_parse(
    const char *text, enum perpend_unit unit, enum leaves_first first, struct leaves *leaves);

#endif
