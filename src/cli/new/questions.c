/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new/questions.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>
#include <perpend/sweep.h>

#include "files/names.h"
#include "text/sentences.h"

#define LENGTH(low, high, likely_low, likely_high)                                                 \
    {                                                                                              \
        .kind = ANSWER_LENGTH, .least = (low), .most = (high), .likely_least = (likely_low),       \
        .likely_most = (likely_high)                                                               \
    }
#define LENGTH_OR_NONE(low, high, likely_low, likely_high)                                         \
    {                                                                                              \
        .kind = ANSWER_LENGTH, .least = (low), .most = (high), .likely_least = (likely_low),       \
        .likely_most = (likely_high), .none = true                                                 \
    }
#define CHOICE(list)                                                                               \
    {                                                                                              \
        .kind = ANSWER_CHOICE, .choices = (list)                                                   \
    }
#define YES_NO                                                                                     \
    {                                                                                              \
        .kind = ANSWER_YES_NO                                                                      \
    }
#define OWN(checked)                                                                               \
    {                                                                                              \
        .check = (checked)                                                                         \
    }
#define LIKELY(low, high, checked)                                                                 \
    {                                                                                              \
        .likely_least = (low), .likely_most = (high), .check = (checked)                           \
    }
#define QUESTION(key, when, answer, standing, prompt, say, help)                                   \
    {key, when, answer, standing, prompt, say, help},

static const struct row rows[] = {
#include "cli/new/questions.inc"
};

/* The shape of a joint and the kind of gauge, as things stand. */
static unsigned situation_of(const struct draft *draft, size_t joint)
{
    unsigned situation = 0;
    if (draft_is(draft, DRAFT_SHAPE, joint, "plate"))
        situation = PLATE;
    if (draft_is(draft, DRAFT_SHAPE, joint, "sides"))
        situation = SIDES;
    if (draft_is(draft, DRAFT_SHAPE, joint, "flange"))
        situation = FLANGE;
    if (draft_is(draft, DRAFT_SHAPE, joint, "screws"))
        situation = draft_is(draft, DRAFT_LIES, joint, "flat") ? FLAT : UPRIGHT;
    if (draft_gauge(draft)->rises)
        situation |= INDICATOR;
    return draft_gauge(draft)->angled ? situation | LEVER : situation;
}

/* The row of a question; NULL when it makes no sense after what was answered so far. */
static const struct row *row_for(const struct draft *draft, struct place at)
{
    unsigned situation = situation_of(draft, at.joint);
    if ((at.key == DRAFT_ANOTHER && at.joint + 1 == PERPEND_JOINTS_MOST) ||
        (at.key == DRAFT_STOCK && !draft_takes_shims(draft)))
        return NULL;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].key == at.key && (rows[i].when == ANY || (rows[i].when & situation) != 0))
            return &rows[i];
    return NULL;
}

/* A row's texts as they are put for this machine and joint. */
struct asked {
    struct buffer standing, prompt, say, help;
};

static void put(struct asked *asked, const struct draft *draft, const struct row *row, size_t joint)
{
    const struct words words = {.unit = draft_unit(draft)};
    unsigned situation = situation_of(draft, joint);
    double hole;
    const struct slot *slots = SLOTS(SLOT_IF("inch", words.unit == PERPEND_UNIT_INCH),
        SLOT_IF("gap", draft_gauge(draft)->no_minus), SLOT_IF("dial", situation & INDICATOR),
        SLOT_IF("lever", situation & LEVER), SLOT_IF("later", joint > 0),
        SLOT_IF("plate", draft_is(draft, DRAFT_SHAPE, 0, "plate")),
        SLOT_IF("sides", situation & SIDES), SLOT_IF("screws", situation & SCREWS),
        SLOT_IF("usual", perpend_clearance_hole(draft_thread(draft, joint), &hole) == PERPEND_OK));
    const char *before = draft_answer(draft, row->key, joint);
    *asked = (struct asked){0};
    if (before[0] != '\0')
        buffer_add(&asked->standing, before);
    else
        fill(&words, &asked->standing, row->standing, slots);
    fill(&words, &asked->prompt, row->prompt, slots);
    fill(&words, &asked->say, row->say, slots);
    fill(&words, &asked->help, row->help, slots);
}

