/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "report/report_parts.h"

/** What to watch next time, what is still to do, and the drift since earlier jobs. */

static void watch(const struct report *report)
{
    const struct perpend_machine *machine = report->input->machine;
    const struct perpend_ridge_limits *limit = &report->last->limits;
    const bool any = isfinite(limit->stepover);
    report_say(report, RECORD_WATCH,
        SLOTS(SLOT_IF("unmeasured", report->unmeasured),
            SLOT_IF("any_goal", isfinite(machine->goal.ridge)),
            SLOT_ROUNDED("limit", WORDS_SLOPE, limit->lean, 0),
            SLOT_ROUNDED("apart", WORDS_SMALL, limit->opposite_reading, 0),
            SLOT_IF("faced", machine->setup.bed_faced),
            SLOT_ROUNDED("stepover", WORDS_LARGE, any ? limit->stepover : (double)NAN, 0),
            SLOT_IF("any", any && answer_any_stepover(limit, &machine->cutter)),
            SLOT_IF(
                "shallow", answer_cut_too_shallow(&report->last->ridge, machine->facing.depth))));
}

static void steps(struct words *words, const struct answer_about *about)
{
    const struct answer_options options = {.no_drawing = true};
    answer_plan(words, about, &options);
}

static void plan(const struct report *report)
{
    const struct perpend_measurement *last = report->last;
    if (report->unmeasured)
        return;
    if (answer_plan_worsens(last)) {
        report_answer(report, last, answer_worse);
        report_answer(report, last, answer_shortfall);
    }
    if (!answer_has_plan(last))
        return;
    report_say(report, RECORD_STILL, NULL);
    report_answer(report, last, steps);
    report_answer(report, last, answer_shortfall);
    report_answer(report, last, answer_next_sweep);
}

/** Leans to a hundredth of a mm/m. */
static void history(const struct report *report)
{
    const struct report_input *input = report->input;
    const size_t count = input->past_count;
    if (count < 2)
        return;
    report_say(report, RECORD_HISTORY, NULL);
    for (size_t i = count > HISTORY_MOST ? count - HISTORY_MOST : 0; i < count; i++)
        report_say(report, RECORD_PAST,
            SLOTS(SLOT_TEXT("day", input->past[i].label),
                SLOT_ROUNDED("found", WORDS_SLOPE, input->past[i].found, 4e-5),
                SLOT_ROUNDED("left", WORDS_SLOPE, input->past[i].left, 4e-5)));
    document_figure(report->document, figure_history(input->machine, input->past, count), "");
}

void report_next(const struct report *report)
{
    const struct report_input *input = report->input;
    report_say(report, RECORD_NEXT, NULL);
    report_answer(report, report->last, answer_turn_feed);
    watch(report);
    report_answer(report, report->last, answer_remedy);
    plan(report);
    if (input->drift == NULL && input->past_count < 2)
        return;
    report_say(report, RECORD_EARLIER, NULL);
    if (input->drift != NULL)
        document_block(report->document, BLOCK_FREE_TEXT, input->drift);
    history(report);
}
