/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>

#include "draw/letters.h"
#include "report/report_parts.h"

/** A machine and a job whose names are short enough for one page: long ones are cut, and where a bolt
 *  has a long one all have numbers, which the page explains. */

#define NAME_ROOM 150.0 /* px, of a joint, a sweep, a leaf */
#define BOLT_ROOM 110.0

/** One more name that the page owns; one that memory ran out for is empty. */
static char *keep(struct report_names *names, struct buffer *name)
{
    static char lost[] = "";
    buffer_add(name, "");
    char *made = buffer_take(name);
    char **more = realloc(names->made, (names->count + 1) * sizeof *more);
    if (more != NULL)
        names->made = more;
    if (made != NULL && more != NULL)
        return names->made[names->count++] = made;
    names->failed = true;
    free(made);
    return lost;
}

static char *cut(struct report_names *names, const char *name)
{
    struct buffer out = {0};
    text_cut(LETTER_SMALL, name != NULL ? name : "", NAME_ROOM, &out);
    return keep(names, &out);
}

static bool bolts_numbered(const struct perpend_mount *mount)
{
    for (size_t i = 0; i < mount->joint_count; i++)
        for (size_t j = 0; j < mount->joints[i].bolt_count; j++)
            if (text_width(LETTER_SMALL, mount->joints[i].bolts[j].name) > BOLT_ROOM)
                return true;
    return false;
}

static void shorten_mount(struct report_names *names, const struct perpend_mount *mount)
{
    const bool numbered = names->numbered = bolts_numbered(mount);
    size_t number = 0; /* all joints count as one, so that a number is one bolt's */
    names->machine.mount.joints = names->joints;
    for (size_t i = 0; i < mount->joint_count; i++) {
        names->joints[i] = mount->joints[i];
        names->joints[i].name = cut(names, mount->joints[i].name);
        names->joints[i].bolts = names->bolts[i];
        for (size_t j = 0; j < mount->joints[i].bolt_count; j++) {
            struct buffer name = {0};
            buffer_addf(&name, "bolt %zu", ++number);
            names->bolts[i][j] = mount->joints[i].bolts[j];
            if (numbered)
                names->bolts[i][j].name = keep(names, &name);
            buffer_finish(&name);
        }
    }
}

void report_names_shorten(const struct report_input *input, struct report_names *names)
{
    const struct perpend_stock *stock = &input->machine->stock;
    const struct perpend_job *job = input->job;
    *names = (struct report_names){.machine = *input->machine,
        .job = *job,
        .leaves = calloc(stock->leaf_count + 1, sizeof *names->leaves),
        .sweeps = calloc(job->sweep_count + 1, sizeof *names->sweeps)};
    shorten_mount(names, &input->machine->mount);
    names->machine.stock.leaves = names->leaves;
    names->job.sweeps = names->sweeps;
    names->failed = names->failed || names->leaves == NULL || names->sweeps == NULL;
    for (size_t i = 0; i < stock->leaf_count && !names->failed; i++) {
        names->leaves[i] = stock->leaves[i];
        names->leaves[i].name = cut(names, stock->leaves[i].name);
    }
    for (size_t i = 0; i < job->sweep_count && !names->failed; i++) {
        names->sweeps[i] = job->sweeps[i];
        names->sweeps[i].name = cut(names, job->sweeps[i].name);
    }
}

void report_names_finish(struct report_names *names)
{
    for (size_t i = 0; i < names->count; i++)
        free(names->made[i]);
    free(names->made);
    free(names->leaves);
    free(names->sweeps);
}
