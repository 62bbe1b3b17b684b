/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words that stand in the file. */
#include <string.h>

#include "log/book.h"

static const char *const note_words[LOG_NOTE_KINDS] = {"note", "crash", "bit", "move", "repair"};

const char *log_note_word(enum log_note_kind kind)
{
    return note_words[kind];
}

bool log_note_kind(const char *word, enum log_note_kind *kind)
{
    for (int i = 0; i < LOG_NOTE_KINDS; i++)
        if (strcmp(word, note_words[i]) == 0) {
            *kind = (enum log_note_kind)i;
            return true;
        }
    return false;
}

static const char *const verdict_words[] = {"no goal", "met", "not met", "too close"};

const char *log_verdict_word(enum perpend_verdict verdict)
{
    return verdict_words[verdict];
}

enum perpend_verdict log_column_verdict(struct log_query *query, int column)
{
    const char *word = log_column_word(query, column);
    for (int i = 0; word && i < 4; i++)
        if (strcmp(word, verdict_words[i]) == 0)
            return (enum perpend_verdict)i;
    if (word)
        log_query_damaged(query);
    return PERPEND_VERDICT_NO_GOAL;
}

const char *log_ending_word(enum log_ending ending)
{
    return ending == LOG_DONE ? "done" : "given up";
}

enum log_ending log_column_ending(struct log_query *query, int column)
{
    const char *word = log_column_word(query, column);
    if (!word)
        return LOG_OPEN;
    if (strcmp(word, log_ending_word(LOG_DONE)) == 0)
        return LOG_DONE;
    if (strcmp(word, log_ending_word(LOG_GIVEN_UP)) != 0)
        log_query_damaged(query);
    return LOG_GIVEN_UP;
}

const char *log_did_word(enum perpend_did_kind kind)
{
    return kind == PERPEND_DID_PLAN ? "plan" : kind == PERPEND_DID_NOTHING ? "nothing" : "list";
}
