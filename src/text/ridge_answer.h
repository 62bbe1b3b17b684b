/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef RIDGE_ANSWER_H
#define RIDGE_ANSWER_H

/**
 * What ridge a lean leaves, and what keeps a goal, without a sweep: what was asked, what came out, and the
 * two ways to print it.
 */

#include <stdbool.h>

#include <perpend/fit.h>
#include <perpend/machine.h>
#include <perpend/ridge.h>
#include <perpend/verdict.h>

#include "text/words.h"

struct ridge_question {
    enum perpend_unit unit;
    bool has_lean;
    struct perpend_slope lean;
    struct perpend_cutter cutter; /* diameter NAN until stated */
    struct perpend_facing facing; /* stepover NAN until stated */
    double goal;                  /* NAN: none */
    struct perpend_setup setup;   /* arm.length and gauge.step NAN until stated */
    bool bed_as_found;            /* readings show the bed's slope as well */
    unsigned readings;            /* in one sweep */
};

struct ridge_answer {
    struct perpend_ridge ridge;         /* when there is a lean */
    struct perpend_ridge_limits limits; /* when there is a goal; stepover NAN without a lean */
    bool has_means;                     /* goal, arm and gauge are all known */
    struct perpend_means means;
};

/** What a machine states, into a question; lean and readings are left alone. */
void ridge_ask_of(const struct perpend_machine *machine, struct ridge_question *question);

/** Work it out; a status of the library. */
enum perpend_status ridge_answer_make(
    const struct ridge_question *question, struct ridge_answer *answer);

/** In words. */
void ridge_answer_words(
    struct words *words, const struct ridge_question *question, const struct ridge_answer *answer);

/** As JSON (perpend-ridge(1)), one line end at its end; by malloc, NULL when memory is out. */
char *ridge_answer_json(const struct ridge_question *question, const struct ridge_answer *answer);

#endif
