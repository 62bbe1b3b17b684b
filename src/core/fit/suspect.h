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
    size_t count, parameters;
    const double *residual; /* mm of gap */
    const double *leverage;
    const double *weight;  /* inverse variances of the fit, mm⁻² */
    const double *natural; /* variance that step, stated spread and aim explain, mm² */
    double step;           /* mm of gap */
};

/**
 * Returned: fit  suspect, suspect_has_twin, suspect_twin, suspect_studentised, suspect_limit
 * Errors:   PERPEND_ERR_MEMORY
 */
enum perpend_status suspect_find(const struct suspect_rows *rows, struct perpend_fit *fit);

/**
 * Given:    factor    mm of gap per mm of reading
 *           variance  of each reading, mm² of gap
 * Returned: fit       closure…
 */
void suspect_closure(const struct perpend_reading *readings, size_t count, double factor,
    const double *variance, struct perpend_fit *fit);

#endif
