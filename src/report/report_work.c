/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "report/report_parts.h"
#include "text/escape.h"
#include "text/say.h"

/** What was done to the mount, or is to be done. */

#define GROUPS_MOST 3 /* bolts that got the same, in a row of a table */

struct mount_work report_work(const struct report *report)
{
    const struct report_input *input = report->input;
    const struct perpend_job *job = input->job;
    struct mount_work work = report->planned ? mount_work_planned(&report->last->plan)
                                             : mount_work_done(job, input->solution->measurements,
                                                   input->solution->measurement_count);
    for (size_t i = 0; i < job->inside_count && !report->planned; i++) /* it was there before */
        mount_work_add(&work, &job->inside[i]);
    return work;
}

/** Of what a bolt has got all, or of one at whose joint there is more than slides all but these. */
static struct bolt_work told_of(
    const struct mount_work *work, size_t joint, size_t bolt, bool all, bool *slid)
{
    const struct bolt_work *got = &work->bolts[joint][bolt];
    bool other = false;
    for (size_t k = 0; k < PERPEND_BOLTS_MOST; k++)
        other = other || bolt_work_unslid(&work->bolts[joint][k]).touched;
    if (all || !other)
        return *got;
    const struct bolt_work told = bolt_work_unslid(got);
    *slid = *slid || (got->touched && !told.touched);
    return told;
}

void report_add_work(
    const struct report *report, const struct mount_work *work, bool brief, struct buffer *out)
{
    const struct perpend_mount *mount = &report->input->machine->mount;
    const size_t most = brief && !report->input->full ? GROUPS_MOST : SIZE_MAX;
    size_t groups = 0;
    size_t worked = 0;
    bool slid = false;
    for (size_t i = 0; i < mount->joint_count; i++)
        worked += work->joints[i];
    for (size_t i = 0; i < mount->joint_count; i++) {
        const struct perpend_joint *joint = &mount->joints[i];
        char *got[PERPEND_BOLTS_MOST] = {NULL};
        if (work->joints[i] && worked > 1 && groups < most && report->numbered == NULL)
            fill_next(&report->words, out, sentences[RECORD_AT_JOINT],
                SLOTS(SLOT_PRINTED("joint", joint->name)));
        for (size_t j = 0; j < joint->bolt_count; j++) {
            const struct bolt_work told = told_of(work, i, j, most == SIZE_MAX, &slid);
            got[j] = told.touched ? say_work(report->words.unit, &told) : NULL;
        }
        for (size_t j = 0; j < joint->bolt_count; j++) {
            struct buffer names = {0};
            for (size_t k = j; k < joint->bolt_count && got[j] != NULL; k++) {
                if (got[k] == NULL || strcmp(got[j], got[k]) != 0)
                    continue;
                char *name = isolated_name(joint->bolts[k].name);
                buffer_addf(&names, "%s", names.length > 0 ? ", " : "");
                buffer_add(&names, name);
                free(name);
                if (k != j) {
                    free(got[k]);
                    got[k] = NULL;
                }
            }
            if (names.length > 0 && groups++ < most)
                fill_next(&report->words, out, sentences[RECORD_GOT],
                    SLOTS(SLOT_TEXT("got", got[j]), SLOT_TEXT("bolts", buffer_text(&names))));
            free(got[j]);
            buffer_finish(&names);
        }
    }
    if (groups > most)
        fill_next(&report->words, out, sentences[RECORD_MORE], NULL);
    if (slid)
        fill_next(&report->words, out, sentences[RECORD_SLID], NULL);
}
