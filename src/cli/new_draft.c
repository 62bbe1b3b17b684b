/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "new_draft.h"

#include <stdlib.h>
#include <string.h>

#include "dialogue.h"

void draft_finish(struct draft *draft)
{
    for (size_t joint = 0; joint < DRAFT_JOINTS; joint++)
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

char **draft_place(struct draft *draft, enum draft_key key, size_t joint)
{
    return &draft->answers[slot_of(key, joint)][key];
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

enum perpend_unit draft_unit(const struct draft *draft)
{
    return draft_is(draft, DRAFT_UNIT, 0, "in") ? PERPEND_UNIT_INCH : PERPEND_UNIT_MM;
}

size_t draft_joint_count(const struct draft *draft)
{
    size_t count = 0;
    while (count < DRAFT_JOINTS && draft->answers[count][DRAFT_SHAPE] != NULL &&
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

bool draft_leaf_parse(
    const char *text, enum perpend_unit unit, double *thick, unsigned *count, const char **name)
{
    /* the last "x" with blanks or digits round it parts the thickness from the count */
    char length[64];
    char number[16];
    double many;
    size_t at = strcspn(text, "xX*");
    if (text[at] == '\0' || at >= sizeof length)
        return false;
    memcpy(length, text, at);
    length[at] = '\0';
    const char *rest = text + at + 1;
    rest += strspn(rest, " ");
    size_t digits = strspn(rest, "0123456789");
    if (digits == 0 || digits >= sizeof number || (rest[digits] != ' ' && rest[digits] != '\0'))
        return false;
    memcpy(number, rest, digits);
    number[digits] = '\0';
    if (perpend_length_parse(length, unit, thick) != 0 || *thick <= 0 || *thick > 25 ||
        perpend_number_parse(number, &many) != 0 || many < 1 || many > 1000)
        return false;
    *count = (unsigned)many;
    *name = rest + digits + strspn(rest + digits, " ");
    return true;
}
