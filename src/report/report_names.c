/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>

#include "draw/letters.h"
#include "report/report_parts.h"

/** A machine and a job whose names are short enough for one page: long ones are cut, and where a bolt
 *  has a long one all have numbers, which the page explains. */

#define NAME_ROOM 150.0 /* px, of a joint, a sweep, a leaf */
#define BOLT_ROOM 110.0

static char *cut(const char *name)
{
    struct buffer out = {0};
    if (name == NULL)
        return NULL;
    text_cut(LETTER_SMALL, name, NAME_ROOM, &out);
    buffer_add(&out, "");
    return buffer_take(&out);
}

static bool bolts_numbered(const struct perpend_mount *mount)
{
    for (size_t i = 0; i < mount->joint_count; i++)
        for (size_t j = 0; j < mount->joints[i].bolt_count; j++)
            if (text_width(LETTER_SMALL, mount->joints[i].bolts[j].name) > BOLT_ROOM)
                return true;
    return false;
}

/** All joints count as one, so that a number is one bolt's. */
static char *bolt_name(const char *name, size_t number, bool numbered)
{
    struct buffer out = {0};
    if (numbered)
        buffer_addf(&out, "bolt %zu", number);
    else
        buffer_add(&out, name);
    return buffer_take(&out);
}

static void shorten_mount(struct report_names *names, const struct perpend_mount *mount)
{
    size_t number = 0;
    names->numbered = bolts_numbered(mount);
    names->machine.mount.joints = names->joints;
    for (size_t i = 0; i < mount->joint_count; i++) {
        names->joints[i] = mount->joints[i];
        names->joints[i].name = cut(mount->joints[i].name);
        names->joints[i].bolts = names->bolts[i];
        for (size_t j = 0; j < mount->joints[i].bolt_count; j++) {
            const struct perpend_bolt *bolt = &mount->joints[i].bolts[j];
            names->bolts[i][j] = *bolt;
            names->bolts[i][j].name = bolt_name(bolt->name, ++number, names->numbered);
        }
    }
}

/** Value: false when memory ran out. */
bool report_names_shorten(const struct report_input *input, struct report_names *names)
{
    const struct perpend_stock *stock = &input->machine->stock;
    const struct perpend_job *job = input->job;
    struct perpend_leaf *leaves = calloc(stock->leaf_count + 1, sizeof *leaves);
    struct perpend_sweep *sweeps = calloc(job->sweep_count + 1, sizeof *sweeps);
    names->machine = *input->machine;
    names->job = *job;
    names->machine.stock.leaves = leaves;
    names->job.sweeps = sweeps;
    shorten_mount(names, &input->machine->mount);
    bool made = leaves != NULL && sweeps != NULL;
    for (size_t i = 0; i < stock->leaf_count && made; i++) {
        leaves[i] = stock->leaves[i];
        leaves[i].name = cut(stock->leaves[i].name);
        made = leaves[i].name != NULL || stock->leaves[i].name == NULL;
    }
    for (size_t i = 0; i < job->sweep_count && made; i++) {
        sweeps[i] = job->sweeps[i];
        made = (sweeps[i].name = cut(job->sweeps[i].name)) != NULL;
    }
    for (size_t i = 0; i < names->machine.mount.joint_count && made; i++) {
        made = names->joints[i].name != NULL;
        for (size_t j = 0; j < names->joints[i].bolt_count; j++)
            made = made && names->bolts[i][j].name != NULL;
    }
    return made;
}

void report_names_finish(struct report_names *names)
{
    for (size_t i = 0; i < names->machine.mount.joint_count; i++) {
        for (size_t j = 0; j < names->joints[i].bolt_count; j++)
            free(names->bolts[i][j].name);
        free(names->joints[i].name);
    }
    for (size_t i = 0; names->machine.stock.leaves != NULL && i < names->machine.stock.leaf_count;
         i++)
        free(names->machine.stock.leaves[i].name);
    for (size_t i = 0; names->job.sweeps != NULL && i < names->job.sweep_count; i++)
        free(names->job.sweeps[i].name);
    free(names->machine.stock.leaves);
    free(names->job.sweeps);
}
