/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SWEEP_TURN_H
#define SWEEP_TURN_H

/**
 * The bearings of one turn of the arm, in the order in which it passes them.
 */

#include <stdbool.h>
#include <stddef.h>

#define TURN_BEARINGS 64 /* at most */

struct turn {
    double bearings[TURN_BEARINGS];
    bool skipped[TURN_BEARINGS]; /* left out for this sweep */
    size_t count;                /* 0: not known yet */
};

/** The place of a bearing in the turn; count when it is not there. */
size_t turn_find(const struct turn *turn, double bearing);

/** Add a bearing where the arm passes it, unless it is there; false when there is no room. */
bool turn_add(struct turn *turn, double bearing);

/** So many bearings, equally spaced, from the front on by the right. */
void turn_spread(struct turn *turn, size_t count);

/** Put bearings in the order in which the arm passes them, the first one first, unless they go one
 *  way round as they stand; whether that changed anything. */
bool turn_sort(struct turn *turn);

#endif
