/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COMPASS_H
#define COMPASS_H

/**
 * Readings where they were taken, seen from above, the back at the top:
 *
 *            back 0.00
 *       0.15           0.15
 *     left 0.50 + right 0.50
 *       0.85           0.85
 *           front 1.00
 *
 * The corners only where one of them has something to show.
 */

#include <stdbool.h>
#include <stddef.h>

#include "files/buffer.h"

struct compass_mark {
    double bearing;
    char shown[48]; /* ASCII */
};

/** Add the drawing; false, and nothing added, when a bearing is none of the eight that have names or
 *  is there twice. */
bool compass_draw(struct buffer *text, const struct compass_mark *marks, size_t count);

#endif
