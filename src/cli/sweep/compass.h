/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SWEEP_COMPASS_H
#define SWEEP_COMPASS_H

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

struct compass_place {
    double bearing;
    char label[96]; /* its name as the screen can show it, and what has been read there */
    bool marked;    /* something has been read there, or it is left out */
};

/**
 * Given:    places, count  in the order in which the arm turns
 *           next           the one the arm points to; `count` for none
 * Returned: text           the drawing, added
 */
void compass_add(
    struct buffer *text, const struct compass_place *places, size_t count, size_t next, bool utf8);

#endif
