/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new/new_steps.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/mount.h>
#include <perpend/status.h>

#include "files/names.h"
#include "cli/new/new_table.h"

bool new_step_applies(const struct draft *draft, enum draft_key key, size_t joint)
{
    const char *shape = draft_answer(draft, DRAFT_SHAPE, joint);
    bool plate = strcmp(shape, "plate") == 0;
    bool sides = strcmp(shape, "sides") == 0;
    bool flange = strcmp(shape, "flange") == 0;
    bool screws = strcmp(shape, "screws") == 0;
    bool flat = flange || (screws && draft_is(draft, DRAFT_LIES, joint, "flat"));
    bool lever = draft_is(draft, DRAFT_GAUGE, 0, "lever");
    switch (key) {
    case DRAFT_RISES:
        return lever || draft_is(draft, DRAFT_GAUGE, 0, "dial");
    case DRAFT_ANGLE:
        return lever;
    case DRAFT_LIES:
        return flange || screws;
    case DRAFT_ACROSS:
    case DRAFT_ABOVE:
    case DRAFT_THREAD:
        return plate || sides || flange || screws;
    case DRAFT_DEEP:
        return sides || flat;
    case DRAFT_HIGH:
        return plate || sides || (screws && !flat);
    case DRAFT_BEHIND:
        return plate || (screws && !flat);
    case DRAFT_HOLE:
        return plate || sides;
    case DRAFT_ANOTHER:
        return (plate || sides || flange || screws) && joint + 1 < DRAFT_JOINTS;
    case DRAFT_STOCK:
        return draft_takes_shims(draft);
    default:
        return true;
    }
}

static bool keep(struct draft *draft, enum draft_key key, size_t joint, const char *answer)
{
    char *copy = strdup(answer);
    char **place = draft_place(draft, key, joint);
    if (copy == NULL)
        return false;
    free(*place);
    *place = copy;
    return true;
}

/* An unlikely length is asked about once more, what is none (M5) never; `sure` is false to ask the
   question again. */
static enum heard make_sure(struct dialogue *dialogue, const struct draft *draft,
    const struct step *step, const char *answer, bool *sure)
{
    enum perpend_unit unit = draft_unit(draft);
    double mm;
    char shown[64];
    char least[64];
    char most[64];
    *sure = true;
    if (perpend_length_parse(answer, unit, &mm) != PERPEND_OK ||
        (mm >= step->likely_least && mm <= step->likely_most))
        return HEARD_ANSWER;
    print_length(shown, sizeof shown, unit, mm);
    print_length(least, sizeof least, unit, step->likely_least);
    print_length(most, sizeof most, unit, step->likely_most);
    dialogue_say(dialogue, "%s is unusual here; most are from %s to %s.", shown, least, most);
    enum heard heard = dialogue_make_sure(dialogue, "is it right", sure);
    if (heard != HEARD_UNDO)
        return heard;
    *sure = false; /* it takes back the answer that is in doubt */
    return HEARD_ANSWER;
}

static const char *standing_of(
    const struct draft *draft, const struct step *step, enum draft_key key, size_t joint)
{
    const char *before = draft_answer(draft, key, joint);
    if (before[0] != '\0')
        return before;
    if (key == DRAFT_SHAPE && joint > 0)
        return draft_is(draft, DRAFT_SHAPE, 0, "plate") ? "sides" : "plate";
    bool dial = draft_is(draft, DRAFT_GAUGE, 0, "dial") || draft_is(draft, DRAFT_GAUGE, 0, "lever");
    if (key == DRAFT_STEP && draft_unit(draft) == PERPEND_UNIT_MM)
        return draft_is(draft, DRAFT_GAUGE, 0, "gap") ? "0.05" : "0.01";
    if (key == DRAFT_STEP && dial)
        return "0.001";
    if (key == DRAFT_LIES)
        return draft_is(draft, DRAFT_SHAPE, joint, "flange") ? "rests" : "upright";
    if (key == DRAFT_HOLE) {
        double hole;
        return perpend_clearance_hole(thread_width(draft, joint), &hole) == PERPEND_OK ? "usual"
                                                                                       : NULL;
    }
    return step->standing[draft_unit(draft)];
}

