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

/** A solved fit, seen reading by reading. */
struct suspect_rows {
    const struct perpend_reading *readings;
    size_t count, parameters;
    const double *residual; /* mm of gap */
    const double *leverage;
    const double *weight; /* 1 over each reading's variance, mm⁻² of gap */
    double prior;         /* degrees of freedom of what was known of the variances before */
    double factor;        /* mm of gap per mm of reading */
    double step;          /* mm of gap */
};

/**
 * Returned: fit  suspect, but for the lean without it
 * Errors:   PERPEND_ERR_MEMORY
 */
enum perpend_status suspect_find(const struct suspect_rows *rows, struct perpend_fit *fit);

/** Returned: fit  closure */
void suspect_closure(const struct suspect_rows *rows, struct perpend_fit *fit);

#endif
