/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPORT_PARTS_H
#define REPORT_PARTS_H

/** The parts of a report, in the order in which people read them. */

#include "text/answer.h"
#include "report/report.h"

void report_found_and_left(struct document *document, const struct report_input *input);
void report_rounds(struct document *document, const struct report_input *input);
void report_next_time(struct document *document, const struct report_input *input);
void report_machine(struct document *document, const struct report_input *input);

const struct perpend_measurement *report_first(const struct report_input *input);
const struct perpend_measurement *report_last(const struct report_input *input);

/** What an answer in words says about a measurement, one paragraph a line. */
typedef void report_saying(struct words *words, const struct answer_about *about);
void report_say(struct document *document, const struct report_input *input,
    const struct perpend_measurement *measurement, report_saying *say);

/** Something was done after the last sweep, and nothing was measured since. */
bool report_left_unmeasured(const struct report_input *input);

#endif
