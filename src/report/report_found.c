/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include "report/report_parts.h"
#include "text/say.h"

/** As found and as left, side by side, and what the two mean for the floor. */

/** What one line of the comparison says of a measurement. */
enum line {
    LEAN_RIGHT,
    LEAN_BACK,
    LEAN_SIZE,
    BED_RIGHT,
    BED_BACK,
    RIDGE,
    GOAL,
    CHANCE,
    VERDICT,
    RIDGE_X,
    RIDGE_Y,
    ROUGHNESS,
    READINGS
};

static void plus_minus(
    const struct report *report, struct buffer *out, double value, double variance, bool known)
{
    if (known)
        words_plus_minus(&report->words, out, WORDS_SLOPE, value, words_expanded(variance));
    else
        buffer_add(out, "not known");
}

static void add_value(const struct report *report, struct buffer *out, enum line line,
    const struct perpend_measurement *m)
{
    const struct words *words = &report->words;
    const struct perpend_fit *fit = &m->fit;
    const bool bed = fit->bed_separated;
    char *lean;
    switch (line) {
    case LEAN_RIGHT:
        plus_minus(report, out, fit->lean.right, fit->lean_covariance.right_right, true);
        break;
    case LEAN_BACK:
        plus_minus(report, out, fit->lean.back, fit->lean_covariance.back_back, true);
        break;
    case LEAN_SIZE:
        lean = say_lean(words->unit, fit);
        buffer_add(out, lean);
        free(lean);
        break;
    case BED_RIGHT:
        plus_minus(report, out, fit->bed.right, fit->bed_covariance.right_right, bed);
        break;
    case BED_BACK:
        plus_minus(report, out, fit->bed.back, fit->bed_covariance.back_back, bed);
        break;
    case RIDGE:
        words_ridge_range(words, out, m->ridge.height, m->distribution.low, m->distribution.high);
        break;
    case GOAL:
        words_stated(words, out, WORDS_SMALL, report->input->machine->goal);
        break;
    case CHANCE:
        words_chance(out, m->distribution.chance);
        break;
    case VERDICT:
        buffer_add(out, perpend_verdict_text(m->verdict));
        break;
    case RIDGE_X:
        words_ridge(words, out, m->ridge.along_x);
        break;
    case RIDGE_Y:
        words_ridge(words, out, m->ridge.along_y);
        break;
    case ROUGHNESS:
        words_ridge(words, out, m->ridge.ra);
        break;
    case READINGS:
        buffer_addf(out, "%zu", m->reading_count);
        break;
    }
}

static void comparison(const struct report *report)
{
    static const char *const heads[] = {"", "as found", "as left"};
    const struct perpend_facing *facing = &report->input->machine->facing;
    const bool bed = report->first->fit.bed_separated || report->last->fit.bed_separated;
    const bool goal = isfinite(report->input->machine->goal);
    struct buffer ridge = {0};
    buffer_add(&ridge, "Ridge, fed ");
    words_facing(&ridge, facing);
    const struct {
        enum line line;
        const char *name;
        bool shown;
    } rows[] = {
        {LEAN_RIGHT, "Lean toward the right", true},
        {LEAN_BACK, "Lean toward the back", true},
        {LEAN_SIZE, "Lean in all", true},
        {BED_RIGHT, "Bed rises to the right", bed},
        {BED_BACK, "Bed rises to the back", bed},
        {RIDGE, buffer_text(&ridge), true},
        {GOAL, "Goal", goal},
        {CHANCE, "Chance that it is met", goal},
        {VERDICT, "Verdict", goal},
        {RIDGE_X, "Ridge if fed along" WORDS_GLUE "X",
            facing->both_ways || fabs(facing->along - PERPEND_ALONG_X) > 1e-9},
        {RIDGE_Y, "Ridge if fed along" WORDS_GLUE "Y",
            facing->both_ways || fabs(facing->along - PERPEND_ALONG_Y) > 1e-9},
        {ROUGHNESS, "Roughness Ra of the floor", true},
        {READINGS, "Readings", true},
    };
    document_table(report->document, "", report->several ? 3 : 2, heads, 0);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct buffer text = {0};
        if (!rows[i].shown)
            continue;
        document_add(report->document, rows[i].name);
        add_value(report, &text, rows[i].line, report->first);
        document_add_phrase(report->document, &text);
        if (report->several) {
            add_value(report, &text, rows[i].line, report->last);
            document_add_phrase(report->document, &text);
        }
    }
    buffer_finish(&ridge);
}

void report_found(const struct report *report)
{
    const struct perpend_machine *machine = report->input->machine;
    const struct floor_lean found = {report->first->fit.lean, "as found", false};
    const struct floor_lean left = {report->last->fit.lean, "as left", false};
    document_heading(report->document, 1, report->several ? "As found, as left" : "As found");
    comparison(report);
    if (report->first->fit.includes_bed || report->last->fit.includes_bed)
        report_block(report, BLOCK_PARAGRAPH, RECORD_INCLUDES_BED, NULL);
    document_figure(report->document, figure_lean(machine, report->input->solution), "");
    document_figure(
        report->document, figure_floor(machine, &found, report->several ? &left : NULL), "");
}
