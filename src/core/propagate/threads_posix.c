/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <pthread.h>
#include <unistd.h>

#include "core/propagate/threads.h"

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
    threads_done *done;
    void *context;
    pthread_mutex_t lock; /* over what follows, and round `done` */
    size_t next, count;
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
    pthread_mutex_lock(&crew->lock);
    while (crew->next < crew->count) {
        size_t item = crew->next++;
        pthread_mutex_unlock(&crew->lock);
        crew->task(crew->context, member->worker, item);
        pthread_mutex_lock(&crew->lock);
        if (crew->done && !crew->done(crew->context, item))
            crew->count = 0;
    }
    pthread_mutex_unlock(&crew->lock);
    return NULL;
}

void threads_each(
    unsigned workers, size_t count, threads_task *task, threads_done *done, void *context)
{
    struct crew crew = {.task = task, .done = done, .context = context, .count = count};
    struct member members[THREADS_MOST];
    unsigned started = 1;
    pthread_mutex_init(&crew.lock, NULL);
    while (started < workers && started < count) {
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
    pthread_mutex_destroy(&crew.lock);
}
