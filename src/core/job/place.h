/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLACE_H
#define PLACE_H

/** The sweeps that make up a measurement: their readings together, and what speaks against them. */

#include <perpend/job.h>

/**
 * Gather the readings of a measurement's sweeps, in order.
 *
 * Given:    measurement  first_sweep, sweep_count
 * Returned: measurement  readings and what stands beside them; residual zeroed
 * Errors:   PERPEND_ERR_MEMORY
 */
enum perpend_status measurement_gather(
    const struct perpend_job *job, struct perpend_measurement *measurement);

/** Release what measurement_gather made. */
void measurement_finish(struct perpend_measurement *measurement);

/**
 * What speaks against a measurement's readings: what its fit says, else what the readings of the first
 * doubtful place say by themselves.
 *
 * Given:    measurement  its fit
 * Returned: measurement  doubt
 * Errors:   PERPEND_ERR_MEMORY
 */
enum perpend_status measurement_doubt(const struct perpend_setup *setup,
    const struct perpend_job *job, struct perpend_measurement *measurement);

#endif
