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
    const struct perpend_mount
        *numbered; /* the mount with the names that its numbers stand for; NULL */
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

/** A machine and a job with names short enough for one page; `numbered`: bolts have numbers in place of
 *  theirs; `failed`: memory ran out. Finish it whatever became of it. */
struct report_names {
    struct perpend_machine machine;
    struct perpend_job job;
    struct perpend_joint joints[PERPEND_JOINTS_MOST];
    struct perpend_bolt bolts[PERPEND_JOINTS_MOST][PERPEND_BOLTS_MOST];
    struct perpend_leaf *leaves;
    struct perpend_sweep *sweeps;
    char **made; /* names */
    size_t count;
    bool numbered, failed;
};
void report_names_shorten(const struct report_input *input, struct report_names *names);
void report_names_finish(struct report_names *names);

/** What is in the mount or, where the plan comes next, planned for it. */
struct mount_work report_work(const struct report *report);

/** The bolts that got the same, together: "shim +0.50 mm at top left, top right"; where it is to be
 *  brief, without slides beside something else, and no more than a row of a table has room for. */
void report_add_work(
    const struct report *report, const struct mount_work *work, bool brief, struct buffer *out);

/** The lean, the floor, the first joint that is worked at, the last readings, side by side. */
void report_pictures(const struct report *report);

/** The joints that are worked at, from one of them on, so many. */
void report_mounts(const struct report *report, size_t from, size_t count);

#endif
