/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Another bit, stepover, depth, goal or stock in the midst of a job: its copy of the machine file is
   changed, the file itself is not. */
#include "cli/sweep/session.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/prompt/amounts.h"
#include "files/machine_change.h"

#define LEAVES_MOST 24

static const struct thing {
    const char *word, *section, *key; /* where it stands in the file; key NULL: a list of leaves */
    const char *example;
} things[] = {
    {"bit", "cutter", "diameter", "20"},
    {"corner", "cutter", "corner", "0"},
    {"stepover", "facing", "stepover", "8"},
    {"depth", "facing", "depth", "0.2"},
    {"goal", "goal", "ridge", "0.02"},
    {"stock", "stock", NULL, "0.05 x 8 brass; 0.1 x 10 drink can"},
};

/* "0.05 x 8 brass; 0.1 x 10 can"; the names stay parts of `typed`, which is cut up. */
static bool parse_stock(
    char *typed, enum perpend_unit unit, struct perpend_leaf *kinds, size_t *count)
{
    struct leaves leaves;
    *count = 0;
    for (char *part = typed, *next; part != NULL; part = next) {
        next = strchr(part, ';');
        if (next != NULL)
            *next++ = '\0';
        if (*count == LEAVES_MOST || !leaves_parse(part, unit, LEAVES_THICK_FIRST, &leaves))
            return false;
        kinds[(*count)++] = (struct perpend_leaf){.thick = leaves.thick,
            .count = leaves.count,
            .name = leaves.name[0] != '\0' ? (char *)leaves.name : NULL};
    }
    return true;
}

/* The job's machine file with that change, by malloc; NULL with the fault. */
static char *changed_text(
    struct session *session, const struct thing *thing, const char *typed, struct fault *fault)
{
    const struct log_record *record = &session->record;
    struct perpend_leaf kinds[LEAVES_MOST];
    struct perpend_stock stock = {.leaves = kinds};
    char copy[ANSWER_SIZE];
    snprintf(copy, sizeof copy, "%s", typed);
    if (thing->key != NULL ||
        parse_stock(copy, session_machine(session)->unit, kinds, &stock.leaf_count))
        return machine_text_changed(record->machine_text, record->machine_length, thing->section,
            thing->key, thing->key != NULL ? typed : NULL, &stock, fault);
    fault_set(fault, 2, "that is no list of leaves; type it like %s", thing->example);
    return NULL;
}

/* Read it as any machine file is, and keep it for the job, with a note of what was changed. */
static bool keep_change(struct session *session, const struct thing *thing, const char *typed,
    const char *text, struct fault *fault)
{
    struct perpend_machine machine;
    struct log_about about = {.job = session->job};
    struct log_start start = {.machine = &machine, .text = text, .length = strlen(text)};
    char note[ANSWER_SIZE + 64];
    snprintf(note, sizeof note, "%s changed to %s", thing->word, typed);
    if (!machine_file_parse(text, start.length, thing->word, &machine, fault))
        return false;
    bool kept =
        log_job_machine(session->book, session->job, session->record.machine_name, &start, fault) &&
        log_note(session->book, &about, strcmp(thing->word, "bit") == 0 ? LOG_NEW_BIT : LOG_NOTE,
            note, fault);
    perpend_machine_finish(&machine);
    return kept;
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
    bool kept = text != NULL && keep_change(session, thing, rest, text, &fault);
    free(text);
    session_say(session, kept ? CHANGE_KEPT : CHANGE_NOT, slots);
    if (!kept)
        return NEXT_DID;
    perpend_solution_finish(&session->solution); /* it was of another machine */
    session->solved = false;
    if (!session_load(session))
        return NEXT_FAIL;
    return place == AT_DID ? NEXT_ANSWER : NEXT_DID;
}
