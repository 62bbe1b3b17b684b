/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_THREADS_H
#define CORE_THREADS_H

/**
 * The one place where the core meets threads. threads_posix.c stands behind it, or threads_none.c,
 * which does the same work on the caller's own thread; the build chooses.
 */

#include <stddef.h>

/* No more workers than this, whatever is asked for. */
#define THREADS_MOST 64

/** One piece of work; `worker` is below the number of workers and tells scratch memory apart. */
typedef void threads_task(void *context, unsigned worker, size_t item);

/** How many workers threads_each will use at most: `asked`, or for 0 one a processor. */
unsigned threads_workers(unsigned asked);

/**
 * Do every item from `first` up to but without `end`, in any order, on at most `workers` threads,
 * the caller's included. Returns when all are done. A thread that cannot be had is done without.
 */
void threads_each(unsigned workers, size_t first, size_t end, threads_task *task, void *context);

#endif
