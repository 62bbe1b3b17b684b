/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef RIDGE_QUESTION_H
#define RIDGE_QUESTION_H

/**
 * `perpend ridge`: what was asked, what came out, and the two ways to print it.
 */

#include <stdbool.h>

#include <perpend/fit.h>
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

/** In words. */
void ridge_answer_words(
    struct words *words, const struct ridge_question *question, const struct ridge_answer *answer);

/** As JSON (perpend-ridge(1)), one line end at its end; by malloc, NULL when memory is out. */
char *ridge_answer_json(const struct ridge_question *question, const struct ridge_answer *answer);

#endif
