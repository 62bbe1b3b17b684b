/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPEATS_H
#define REPEATS_H

/**
 * Which readings repeat which: the same bearing and the same place, each to 1e-9.
 */

#include <stddef.h>

#include <perpend/status.h>
#include <perpend/sweep.h>

/**
 * Returned: group   count; readings with the same number belong together, numbered from 0
 *           groups  how many there are
 * Errors:   PERPEND_ERR_MEMORY
 */
enum perpend_status repeats_group(
    const struct perpend_reading *readings, size_t count, size_t *group, size_t *groups);

/**
 * Repeatability pooled from the groups' own scatter, as perpend_pooled_spread.
 *
 * Errors:   PERPEND_ERR_MEMORY
 */
enum perpend_status repeats_pooled_spread(const struct perpend_reading *readings, size_t count,
    const size_t *group, size_t groups, double *spread, int *dof);

/**
 * Share of the variance of a gauge's rounding that repeated readings have in common.
 *
 * A reading rounded to a step is off by the same amount each time it is repeated, unless the true
 * value moves between repeats. When it moves by a normal deviation of `motion` steps, the Fourier
 * series of the rounding error gives
 *
 *     (6/π²) Σ exp(−4π²k²motion²) / k²,   k = 1, 2, …
 *
 * and for small motion, by the theta function's transformation, 1 − (6/π²)(√(πq) − q/2) with
 * q = 4π²motion².
 *
 * 1 when nothing moves, 0.44 at a tenth of a step, 0.05 at a quarter; docs/method.md, "How sure".
 */
double repeats_shared_rounding(double motion);

#endif
