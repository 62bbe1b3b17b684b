/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "report/report_parts.h"
#include "text/escape.h"

/** What several parts say, or need to know. */

void report_block(const struct report *report, enum block_kind kind, enum sentence sentence,
    const struct slot *slots)
{
    struct buffer text = {0};
    fill(&report->words, &text, sentences[sentence], slots);
    document_block(report->document, kind, buffer_text(&text));
    buffer_finish(&text);
}

void report_add(const struct report *report, enum sentence sentence, const struct slot *slots)
{
    struct buffer text = {0};
    fill(&report->words, &text, sentences[sentence], slots);
    document_add_phrase(report->document, &text);
}

void report_add_name(const struct report *report, const char *name)
{
    document_add_taken(report->document, isolated_name(name));
}

void report_say(
    const struct report *report, const struct perpend_measurement *measurement, report_saying *say)
{
    struct words words = {.unit = report->words.unit, .width = 1000000, .utf8 = true};
    const struct answer_about about = {report->input->machine, report->input->job, measurement};
    struct buffer line = {0};
    say(&words, &about);
    for (const char *at = buffer_text(&words.out); *at != '\0';) {
        const size_t length = strcspn(at, "\n");
        const size_t blanks = strspn(at, " ");
        buffer_clear(&line);
        if (blanks < length) {
            buffer_add_bytes(&line, at + blanks, length - blanks);
            document_block(report->document, BLOCK_PARAGRAPH, buffer_text(&line));
        }
        at += length + (at[length] == '\n');
    }
    report->document->failed = report->document->failed || words.out.failed || line.failed;
    buffer_finish(&words.out);
    buffer_finish(&line);
}

bool report_left_unmeasured(const struct report *report)
{
    const struct perpend_measurement *last = report->last;
    for (size_t i = 0; i < last->sweep_count; i++) {
        const struct perpend_sweep *sweep = &report->input->job->sweeps[last->first_sweep + i];
        if (sweep->did_kind == PERPEND_DID_LIST ||
            (sweep->did_kind == PERPEND_DID_PLAN && last->has_plan && last->plan.step_count > 0))
            return true;
    }
    return false;
}
