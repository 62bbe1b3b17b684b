/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "report/report_parts.h"

/** What every part says with. */

void report_say(const struct report *report, enum sentence sentence, const struct slot *slots)
{
    struct buffer text = {0};
    fill(&report->words, &text, sentences[sentence], slots);
    document_say(report->document, buffer_text(&text));
    buffer_finish(&text);
}

void report_answer(
    const struct report *report, const struct perpend_measurement *measurement, report_saying *say)
{
    struct words words = {.unit = report->words.unit, .width = 1000000, .utf8 = true};
    const struct answer_about about = {report->input->machine, report->input->job, measurement};
    struct buffer lines = {0};
    bool listed = false;
    bool row = false; /* the line before was a bolt's, set in deeper */
    say(&words, &about);
    for (const char *line = buffer_text(&words.out); *line != '\0';) {
        const size_t length = strcspn(line, "\n");
        const size_t digits = strspn(line, "0123456789");
        const bool step = digits > 0 && strncmp(line + digits, ". ", 2) == 0;
        const size_t from = step ? digits + 2 : strspn(line, " ");
        listed = listed || step;
        if (length > from) { /* what is set in below a step goes on with it */
            buffer_add(&lines, step                   ? "\n+ "
                               : !listed || from == 0 ? "\n> "
                               : from > 4             ? (row ? "; " : ": ")
                               : row                  ? ". "
                                                      : " ");
            row = from > 4 && !step;
            buffer_add_bytes(&lines, line + from, length - from);
        }
        line += length + (line[length] == '\n');
    }
    document_say(report->document, buffer_text(&lines));
    report->document->failed = report->document->failed || words.out.failed;
    buffer_finish(&words.out);
    buffer_finish(&lines);
}
