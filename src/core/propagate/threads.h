/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_THREADS_H
#define CORE_THREADS_H

/**
 * The one place where the core meets threads. threads_posix.c stands behind it, or threads_none.c,
 * which does the same work on the caller's own thread; the build chooses.
 */

#include <stdbool.h>
#include <stddef.h>

/* No more workers than this, whatever is asked for. */
#define THREADS_MOST 64

/** One piece of work; `worker` is below the number of workers and tells scratch memory apart. */
typedef void threads_task(void *context, unsigned worker, size_t item);

/** Called after each item, by one thread at a time; false: hand out no more items. */
typedef bool threads_done(void *context, size_t item);

/** How many workers threads_each will use at most: `asked`, or for 0 one a processor. */
unsigned threads_workers(unsigned asked);

/**
 * Do every item from 0 up to but without `count` on at most `workers` threads, the caller's
 * included; they are begun in order, and end in any. `done` may be NULL. Returns when all that was
 * begun has ended. A thread that cannot be had is done without.
 */
void threads_each(
    unsigned workers, size_t count, threads_task *task, threads_done *done, void *context);

#endif
