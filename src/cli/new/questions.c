/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new/questions.h"
#include "cli/new/summary.h"

#include <stdio.h>
#include <string.h>

#include "files/names.h"
#include "text/sentences.h"

#define TEXT KIND_TEXT, NULL
#define CHOICE(list) KIND_CHOICE, list
#define GAUGE KIND_GAUGE, NULL
#define SHAPE KIND_SHAPE, NULL
#define YES_NO KIND_YES_NO, NULL
#define SPREAD KIND_SPREAD, NULL
#define LEAF KIND_LEAF, NULL
#define NEW_FILE KIND_FILE, NULL

static const struct row rows[] = {
#define QUESTION(...) {__VA_ARGS__},
#include "cli/new/questions.inc"
};
#define ROWS (sizeof rows / sizeof *rows)

static const struct perpend_gauge_row *gauge_of(const struct draft *draft)
{
    size_t kind = 0;
    while (kind + 1 < PERPEND_GAUGE_KINDS &&
           !draft_is(draft, "gauge.kind", perpend_gauge_at(kind)->name))
        kind++;
    return perpend_gauge_at(kind);
}

const struct shape *draft_shape(const struct draft *draft, size_t joint)
{
    const char *word = draft_text_of(draft, joint, "shape");
    const struct shape *shape = word != NULL ? shape_called(word) : NULL;
    return shape != NULL && shape->asks != 0 ? shape : NULL;
}

static unsigned asks_of(const struct draft *draft, size_t joint)
{
    const struct shape *shape = draft_shape(draft, joint);
    return shape != NULL ? shape->asks : 0;
}

static unsigned situation_of(const struct draft *draft, size_t joint)
{
    const struct perpend_gauge_row *gauge = gauge_of(draft);
    bool shims = draft->mounted;
    unsigned situation = (gauge->rises ? DIAL : 0) | (gauge->angled ? LEVER : 0) |
                         (draft->mounted ? MOUNTED : 0) | (draft->stocked ? STOCKED : 0);
    if (!draft->mounted || draft_is(draft, "keep mount", "no")) {
        situation |= NEW_MOUNT | asks_of(draft, joint);
        if (asks_of(draft, joint) != 0 && joint + 1 < PERPEND_JOINTS_MOST)
            situation |= ANOTHER;
        for (size_t i = 0; i < PERPEND_JOINTS_MOST; i++)
            shims |= (asks_of(draft, i) & SHIMS) != 0;
    }
    if (shims && (!draft->stocked || draft_is(draft, "keep stock", "no")))
        situation |= NEW_STOCK;
    return situation;
}

static char *key_of(char key[DRAFT_KEY], struct place at)
{
    const struct row *row = &rows[at.row];
    if ((row->when & OF_A_JOINT) != 0 || row->kind == KIND_LEAF)
        return draft_key_of(key, at.number, row->key);
    snprintf(key, DRAFT_KEY, "%s", row->key);
    return key;
}

/* Of the rows of one key, which stand together, only the first that applies is asked. */
static struct place next_place(const struct draft *draft, struct place at)
{
    char key[DRAFT_KEY];
    const struct row *last = &rows[at.row];
    bool more = last->kind == KIND_LEAF && at.number + 1 < PERPEND_LEAVES_MOST &&
                !draft_is(draft, key_of(key, at), "none");
    if (more || (last->when == ANOTHER && draft_is(draft, key_of(key, at), "yes"))) {
        at.number++;
        while (!more && rows[at.row].kind != KIND_SHAPE)
            at.row--;
        return at;
    }
    do {
        at.row++;
    } while (at.row < ROWS && (strcmp(rows[at.row].key, last->key) == 0 ||
                                  (rows[at.row].when != ANY &&
                                      (rows[at.row].when & situation_of(draft, at.number)) == 0)));
    if (at.row < ROWS && rows[at.row].kind == KIND_LEAF)
        at.number = 0;
    return at;
}

static void put(
    const struct draft *draft, struct place at, const char *sentence, struct buffer *text)
{
    const struct words words = {.unit = draft_unit(draft)};
    unsigned situation = situation_of(draft, at.number);
    fill(&words, text, sentence,
        SLOTS(SLOT_IF("inch", words.unit == PERPEND_UNIT_INCH),
            SLOT_IF("gap", gauge_of(draft)->no_minus), SLOT_IF("dial", situation & DIAL),
            SLOT_IF("lever", situation & LEVER), SLOT_IF("later", at.number > 0),
            SLOT_IF("sides", situation & DEEP_TOO)));
}

