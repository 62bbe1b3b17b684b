/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Another bit, stepover, depth, goal or stock in the midst of a job: its copy of the machine file is
   changed, the file itself is not. */
#include "cli/sweep/session.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/complain.h"
#include "cli/new/draft.h"
#include "cli/prompt/amounts.h"

static const struct thing {
    const char *word, *key; /* of the file; NULL: a list of leaves */
    const char *example;
} things[] = {
    {"bit", "cutter.diameter", "20"},
    {"corner", "cutter.corner", "0"},
    {"stepover", "facing.stepover", "8"},
    {"depth", "facing.depth", "0.2"},
    {"goal", "goal.ridge", "0.02"},
    {"stock", NULL, "0.05 x 8 brass; 0.1 x 10 drink can"},
};

/* "0.05 x 8 brass; 0.1 x 10 can" */
static bool keep_stock(struct draft *draft, const char *typed)
{
    char copy[ANSWER_SIZE], key[DRAFT_KEY], *rest = copy;
    struct leaves leaves;
    size_t count = 0;
    snprintf(copy, sizeof copy, "%s", typed);
    for (char *part; (part = strtok_r(rest, ";", &rest)) != NULL; count++)
        if (count == PERPEND_LEAVES_MOST ||
            !leaves_parse(part, draft_unit(draft), LEAVES_THICK_FIRST, &leaves) ||
            !draft_keep(draft, draft_key_of(key, count, "leaf"), part, false))
            return false;
    return draft_keep_lists(draft);
}

/* The job's machine file with that change, by malloc; NULL with the fault. */
static char *changed_text(
    struct session *session, const struct thing *thing, const char *typed, struct fault *fault)
{
    const struct log_record *record = &session->record;
    struct draft draft = {.count = 0};
    struct buffer text = {0};
    bool kept = draft_read(&draft, record->machine_text, record->machine_length, fault) &&
                (thing->key != NULL ? draft_keep(&draft, thing->key, typed, false)
                                    : keep_stock(&draft, typed));
    if (kept)
        draft_write(&draft, &text);
    else if (thing->key == NULL)
        fault_set(fault, 2, "that is no list of leaves; type it like %s", thing->example);
    draft_finish(&draft);
    char *changed = kept ? buffer_take(&text) : NULL;
    if (changed == NULL && (kept || thing->key != NULL))
        fault_out_of_memory(fault);
    buffer_finish(&text);
    return changed;
}

/* Read it as any machine file is, and keep it for the job. */
static bool keep_change(struct session *session, const char *text, struct fault *fault)
{
    struct perpend_machine machine;
    struct log_start start = {.machine = &machine, .text = text, .length = strlen(text)};
    if (!machine_file_parse(text, start.length, "", &machine, fault))
        return false;
    bool kept =
        log_job_machine(session->book, session->job, session->record.machine_name, &start, fault);
    perpend_machine_finish(&machine);
    return kept;
}

static bool note_change(struct session *session, const char *word, const char *value)
{
    char note[ANSWER_SIZE + 64];
    struct log_about about = {.job = session->job};
    snprintf(note, sizeof note, "%s changed to %s", word, value);
    return log_note(session->book, &about, strcmp(word, "bit") == 0 ? LOG_NEW_BIT : LOG_NOTE, note,
        &session->fault);
}

enum next session_change(
    struct session *session, const char *word, const char *rest, enum place_of_word place)
{
    const struct thing *thing = things;
    struct fault fault = {.status = 0};
    while (strcmp(thing->word, word) != 0)
        thing++;
    const struct slot *slots = SLOTS(SLOT_TEXT("word", word), SLOT_NAME("value", rest),
        SLOT_TEXT("example", thing->example), SLOT_TEXT("why", fault.text));
    if (session->job == 0 || rest[0] == '\0') {
        session_say(session, session->job == 0 ? CHANGE_NO_JOB : CHANGE_WHAT, slots);
        return NEXT_DID;
    }
    char *text = changed_text(session, thing, rest, &fault);
    bool kept = text != NULL && keep_change(session, text, &fault);
    free(text);
    if (!kept && fault.status == 3) { /* the computer failed: what the log has now is uncertain */
        session->fault = fault;
        return NEXT_FAIL;
    }
    if (!kept) {
        session_say(session, CHANGE_NOT, slots);
        return NEXT_DID;
    }
    perpend_solution_finish(&session->solution); /* it was of another machine */
    session->solved = false;
    if (!note_change(session, word, rest) || !session_load(session))
        return NEXT_FAIL;
    session_say(session, CHANGE_KEPT, slots);
    return place == AT_DID ? NEXT_ANSWER : NEXT_DID;
}
