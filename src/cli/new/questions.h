/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_QUESTIONS_H
#define CLI_NEW_QUESTIONS_H

/**
 * The questions of `perpend new`: one table (questions.inc), walked from the first to the last that
 * applies. An answer is right when the files' own reader takes the machine file that it makes.
 */

#include "cli/new/draft.h"
#include "cli/prompt/dialogue.h"

/** When a row is asked, or-ed; the rest is what shapes ask for (files/mount_shapes.h). */
enum when {
    ANY = 0,
    DIAL = 1 << 17,      /* an indicator of either kind */
    LEVER = 1 << 18,     /* a lever */
    MOUNTED = 1 << 19,   /* the file has a mount */
    NEW_MOUNT = 1 << 20, /* it is asked for */
    ANOTHER = 1 << 21,   /* the mount may have one joint more */
    STOCKED = 1 << 22,   /* the same of the stock */
    NEW_STOCK = 1 << 23
};
#define OF_A_JOINT (0xFFFFU | NEW_MOUNT | ANOTHER)

enum kind {
    KIND_TEXT,
    KIND_CHOICE,
    KIND_GAUGE,
    KIND_SHAPE,
    KIND_YES_NO,
    KIND_SPREAD,
    KIND_LEAF,
    KIND_FILE
};

struct row {
    const char *key;
    unsigned when;
    enum kind kind;
    const char *choices;              /* of KIND_CHOICE: lines "WORD=VALUE: MEANING" */
    const char *standing, *sample;    /* sentences */
    double likely_least, likely_most; /* mm */
    const char *prompt, *say, *help;  /* sentences */
};

/** A question, and which joint or kind of shim it is about. */
struct place {
    size_t row, number;
};

struct asking {
    struct dialogue *dialogue;
    struct draft *draft;
    struct place at;
    const struct row *row;
    const char *standing; /* what Enter alone takes, as the file has it; "" for nothing */
    bool failed;          /* memory is out */
};

/** The questions answered so far, in order. */
#define PLACES_MOST 256
struct path {
    struct place at[PLACES_MOST];
    size_t count;
};

/** Ask all that apply behind those; undo goes back one by one, with what was answered in [brackets].
 *  HEARD_UNDO: back from the first. */
enum heard questions_ask(struct dialogue *dialogue, struct draft *draft, struct path *path);

/**
 * The machine file's text: what applies as it was answered, what the file had beside it; with `asking`:
 * `value` there, samples behind.
 *
 * Returned: text  added to; release with buffer_finish
 * Value:    false when memory is out
 */
bool questions_write(
    const struct draft *draft, const struct asking *asking, const char *value, struct buffer *text);

/** Ask one question until the answer will do. Returned: answer, ANSWER_SIZE bytes, as the file has it. */
enum heard answer_ask(struct asking *asking, struct question *question, char *answer);

#endif
