/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "report/report_parts.h"
#include "text/say.h"

/** As found and as left, side by side, and what the two mean for the floor. */

/** The lines of the comparison, with what they say of a measurement. */
static void describe(
    const struct report *report, const struct perpend_measurement *m, struct buffer *out)
{
    const struct perpend_machine *machine = report->input->machine;
    const struct perpend_facing *facing = &machine->facing;
    const struct perpend_slope_covariance *lean = &m->fit.lean_covariance;
    const struct perpend_slope_covariance *bed = &m->fit.bed_covariance;
    const bool apart = m->fit.bed_separated;
    char *said = say_lean(report->words.unit, &m->fit);
    fill(&report->words, out, sentences[RECORD_COMPARED],
        SLOTS(SLOT_PLUS_MINUS(
                  "right", WORDS_SLOPE, m->fit.lean.right, words_expanded(lean->right_right)),
            SLOT_PLUS_MINUS("back", WORDS_SLOPE, m->fit.lean.back, words_expanded(lean->back_back)),
            SLOT_TEXT("lean", said),
            SLOT_IF("bed", report->first->fit.bed_separated || report->last->fit.bed_separated),
            SLOT_PLUS_MINUS("bed_right", WORDS_SLOPE, apart ? m->fit.bed.right : (double)NAN,
                words_expanded(bed->right_right)),
            SLOT_PLUS_MINUS("bed_back", WORDS_SLOPE, apart ? m->fit.bed.back : (double)NAN,
                words_expanded(bed->back_back)),
            SLOT_FACING("facing", facing),
            SLOT_RIDGE_RANGE("ridge", m->ridge.height, m->distribution.low, m->distribution.high),
            SLOT_IF("any_goal", perpend_goal_is_set(&machine->goal)),
            SLOT_GOAL("goal", &machine->goal), SLOT_CHANCE("chance", m->distribution.chance),
            SLOT_TEXT("said", perpend_verdict_text(m->verdict)),
            SLOT_IF("not_x", facing->both_ways || fabs(facing->along - PERPEND_ALONG_X) > 1e-9),
            SLOT_IF("not_y", facing->both_ways || fabs(facing->along - PERPEND_ALONG_Y) > 1e-9),
            SLOT_RIDGE("along_x", m->ridge.along_x), SLOT_RIDGE("along_y", m->ridge.along_y),
            SLOT_RIDGE("ra", m->ridge.ra), SLOT_COUNT("count", m->reading_count)));
    free(said);
}

/** Rows of a name and what was found, to which what was left is added. */
static void compare(const struct report *report)
{
    struct buffer found = {0};
    struct buffer left = {0};
    struct buffer rows = {0};
    describe(report, report->first, &found);
    describe(report, report->last, &left);
    const char *now = buffer_text(&left);
    for (const char *then = buffer_text(&found), *next = then; *next != '\0'; then = next + 1) {
        next = then + strcspn(then, "\n");
        const size_t name = strcspn(now, "\t");
        const size_t length = strcspn(now, "\n");
        buffer_add_bytes(&rows, then, (size_t)(next - then));
        buffer_add_bytes(&rows, now + name, report->several ? length - name : 0);
        buffer_add(&rows, "\n");
        now += length + (now[length] != '\0');
    }
    document_say(report->document, buffer_text(&rows));
    report->document->failed = report->document->failed || found.failed || left.failed;
    buffer_finish(&found);
    buffer_finish(&left);
    buffer_finish(&rows);
}

void report_found(const struct report *report)
{
    const struct perpend_machine *machine = report->input->machine;
    const struct floor_lean found = {report->first->fit.lean, "as found", false};
    const struct floor_lean left = {report->last->fit.lean, "as left", false};
    report_say(report, RECORD_FOUND, SLOTS(SLOT_IF("several", report->several)));
    compare(report);
    if (report->first->fit.includes_bed || report->last->fit.includes_bed)
        report_say(report, RECORD_INCLUDES_BED, NULL);
    document_figure(report->document, figure_lean(machine, report->input->solution), "");
    document_figure(
        report->document, figure_floor(machine, &found, report->several ? &left : NULL), "");
}
