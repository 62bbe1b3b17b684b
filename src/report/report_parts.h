/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPORT_PARTS_H
#define REPORT_PARTS_H

/** The parts of a report, in the order in which people read them. */

#include "report/report.h"
#include "text/answer.h"
#include "text/sentences.h"

/** A report as it is put together. */
struct report {
    struct document *document;
    const struct report_input *input;
    const struct perpend_measurement *first, *last;
    struct words words;
    bool several;    /* more than one measurement */
    bool unmeasured; /* something was done after the last sweep, and nothing was measured since */
};

void report_found(const struct report *report);
void report_rounds(const struct report *report);
void report_next(const struct report *report);
void report_machine(const struct report *report);

/** Add a sentence, whose lines say what blocks they are (document_say). */
void report_say(const struct report *report, enum sentence sentence, const struct slot *slots);

/** What an answer in words says about a measurement: its numbered lines a list of steps, any other a
 *  paragraph. */
typedef void report_saying(struct words *words, const struct answer_about *about);
void report_answer(
    const struct report *report, const struct perpend_measurement *measurement, report_saying *say);

#endif
