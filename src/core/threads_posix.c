/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>

#include "threads.h"

unsigned threads_workers(unsigned asked)
{
    if (asked == 0) {
        long online = sysconf(_SC_NPROCESSORS_ONLN);
        asked = online > 0 ? (unsigned)online : 1;
    }
    return asked < THREADS_MOST ? asked : THREADS_MOST;
}

struct crew {
    threads_task *task;
    void *context;
    atomic_size_t next;
    size_t end;
};

struct member {
    struct crew *crew;
    unsigned worker;
    pthread_t thread;
};

static void *member_work(void *argument)
{
    struct member *member = argument;
    struct crew *crew = member->crew;
    for (;;) {
        size_t item = atomic_fetch_add(&crew->next, 1);
        if (item >= crew->end)
            return NULL;
        crew->task(crew->context, member->worker, item);
    }
}

void threads_each(unsigned workers, size_t first, size_t end, threads_task *task, void *context)
{
    struct crew crew = {.task = task, .context = context, .end = end};
    struct member members[THREADS_MOST];
    atomic_init(&crew.next, first);
    if (end - first < workers)
        workers = (unsigned)(end - first);
    unsigned started = 1;
    while (started < workers) {
        struct member *member = &members[started];
        *member = (struct member){.crew = &crew, .worker = started};
        if (pthread_create(&member->thread, NULL, member_work, member) != 0)
            break;
        started++;
    }
    members[0] = (struct member){.crew = &crew, .worker = 0};
    member_work(&members[0]);
    for (unsigned i = 1; i < started; i++)
        pthread_join(members[i].thread, NULL);
}
