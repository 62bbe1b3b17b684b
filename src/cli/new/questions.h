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

/** What a row applies to, or-ed: shapes of the joint in hand, or of gauge. */
enum row_when {
    ANY = 0,
    PLATE = 1,
    SIDES = 2,
    FLANGE = 4,
    UPRIGHT = 8, /* push screws that push an upright plate */
    FLAT = 16,   /* a flat one */
    SCREWS = UPRIGHT | FLAT,
    JOINT = PLATE | SIDES | FLANGE | SCREWS,
    INDICATOR = 32,
    LEVER = 64
};

enum answer_kind { ANSWER_OWN, ANSWER_LENGTH, ANSWER_CHOICE, ANSWER_YES_NO };

struct answer {
    enum answer_kind kind;
    double least, most;               /* of a length, mm */
    double likely_least, likely_most; /* mm; outside the person is asked once more; 0 for any */
    bool none;                        /* "none" is an answer too */
    const char *choices;              /* "word: what it means" by lines */
    answer_check *check;              /* ANSWER_OWN */
};

/** A row of questions.inc. */
struct row {
    enum draft_key key;
    unsigned when;
    struct answer answer;
    const char *standing, *prompt, *say, *help; /* sentences */
};

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
