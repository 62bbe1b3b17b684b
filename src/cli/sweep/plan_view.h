/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_PLAN_VIEW_H
#define CLI_PLAN_VIEW_H

/**
 * The turn of the arm seen from above, the back at the top: what has been read stands where it was
 * read, and the arm points to where it goes next.
 *
 *                     back  0.00
 *       back-left  .       .       back-right  .
 *                     .    |    .
 *     left  0.50   .       o       .   right  next
 *                     .         .
 *       front-left  .       .       front-right  .
 *                    front  1.00
 *
 * At most 60 columns wide; plain ASCII when asked for.
 */

#include <stdbool.h>
#include <stddef.h>

#include "files/buffer.h"

#define PLAN_VIEW_COLUMNS 60
#define PLAN_VIEW_PLACES 64 /* bearings in one sweep, at most */

struct plan_view_place {
    double bearing;
    char said[48]; /* what stands beside its name: a reading, "next", "left out"; "" for not yet */
};

/** "back-right", or "37.5°" ("37.5 deg" in ASCII) for a bearing without a name. */
void plan_view_name(char *buffer, size_t size, double bearing, bool utf8);

/**
 * Given:    places, count  in the order in which the arm turns
 *           next           the one the arm points to; `count` for none
 * Returned: text           the drawing, added
 */
void plan_view_add(struct buffer *text, const struct plan_view_place *places, size_t count,
    size_t next, bool utf8);

#endif