static void asked_finish(struct asked *asked)
{
    buffer_finish(&asked->standing);
    buffer_finish(&asked->prompt);
    buffer_finish(&asked->say);
    buffer_finish(&asked->help);
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

static enum heard ask_text(struct dialogue *dialogue, const struct check_context *context,
    struct question *question, char *answer)
{
    const struct answer *allowed = &context->row->answer;
    bool sure = true;
    question->check = allowed->kind == ANSWER_LENGTH ? check_length : allowed->check;
    do {
        enum heard heard = dialogue_ask(dialogue, question, answer);
        if (heard == HEARD_ANSWER)
            heard = make_sure(dialogue, context->draft, allowed, answer, &sure);
        if (heard != HEARD_ANSWER)
            return heard;
    } while (!sure);
    if (same_word(answer, "none") || same_word(answer, "usual"))
        snprintf(answer, ANSWER_SIZE, "%s", same_word(answer, "none") ? "none" : "usual");
    return HEARD_ANSWER;
}

/* One kind of shim after the other. */
static enum heard ask_stock(
    struct dialogue *dialogue, struct draft *draft, struct question *question, char *answer)
{
    question->may_be_empty = true;
    question->check = check_leaf;
    while (draft->leaf_count < PERPEND_LEAVES_MOST) {
        enum heard heard = dialogue_ask(dialogue, question, answer);
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

static enum heard ask_choice(
    struct dialogue *dialogue, const char *choices, const struct question *question, char *answer)
{
    enum { MOST = 8 };
    const char *words[MOST], *lines[MOST];
    char text[512];
    size_t count = 0, choice = 0;
    snprintf(text, sizeof text, "%s", choices);
    for (char *line = text; line != NULL && count < MOST; count++) {
        char *next = strchr(line, '\n'), *colon = strchr(line, ':');
        words[count] = line;
        lines[count] = colon + 2;
        *colon = '\0';
        if (next != NULL)
            *next++ = '\0';
        line = next;
    }
    enum heard heard = dialogue_choose(dialogue, question, words, lines, count, &choice);
    snprintf(answer, ANSWER_SIZE, "%s", words[choice]);
    return heard;
}

/* One of the kinds of gauge. */
static enum heard ask_gauge(
    struct dialogue *dialogue, const struct question *question, char *answer)
{
    const struct words words = {.utf8 = true};
    struct buffer choices = {0};
    for (size_t i = 0; i < PERPEND_GAUGE_KINDS; i++) {
        buffer_addf(&choices, "%s%s: ", i > 0 ? "\n" : "", perpend_gauge_at(i)->name);
        fill(&words, &choices, sentences[GAUGE_CHOICE], SLOTS(SLOT_CHOICE("kind", i)));
    }
    enum heard heard = ask_choice(dialogue, buffer_text(&choices), question, answer);
    buffer_finish(&choices);
    return heard;
}

static enum heard ask_yes_no(
    struct dialogue *dialogue, const struct question *question, char *answer)
{
    bool yes = question->standing != NULL && strcmp(question->standing, "yes") == 0;
    enum heard heard = dialogue_confirm(dialogue, question->prompt, question->help, yes, &yes);
    snprintf(answer, ANSWER_SIZE, "%s", yes ? "yes" : "no");
    return heard;
}

/* How to find the answer, then the question, until the answer will do. */
static enum heard ask_row(
    struct dialogue *dialogue, struct draft *draft, const struct row *row, size_t joint)
{
    struct check_context context = {.draft = draft, .row = row, .joint = joint};
    struct asked asked;
    char answer[ANSWER_SIZE];
    enum heard heard;
    put(&asked, draft, row, joint);
    if (asked.standing.failed || asked.prompt.failed || asked.help.failed) {
        asked_finish(&asked);
        return HEARD_FAIL;
    }
    struct question question = {
        .prompt = buffer_text(&asked.prompt),
        .help = buffer_text(&asked.help),
        .standing = asked.standing.length > 0 ? buffer_text(&asked.standing) : NULL,
        .back_undoes = row->key != DRAFT_NAME,
        .context = &context,
    };
    dialogue_space(dialogue);
    dialogue_say(dialogue, "%s", buffer_text(&asked.say));
    if (row->key == DRAFT_STOCK)
        heard = ask_stock(dialogue, draft, &question, answer);
    else if (row->key == DRAFT_GAUGE)
        heard = ask_gauge(dialogue, &question, answer);
    else if (row->answer.kind == ANSWER_CHOICE)
        heard = ask_choice(dialogue, row->answer.choices, &question, answer);
    else if (row->answer.kind == ANSWER_YES_NO)
        heard = ask_yes_no(dialogue, &question, answer);
    else
        heard = ask_text(dialogue, &context, &question, answer);
    asked_finish(&asked);
    if (heard == HEARD_ANSWER && row->key != DRAFT_STOCK &&
        !draft_keep(draft, row->key, joint, answer))
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
