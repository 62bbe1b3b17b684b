/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words that stand in the file, and memory. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book.h"

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

bool log_verdict_of(const char *word, enum perpend_verdict *verdict)
{
    for (int i = 0; i < 4; i++)
        if (strcmp(word, verdict_words[i]) == 0) {
            *verdict = (enum perpend_verdict)i;
            return true;
        }
    return false;
}

const char *log_ending_word(enum log_ending ending)
{
    return ending == LOG_DONE ? "done" : "given up";
}

const char *log_did_word(enum perpend_did_kind kind)
{
    return kind == PERPEND_DID_PLAN ? "plan" : kind == PERPEND_DID_NOTHING ? "nothing" : "list";
}

bool log_grow(void *array, size_t count, size_t size)
{
    /* doubled at each power of two */
    if (count != 0 && (count & (count - 1)) != 0)
        return true;
    void *old;
    memcpy(&old, array, sizeof old);
    void *grown = realloc(old, (count == 0 ? 1 : 2 * count) * size);
    if (!grown)
        return false;
    memcpy(array, &grown, sizeof grown);
    /* cppcheck-suppress memleak ; it is the caller's, through `array` */
    return true;
}

char *log_side_path(const char *path, const char *ending)
{
    size_t size = strlen(path) + strlen(ending) + 1;
    char *side = malloc(size);
    if (side)
        snprintf(side, size, "%s%s", path, ending);
    return side;
}