/* Whether the file had this and no question is about it; lists are left alone until all is answered. */
static bool stays(const struct draft *draft, const struct part *part, bool whole)
{
    for (size_t i = 0; i < ROWS; i++)
        if (strcmp(rows[i].key, part->key) == 0)
            return false;
    return strchr(part->key, ' ') == NULL &&
           (whole || !part->as_written || strchr(part->key, '.') != NULL) &&
           !(draft_is(draft, "keep mount", "no") && strcmp(part->key, "mount") == 0) &&
           !(draft_is(draft, "keep stock", "no") && strcmp(part->key, "stock") == 0);
}

/* What questions_write writes, as a draft. */
static bool settle(const struct draft *draft, const struct asking *asking, const char *value,
    struct draft *settled)
{
    bool later = false, kept = draft_keep(settled, "perpend", "1", false);
    settled->changed = draft->changed;
    settled->mounted = draft->mounted;
    settled->stocked = draft->stocked;
    for (struct place at = {0}; at.row < ROWS && kept; at = next_place(settled, at)) {
        char key[DRAFT_KEY];
        struct buffer sample = {0};
        const char *text = draft_text(draft, key_of(key, at));
        bool there = asking != NULL && at.row == asking->at.row && at.number == asking->at.number;
        if (there)
            text = value;
        else if (later || text == NULL) {
            put(settled, at, rows[at.row].sample, &sample);
            text = buffer_text(&sample);
        }
        kept = !sample.failed && draft_keep(settled, key, text, false);
        later |= there;
        buffer_finish(&sample);
    }
    for (size_t i = 0; i < draft->count && kept; i++) {
        const struct part *part = &draft->parts[i];
        if (stays(draft, part, asking == NULL))
            kept = draft_keep(settled, part->key, part->text, part->as_written);
    }
    return kept && draft_keep_lists(settled);
}

bool questions_write(
    const struct draft *draft, const struct asking *asking, const char *value, struct buffer *text)
{
    struct draft settled = {.count = 0};
    bool kept = settle(draft, asking, value, &settled);
    if (kept)
        draft_write(&settled, text);
    draft_finish(&settled);
    return kept && !text->failed;
}

/* How to find the answer, then the question. Enter alone takes what was answered or stands in the file,
   nothing where the file has nothing, else common practice. */
static enum heard ask_place(struct dialogue *dialogue, struct draft *draft, struct place at)
{
    const struct row *row = &rows[at.row];
    char key[DRAFT_KEY], answer[ANSWER_SIZE];
    const char *before = draft_text(draft, key_of(key, at));
    bool optional = same_word(row->sample, "none") || same_word(row->sample, "usual");
    const char *practice = draft->changed != NULL && optional ? row->sample : row->standing;
    const char *sentences_of[] = {before == NULL ? practice : "", row->prompt, row->say, row->help};
    struct buffer said[4] = {{0}};
    enum heard heard = HEARD_FAIL;
    bool whole = true;
    for (size_t i = 0; i < 4; i++) {
        put(draft, at, sentences_of[i], &said[i]);
        whole = whole && !said[i].failed;
    }
    if (whole) {
        struct asking asking = {
            dialogue, draft, at, row, before != NULL ? before : buffer_text(&said[0]), false};
        struct question question = {
            .prompt = buffer_text(&said[1]),
            .help = buffer_text(&said[3]),
            .back_undoes = at.row > 0,
            .context = &asking,
        };
        struct buffer text = {0};
        if (row->kind == KIND_FILE && questions_write(draft, NULL, NULL, &text))
            summary_show(dialogue, &text);
        buffer_finish(&text);
        dialogue_space(dialogue);
        if (at.number == 0 || row->kind != KIND_LEAF)
            dialogue_say(dialogue, "%s", buffer_text(&said[2]));
        heard = answer_ask(&asking, &question, answer);
    }
    if (heard == HEARD_ANSWER && !draft_keep(draft, key, answer, false))
        heard = HEARD_FAIL;
    for (size_t i = 0; i < 4; i++)
        buffer_finish(&said[i]);
    return heard;
}

enum heard questions_ask(struct dialogue *dialogue, struct draft *draft, struct path *path)
{
    for (;;) {
        struct place at = {0};
        if (path->count > 0)
            at = next_place(draft, path->at[path->count - 1]);
        if (at.row < ROWS && draft->changed != NULL && strcmp(rows[at.row].key, "unit") == 0)
            at = next_place(draft, at);
        if (at.row == ROWS)
            return HEARD_ANSWER;
        enum heard heard = path->count < PLACES_MOST ? ask_place(dialogue, draft, at) : HEARD_FAIL;
        if (heard == HEARD_ANSWER)
            path->at[path->count++] = at;
        else if (heard == HEARD_UNDO && path->count > 0)
            path->count--;
        else
            return heard;
    }
}
