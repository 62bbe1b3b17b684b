/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPORT_PARTS_H
#define REPORT_PARTS_H

/** What the parts of a report are put together with. */

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
    bool doubtful;   /* a reading is to be taken again before anything else */
    bool planned;    /* the plan is what comes next */
    bool worked;     /* something was done to the mount after a sweep */
};

/** The page; and what it rests on. */
void report_page(const struct report *report);
void report_appendix(const struct report *report);

/** Add a sentence, whose lines say what blocks they are (document_say). */
void report_say(const struct report *report, enum sentence sentence, const struct slot *slots);

/** What an answer in words says about a measurement: its numbered lines a list of steps, any other a
 *  paragraph. */
typedef void report_saying(struct words *words, const struct answer_about *about);
void report_answer(
    const struct report *report, const struct perpend_measurement *measurement, report_saying *say);

/** The joint whose picture stands on the page, and what is in it or planned for it. Value: false
 *  when nothing was done nor is planned. */
bool report_joint(const struct report *report, struct mount_work *work, size_t *joint);

#endif
