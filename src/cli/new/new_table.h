/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_TABLE_H
#define CLI_NEW_TABLE_H

/**
 * The questions of `perpend new` as data, and the checks of what is answered.
 */

#include <stdbool.h>
#include <stddef.h>

#include "cli/prompt/dialogue.h"
#include "cli/new/new_draft.h"

enum step_kind { STEP_LENGTH, STEP_CHOICE, STEP_YES_NO, STEP_OWN };

struct step {
    enum step_kind kind;
    const char *say;    /* how to find the answer; NULL: nothing */
    const char *prompt; /* a length gets the unit behind it */
    const char *help;
    const char *standing[2]; /* in mm, in inch; NULL: none */
    /* lengths, mm: outside likely… the person is asked once more; 0 for any */
    double least, most, likely_least, likely_most;
    bool none;                               /* "none" is an answer too */
    const char *const *words, *const *lines; /* choices */
    size_t count;
    answer_check *check; /* STEP_OWN */
};

/** The question for a key, put for this machine and joint. */
struct step new_step_for(const struct draft *draft, enum draft_key key, size_t joint);

/** What every check of the table gets as its context. */
struct check_context {
    const struct draft *draft;
    const struct step *step;
    size_t joint;
};

answer_check check_length; /* of a STEP_LENGTH */
answer_check check_name;
answer_check check_stepover;
answer_check check_angle;
answer_check check_thread;
answer_check check_hole;
answer_check check_leaf;

/** The thread's width as answered, mm. */
double thread_width(const struct draft *draft, size_t joint);

/** A length as people read it, in the unit chosen: "0.5 mm". */
void print_length(char *buffer, size_t size, enum perpend_unit unit, double mm);

#endif
