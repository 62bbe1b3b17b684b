/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new/questions.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "files/names.h"

/* What rows may apply to, as things stand. */
static unsigned situation_of(const struct draft *draft, size_t joint)
{
    static const struct {
        enum draft_key key;
        const char *word;
        unsigned when;
    } bits[] = {
        {DRAFT_SHAPE, "plate", WHEN_PLATE},
        {DRAFT_SHAPE, "sides", WHEN_SIDES},
        {DRAFT_SHAPE, "flange", WHEN_FLANGE},
        {DRAFT_GAUGE, "gap", WHEN_GAP},
        {DRAFT_GAUGE, "touch", WHEN_TOUCH},
        {DRAFT_GAUGE, "dial", WHEN_DIAL},
        {DRAFT_GAUGE, "lever", WHEN_LEVER},
    };
    unsigned situation = draft_unit(draft) == PERPEND_UNIT_INCH ? WHEN_INCH : WHEN_MM;
    situation |= joint == 0 ? WHEN_FIRST : WHEN_LATER;
    for (size_t i = 0; i < sizeof bits / sizeof *bits; i++)
        situation |= draft_is(draft, bits[i].key, joint, bits[i].word) ? bits[i].when : 0;
    if (draft_is(draft, DRAFT_SHAPE, joint, "screws"))
        situation |= draft_is(draft, DRAFT_LIES, joint, "flat") ? WHEN_FLAT : WHEN_UPRIGHT;
    return situation;
}

/* The row of a question; NULL when it makes no sense after what was answered so far. */
static const struct row *row_for(const struct draft *draft, struct place at)
{
    static const unsigned kinds[] = {WHEN_JOINT, WHEN_GAP | WHEN_TOUCH | WHEN_DIAL | WHEN_LEVER,
        WHEN_MM | WHEN_INCH, WHEN_FIRST | WHEN_LATER};
    unsigned situation = situation_of(draft, at.joint);
    if ((at.key == DRAFT_ANOTHER && at.joint + 1 == PERPEND_JOINTS_MOST) ||
        (at.key == DRAFT_STOCK && !draft_takes_shims(draft)))
        return NULL;
    for (const struct row *row = question_rows; row->key != DRAFT_KEYS; row++) {
        bool applies = row->key == at.key;
        for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
            applies =
                applies && ((row->when & kinds[i]) == 0 || (row->when & kinds[i] & situation));
        if (applies)
            return row;
    }
    return NULL;
}

/* An unlikely length is asked about once more, what is none (M5) never; `sure` is false to ask the
   question again. */
static enum heard make_sure(struct dialogue *dialogue, const struct draft *draft,
    const struct answer *likely, const char *answer, bool *sure)
{
    enum perpend_unit unit = draft_unit(draft);
    char shown[64], least[64], most[64];
    double mm;
    *sure = true;
    if (likely->likely_most <= 0 || perpend_length_parse(answer, unit, &mm) != PERPEND_OK ||
        (mm >= likely->likely_least && mm <= likely->likely_most))
        return HEARD_ANSWER;
    print_length(shown, sizeof shown, unit, mm);
    print_length(least, sizeof least, unit, likely->likely_least);
    print_length(most, sizeof most, unit, likely->likely_most);
    dialogue_say(dialogue, "%s is unusual here; most are from %s to %s.", shown, least, most);
    enum heard heard = dialogue_make_sure(dialogue, "is it right", sure);
    if (heard != HEARD_UNDO)
        return heard;
    *sure = false; /* it takes back the answer that is in doubt */
    return HEARD_ANSWER;
}

static const char *standing_of(const struct draft *draft, const struct row *row, size_t joint)
{
    const char *before = draft_answer(draft, row->key, joint);
    double hole;
    if (before[0] != '\0')
        return before;
    if (row->key == DRAFT_SHAPE && joint > 0)
        return draft_is(draft, DRAFT_SHAPE, 0, "plate") ? "sides" : "plate";
    if (row->key == DRAFT_HOLE &&
        perpend_clearance_hole(draft_thread(draft, joint), &hole) != PERPEND_OK)
        return NULL;
    return row->answer.standing[draft_unit(draft)];
}

