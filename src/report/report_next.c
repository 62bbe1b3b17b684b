/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "report/report_parts.h"
#include "text/escape.h"

/** What to watch next time, what is still to do, and the drift since earlier jobs. */

static void limits(const struct report *report)
{
    const struct perpend_machine *machine = report->input->machine;
    const struct perpend_ridge_limits *limit = &report->last->limits;
    if (!isfinite(machine->goal))
        return;
    report_add(report, RECORD_LIMIT,
        SLOTS(SLOT_ROUNDED("limit", WORDS_SLOPE, limit->lean, 0),
            SLOT_ROUNDED("apart", WORDS_SMALL, limit->opposite_reading, 0),
            SLOT_IF("faced", machine->setup.bed_faced)));
    if (isfinite(limit->stepover))
        report_add(report, RECORD_STEPOVER,
            SLOTS(SLOT_IF("any", answer_any_stepover(limit, &machine->cutter)),
                SLOT_ROUNDED("stepover", WORDS_LARGE, limit->stepover, 0)));
}

static void watch(const struct report *report)
{
    const double depth = report->input->machine->facing.depth;
    document_list(report->document, false);
    report_add(
        report, report_left_unmeasured(report) ? RECORD_SWEEP_FIRST : RECORD_SWEEP_AGAIN, NULL);
    limits(report);
    if (answer_cut_too_shallow(&report->last->ridge, depth))
        report_add(report, RECORD_CUT_DEEPER, NULL);
}

/** The lines of answer_plan as a list: a number begins an item, what is set in below goes on with
 *  it, anything else is a paragraph before the list. */
static void plan_list(const struct report *report, const char *lines)
{
    struct buffer item = {0};
    bool listed = false;
    while (*lines != '\0') {
        const size_t length = strcspn(lines, "\n");
        const size_t digits = strspn(lines, "0123456789");
        const size_t blanks = strspn(lines, " ");
        const bool begins = digits > 0 && strncmp(lines + digits, ". ", 2) == 0;
        const bool goes_on = blanks > 0 && listed && !begins;
        const size_t from = begins ? digits + 2 : goes_on ? blanks : 0;
        if (!goes_on && item.length > 0)
            document_add_phrase(report->document, &item);
        if (begins && !listed)
            document_list(report->document, true);
        if (goes_on)
            buffer_add(&item, " ");
        buffer_add_bytes(&item, lines + from, length > from ? length - from : 0);
        if (!begins && !goes_on && length > 0) {
            document_block(report->document, BLOCK_PARAGRAPH, buffer_text(&item));
            buffer_clear(&item);
        }
        listed = listed || begins;
        lines += length + (lines[length] == '\n');
    }
    if (item.length > 0)
        document_add_phrase(report->document, &item);
    buffer_finish(&item);
}

static void plan(const struct report *report)
{
    const struct perpend_measurement *last = report->last;
    const struct answer_about about = {report->input->machine, report->input->job, last};
    const struct answer_options options = {.no_drawing = true};
    struct words words = {.unit = report->words.unit, .width = 1000000, .utf8 = true};
    if (report_left_unmeasured(report))
        return;
    if (answer_plan_worsens(last)) {
        report_say(report, last, answer_worse);
        report_say(report, last, answer_shortfall);
    }
    if (!answer_has_plan(last))
        return;
    answer_plan(&words, &about, &options);
    document_heading(report->document, 2, "Still to do");
    plan_list(report, buffer_text(&words.out));
    report->document->failed = report->document->failed || words.out.failed;
    buffer_finish(&words.out);
    report_say(report, last, answer_shortfall);
    report_say(report, last, answer_next_sweep);
}

/** To a hundredth of a mm/m. */
static void past_lean(const struct report *report, double lean)
{
    struct buffer text = {0};
    if (isfinite(lean))
        words_rounded(&report->words, &text, WORDS_SLOPE, lean, 4e-5);
    else
        buffer_add(&text, "not measured");
    document_add_phrase(report->document, &text);
}

static void history(const struct report *report)
{
    static const char *const heads[] = {"job of", "found leaning", "left leaning"};
    const struct report_input *input = report->input;
    const size_t count = input->past_count;
    if (count < 2)
        return;
    document_table(report->document, "", 3, heads, 6);
    for (size_t i = count > HISTORY_MOST ? count - HISTORY_MOST : 0; i < count; i++) {
        document_add(report->document, input->past[i].label);
        past_lean(report, input->past[i].found);
        past_lean(report, input->past[i].left);
    }
    document_figure(report->document, figure_history(input->machine, input->past, count), "");
}

void report_next(const struct report *report)
{
    const struct report_input *input = report->input;
    document_heading(report->document, 1, "Next time");
    report_say(report, report->last, answer_turn_feed);
    watch(report);
    report_say(report, report->last, answer_remedy);
    plan(report);
    if (input->drift == NULL && input->past_count < 2)
        return;
    document_heading(report->document, 2, "Since earlier jobs");
    if (input->drift != NULL)
        document_block(report->document, BLOCK_FREE_TEXT, input->drift);
    history(report);
}
