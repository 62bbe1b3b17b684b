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
    bool several; /* more than one measurement */
};

void report_found(const struct report *report);
void report_rounds(const struct report *report);
void report_next(const struct report *report);
void report_machine(const struct report *report);

/** A sentence as a block of its own; as an item, a fact or a cell of the block last begun. */
void report_block(const struct report *report, enum block_kind kind, enum sentence sentence,
    const struct slot *slots);
void report_add(const struct report *report, enum sentence sentence, const struct slot *slots);

/** A name that somebody gave, as a cell. */
void report_add_name(const struct report *report, const char *name);

/** What an answer in words says about a measurement, one paragraph a line. */
typedef void report_saying(struct words *words, const struct answer_about *about);
void report_say(
    const struct report *report, const struct perpend_measurement *measurement, report_saying *say);

/** Something was done after the last sweep, and nothing was measured since. */
bool report_left_unmeasured(const struct report *report);

#endif
