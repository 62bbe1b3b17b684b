/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>

#include <perpend/job.h>

void perpend_job_finish(struct perpend_job *job)
{
    if (job == NULL)
        return;
    for (size_t i = 0; i < job->sweep_count; i++) {
        free(job->sweeps[i].name);
        free(job->sweeps[i].readings);
        free(job->sweeps[i].did);
    }
    free(job->sweeps);
    *job = (struct perpend_job){0};
}
