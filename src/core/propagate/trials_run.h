/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_TRIALS_RUN_H
#define CORE_TRIALS_RUN_H

/**
 * The frame that any Monte Carlo run hangs in: blocks of trials, made on any thread in any order
 * and put together in the order of their numbers.
 */

#include <stddef.h>

#include <perpend/status.h>
#include <perpend/trials.h>

/* JCGM 101:2008, 7.9.4: the larger of 10⁴ and 100/(1 − 0.95). */
#define TRIALS_BLOCK 10000

/* Fewer than this have no 95 % interval shorter than all of them. */
#define TRIALS_FEWEST 20

/**
 * Make the trials of one block.
 *
 * Given:    context
 *           block     its number, from 0
 *           count     1 to TRIALS_BLOCK; the first `count` of a block are the same whatever it is
 * Returned: values    count
 */
typedef void trials_maker(const void *context, size_t block, size_t count, double *values);

/** As perpend_trials_model, for a maker. */
enum perpend_status trials_run(trials_maker *maker, const void *context, double limit,
    const struct perpend_trials_options *options, struct perpend_distribution *distribution);

#endif