static enum heard ask_text(struct dialogue *dialogue, const struct draft *draft,
    const struct row *row, size_t joint, char *answer)
{
    struct check_context context = {.draft = draft, .row = row, .joint = joint};
    bool length = row->answer.kind == ANSWER_LENGTH, sure = true;
    char prompt[128];
    struct question question = {
        .prompt = prompt,
        .help = row->help,
        .standing = standing_of(draft, row, joint),
        .back_undoes = row->key != DRAFT_NAME,
        .check = length ? check_length : row->answer.check,
        .context = &context,
    };
    snprintf(prompt, sizeof prompt, "%s%s", row->prompt,
        !length && row->key != DRAFT_HOLE && row->key != DRAFT_STEPOVER ? ""
        : draft_unit(draft) == PERPEND_UNIT_INCH                        ? ", in"
                                                                        : ", mm");
    do {
        enum heard heard = dialogue_ask(dialogue, &question, answer);
        if (heard == HEARD_ANSWER)
            heard = make_sure(dialogue, draft, &row->answer, answer, &sure);
        if (heard != HEARD_ANSWER)
            return heard;
    } while (!sure);
    if (same_word(answer, "none") || same_word(answer, "usual"))
        snprintf(answer, ANSWER_SIZE, "%s", same_word(answer, "none") ? "none" : "usual");
    return HEARD_ANSWER;
}

/* One kind of shim after the other. */
static enum heard ask_stock(
    struct dialogue *dialogue, struct draft *draft, const struct row *row, char *answer)
{
    struct check_context context = {.draft = draft};
    struct question question = {
        .prompt = row->prompt,
        .help = row->help,
        .may_be_empty = true,
        .back_undoes = true,
        .check = row->answer.check,
        .context = &context,
    };
    while (draft->leaf_count < PERPEND_LEAVES_MOST) {
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

/* How to find the answer, then the question, until the answer will do. */
static enum heard ask_row(
    struct dialogue *dialogue, struct draft *draft, const struct row *row, size_t joint)
{
    const struct choices *choices = row->answer.choices;
    char answer[ANSWER_SIZE];
    enum heard heard;
    dialogue_space(dialogue);
    dialogue_say(dialogue, "%s", row->say);
    if (row->key == DRAFT_STOCK) {
        heard = ask_stock(dialogue, draft, row, answer);
        return heard;
    }
    if (row->answer.kind == ANSWER_CHOICE) {
        size_t choice = 0;
        struct question question = {.prompt = row->prompt,
            .help = row->help,
            .standing = standing_of(draft, row, joint),
            .back_undoes = true};
        heard = dialogue_choose(
            dialogue, &question, choices->words, choices->lines, choices->count, &choice);
        snprintf(answer, sizeof answer, "%s", choices->words[choice]);
    } else if (row->answer.kind == ANSWER_YES_NO) {
        bool yes = strcmp(standing_of(draft, row, joint), "yes") == 0;
        heard = dialogue_confirm(dialogue, row->prompt, row->help, yes, &yes);
        snprintf(answer, sizeof answer, "%s", yes ? "yes" : "no");
    } else {
        heard = ask_text(dialogue, draft, row, joint, answer);
    }
    if (heard == HEARD_ANSWER && !draft_keep(draft, row->key, joint, answer))
        return HEARD_FAIL;
    return heard;
}

static struct place next_place(const struct draft *draft, struct place at)
{
    do {
        if (at.key == DRAFT_ANOTHER && row_for(draft, at) != NULL &&
            draft_is(draft, DRAFT_ANOTHER, at.joint, "yes"))
            at = (struct place){DRAFT_SHAPE, at.joint + 1};
        else
            at.key++;
    } while (at.key < DRAFT_KEYS && row_for(draft, at) == NULL);
    return at;
}

enum heard questions_ask(
    struct dialogue *dialogue, struct draft *draft, struct way *way, answered *then)
{
    struct place at = {DRAFT_NAME, 0};
    if (way->count > 0)
        at = way->taken[--way->count];
    while (at.key < DRAFT_KEYS) {
        enum heard heard = ask_row(dialogue, draft, row_for(draft, at), at.joint);
        if (heard == HEARD_UNDO && way->count == 0) {
            dialogue_say(dialogue, "This is the first question.");
        } else if (heard == HEARD_UNDO) {
            at = way->taken[--way->count];
        } else if (heard != HEARD_ANSWER) {
            return heard;
        } else {
            then(dialogue, draft, at.key);
            way->taken[way->count++] = at;
            at = next_place(draft, at);
        }
    }
    return HEARD_ANSWER;
}
