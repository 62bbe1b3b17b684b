/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new/draft.h"

#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "files/files.h"
#include "files/mount_file.h"

void draft_finish(struct draft *draft)
{
    for (size_t joint = 0; joint < PERPEND_JOINTS_MOST; joint++)
        for (size_t key = 0; key < DRAFT_KEYS; key++)
            free(draft->answers[joint][key]);
    for (size_t i = 0; i < draft->leaf_count; i++)
        free(draft->leaves[i]);
    memset(draft, 0, sizeof *draft);
}

static size_t slot_of(enum draft_key key, size_t joint)
{
    return key >= DRAFT_SHAPE && key <= DRAFT_ANOTHER ? joint : 0;
}

bool draft_keep(struct draft *draft, enum draft_key key, size_t joint, const char *answer)
{
    char *copy = strdup(answer), **place = &draft->answers[slot_of(key, joint)][key];
    if (copy == NULL)
        return false;
    free(*place);
    *place = copy;
    return true;
}

const char *draft_answer(const struct draft *draft, enum draft_key key, size_t joint)
{
    const char *answer = draft->answers[slot_of(key, joint)][key];
    return answer != NULL ? answer : "";
}

bool draft_is(const struct draft *draft, enum draft_key key, size_t joint, const char *word)
{
    return strcmp(draft_answer(draft, key, joint), word) == 0;
}

double draft_length(const struct draft *draft, enum draft_key key, size_t joint)
{
    double mm = 0;
    perpend_length_parse(draft_answer(draft, key, joint), draft_unit(draft), &mm);
    return mm;
}

enum perpend_unit draft_unit(const struct draft *draft)
{
    return draft_is(draft, DRAFT_UNIT, 0, "in") ? PERPEND_UNIT_INCH : PERPEND_UNIT_MM;
}

const struct perpend_gauge_row *draft_gauge(const struct draft *draft)
{
    size_t kind = 0;
    while (kind + 1 < PERPEND_GAUGE_KINDS &&
           !draft_is(draft, DRAFT_GAUGE, 0, perpend_gauge_at(kind)->name))
        kind++;
    return perpend_gauge_at(kind);
}

double draft_thread(const struct draft *draft, size_t joint)
{
    struct perpend_bolt bolt = {0};
    if (!thread_parse(draft_answer(draft, DRAFT_THREAD, joint), &bolt))
        return draft_length(draft, DRAFT_THREAD, joint);
    return bolt.thread;
}

size_t draft_joint_count(const struct draft *draft)
{
    size_t count = 0;
    while (count < PERPEND_JOINTS_MOST && draft->answers[count][DRAFT_SHAPE] != NULL &&
           !draft_is(draft, DRAFT_SHAPE, count, "none")) {
        count++;
        if (!draft_is(draft, DRAFT_ANOTHER, count - 1, "yes"))
            break;
    }
    return count;
}

bool draft_takes_shims(const struct draft *draft)
{
    for (size_t joint = 0; joint < draft_joint_count(draft); joint++)
        if (draft_is(draft, DRAFT_SHAPE, joint, "plate") ||
            draft_is(draft, DRAFT_SHAPE, joint, "flange"))
            return true;
    return false;
}

bool draft_leaf_parse(const char *text, enum perpend_unit unit, struct leaves *leaves)
{
    return leaves_parse(text, unit, LEAVES_THICK_FIRST, leaves) && leaves->thick > 0;
}
