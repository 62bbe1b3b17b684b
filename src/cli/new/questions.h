/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_QUESTIONS_H
#define CLI_NEW_QUESTIONS_H

/**
 * The questions of `perpend new`: a table of rows, the checks of what is answered, and the one loop
 * that asks them.
 */

#include <stdbool.h>
#include <stddef.h>

#include "cli/prompt/dialogue.h"
#include "cli/new/draft.h"

/** What a row applies to, or-ed. Bits of one kind are choices; a row without any of a kind does not
 *  care for it. */
enum row_when {
    WHEN_PLATE = 1,
    WHEN_SIDES = 2,
    WHEN_FLANGE = 4,
    WHEN_UPRIGHT = 8, /* push screws that push an upright plate */
    WHEN_FLAT = 16,   /* a flat one */
    WHEN_SCREWS = WHEN_UPRIGHT | WHEN_FLAT,
    WHEN_JOINT = WHEN_PLATE | WHEN_SIDES | WHEN_FLANGE | WHEN_SCREWS,
    WHEN_GAP = 32,
    WHEN_TOUCH = 64,
    WHEN_DIAL = 128,
    WHEN_LEVER = 256,
    WHEN_MM = 512,
    WHEN_INCH = 1024,
    WHEN_FIRST = 2048, /* joint */
    WHEN_LATER = 4096
};

struct choices {
    const char *const *words, *const *lines;
    size_t count;
};

enum answer_kind { ANSWER_LENGTH, ANSWER_CHOICE, ANSWER_YES_NO, ANSWER_OWN };

struct answer {
    enum answer_kind kind;
    const char *standing[2]; /* in mm, in inch */
    double least, most;      /* of a length, mm */
    /* mm; outside the person is asked once more; 0 for any */
    double likely_least, likely_most;
    bool none; /* "none" is an answer too */
    const struct choices *choices;
    answer_check *check; /* ANSWER_OWN */
};

struct row {
    enum draft_key key;
    unsigned when;
    struct answer answer;
    const char *say;    /* how to find the answer */
    const char *prompt; /* a length gets the unit behind it */
    const char *help;
};

/** Ends with a row of DRAFT_KEYS. Of the rows of one key the first that applies is the question. */
extern const struct row question_rows[];

/** What every check of the table gets as its context. */
struct check_context {
    const struct draft *draft;
    const struct row *row;
    size_t joint;
};

answer_check check_length; /* of an ANSWER_LENGTH */
answer_check check_name;
answer_check check_stepover;
answer_check check_angle;
answer_check check_thread;
answer_check check_hole;
answer_check check_leaf;

/** "0.05 mm", with few digits. */
void print_length(char *buffer, size_t size, enum perpend_unit unit, double mm);

/** Which question is open. */
struct place {
    enum draft_key key;
    size_t joint;
};

/** The questions answered, for the way back. */
struct way {
    struct place taken[PERPEND_JOINTS_MOST * DRAFT_KEYS];
    size_t count;
};

/** Called after each answer. */
typedef void answered(struct dialogue *dialogue, const struct draft *draft, enum draft_key key);

/** Ask all that apply; with a way behind it from the last one on. An answer given before is offered
 *  again. */
enum heard questions_ask(
    struct dialogue *dialogue, struct draft *draft, struct way *way, answered *then);

#endif
