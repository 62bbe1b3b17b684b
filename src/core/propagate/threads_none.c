/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/propagate/threads.h"

unsigned threads_workers(unsigned asked)
{
    (void)asked;
    return 1;
}

void threads_each(
    unsigned workers, size_t count, threads_task *task, threads_done *done, void *context)
{
    (void)workers;
    for (size_t item = 0; item < count; item++) {
        task(context, 0, item);
        if (done && !done(context, item))
            return;
    }
}