static enum heard ask_text(struct dialogue *dialogue, struct draft *draft, const struct step *step,
    enum draft_key key, size_t joint, const char *standing)
{
    struct check_context context = {.draft = draft, .step = step, .joint = joint};
    char prompt[128];
    char answer[ANSWER_SIZE];
    struct question question = {
        .prompt = step->prompt,
        .help = step->help,
        .standing = standing,
        .back_undoes = key != DRAFT_NAME,
        .check = step->kind == STEP_LENGTH ? check_length : step->check,
        .context = &context,
    };
    if (step->kind == STEP_LENGTH || key == DRAFT_HOLE || key == DRAFT_STEPOVER) {
        snprintf(prompt, sizeof prompt, "%s, %s", step->prompt,
            draft_unit(draft) == PERPEND_UNIT_INCH ? "in" : "mm");
        question.prompt = prompt;
    }
    bool sure = true;
    do {
        enum heard heard = dialogue_ask(dialogue, &question, answer);
        if (heard == HEARD_ANSWER && step->likely_most > 0)
            heard = make_sure(dialogue, draft, step, answer, &sure);
        if (heard != HEARD_ANSWER)
            return heard;
    } while (!sure);
    if (same_word(answer, "none") || same_word(answer, "usual"))
        snprintf(answer, sizeof answer, "%s", same_word(answer, "none") ? "none" : "usual");
    return keep(draft, key, joint, answer) ? HEARD_ANSWER : HEARD_FAIL;
}

static enum heard ask_stock(struct dialogue *dialogue, struct draft *draft)
{
    struct check_context context = {.draft = draft};
    char answer[ANSWER_SIZE];
    struct question question = {
        .prompt = "shims",
        .help =
            "Each line one kind: its thickness, x, how many there are, and what it is; 8 x 0.05 "
            "brass is the same as 0.05 x 8 brass. Kitchen foil is about 0.016 mm, office paper and "
            "the wall of a drink can about 0.10 mm. "
            "Without any the plan says what thickness is wanted, and you find it.",
        .may_be_empty = true,
        .back_undoes = true,
        .check = check_leaf,
        .context = &context,
    };
    dialogue_say(dialogue,
        "Shims you have, one kind a line, such as %s. Enter alone when done, or if there are none.",
        draft_unit(draft) == PERPEND_UNIT_INCH ? "0.002 x 8 brass" : "0.05 x 8 brass");
    while (draft->leaf_count < DRAFT_LEAVES) {
        enum heard heard = dialogue_ask(dialogue, &question, answer);
        if (heard == HEARD_UNDO && draft->leaf_count > 0) {
            char *last = draft->leaves[--draft->leaf_count];
            dialogue_say(dialogue, "Taken out again: %s", last);
            free(last);
            continue;
        }
        if (heard != HEARD_ANSWER)
            return heard;
        if (answer[0] == '\0' || same_word(answer, "none"))
            break;
        char *copy = strdup(answer);
        if (copy == NULL)
            return HEARD_FAIL;
        draft->leaves[draft->leaf_count++] = copy;
    }
    return HEARD_ANSWER;
}

enum heard new_step_ask(
    struct dialogue *dialogue, struct draft *draft, enum draft_key key, size_t joint)
{
    dialogue_space(dialogue);
    if (key == DRAFT_STOCK)
        return ask_stock(dialogue, draft);
    struct step step = new_step_for(draft, key, joint);
    const char *standing = standing_of(draft, &step, key, joint);
    if (step.say != NULL)
        dialogue_say(dialogue, "%s", step.say);
    if (step.kind == STEP_CHOICE) {
        struct question question = {
            .prompt = step.prompt, .help = step.help, .standing = standing, .back_undoes = true};
        size_t choice;
        enum heard heard =
            dialogue_choose(dialogue, &question, step.words, step.lines, step.count, &choice);
        if (heard == HEARD_ANSWER && !keep(draft, key, joint, step.words[choice]))
            heard = HEARD_FAIL;
        return heard;
    }
    if (step.kind == STEP_YES_NO) {
        bool yes;
        enum heard heard =
            dialogue_confirm(dialogue, step.prompt, step.help, strcmp(standing, "yes") == 0, &yes);
        if (heard == HEARD_ANSWER && !keep(draft, key, joint, yes ? "yes" : "no"))
            heard = HEARD_FAIL;
        return heard;
    }
    return ask_text(dialogue, draft, &step, key, joint, standing);
}
