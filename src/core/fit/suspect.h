/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SUSPECT_H
#define SUSPECT_H

/**
 * Is one of the readings wrong? The largest externally studentised residual, and the closure of
 * four readings a quarter turn apart.
 */

#include <stddef.h>

#include <perpend/fit.h>
#include <perpend/status.h>

#include "core/fit/least_squares.h"

/** A solved fit, seen reading by reading. */
struct suspect_rows {
    const struct perpend_reading *readings;
    struct student student; /* mm of gap; every reading has its weight */
    double factor;          /* mm of gap per mm of reading */
    double step;            /* mm of gap */
};

/**
 * Returned: fit  suspect, but for the lean without it
 * Errors:   PERPEND_ERR_MEMORY
 */
enum perpend_status suspect_find(const struct suspect_rows *rows, struct perpend_fit *fit);

/** Returned: fit  closure */
void suspect_closure(const struct suspect_rows *rows, struct perpend_fit *fit);

#endif
