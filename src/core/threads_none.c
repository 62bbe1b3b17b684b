/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "threads.h"

unsigned threads_workers(unsigned asked)
{
    (void)asked;
    return 1;
}

void threads_each(unsigned workers, size_t first, size_t end, threads_task *task, void *context)
{
    (void)workers;
    for (size_t item = first; item < end; item++)
        task(context, 0, item);
}
