/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include "text/escape.h"
#include "report/report_parts.h"
#include "text/say.h"

/** As found and as left, side by side, and what the two mean for the floor. */

/** One line of the comparison: what a measurement says, by g_malloc. */
typedef char *comparison(const struct report_input *input, const struct perpend_measurement *m);

static char *lean_right(const struct report_input *input, const struct perpend_measurement *m)
{
    return say_plus_minus(input->machine->unit, WORDS_SLOPE, m->fit.lean.right,
        words_expanded(m->fit.lean_covariance.right_right));
}

static char *lean_back(const struct report_input *input, const struct perpend_measurement *m)
{
    return say_plus_minus(input->machine->unit, WORDS_SLOPE, m->fit.lean.back,
        words_expanded(m->fit.lean_covariance.back_back));
}

static char *lean_size(const struct report_input *input, const struct perpend_measurement *m)
{
    return say_lean(input->machine->unit, &m->fit);
}

static char *bed_right(const struct report_input *input, const struct perpend_measurement *m)
{
    return m->fit.bed_separated
               ? say_plus_minus(input->machine->unit, WORDS_SLOPE, m->fit.bed.right,
                     words_expanded(m->fit.bed_covariance.right_right))
               : g_strdup("not known");
}

static char *bed_back(const struct report_input *input, const struct perpend_measurement *m)
{
    return m->fit.bed_separated ? say_plus_minus(input->machine->unit, WORDS_SLOPE, m->fit.bed.back,
                                      words_expanded(m->fit.bed_covariance.back_back))
                                : g_strdup("not known");
}

static char *ridge(const struct report_input *input, const struct perpend_measurement *m)
{
    return say_ridge_range(
        input->machine->unit, m->ridge.height, m->distribution.low, m->distribution.high);
}

static char *ridge_x(const struct report_input *input, const struct perpend_measurement *m)
{
    return say_ridge(input->machine->unit, m->ridge.along_x);
}

static char *ridge_y(const struct report_input *input, const struct perpend_measurement *m)
{
    return say_ridge(input->machine->unit, m->ridge.along_y);
}

static char *roughness(const struct report_input *input, const struct perpend_measurement *m)
{
    return say_ridge(input->machine->unit, m->ridge.ra);
}

static char *goal(const struct report_input *input, const struct perpend_measurement *m)
{
    (void)m;
    return say_stated(input->machine->unit, WORDS_SMALL, input->machine->goal);
}

static char *chance(const struct report_input *input, const struct perpend_measurement *m)
{
    (void)input;
    struct buffer phrase = {0};
    words_chance(&phrase, m->distribution.chance);
    return say_phrase(&phrase);
}

static char *verdict(const struct report_input *input, const struct perpend_measurement *m)
{
    (void)input;
    return g_strdup(perpend_verdict_text(m->verdict));
}

static char *readings(const struct report_input *input, const struct perpend_measurement *m)
{
    (void)input;
    return g_strdup_printf("%zu", m->reading_count);
}

static void line(
    struct document *document, const struct report_input *input, const char *name, comparison *says)
{
    document_cell(document, name);
    document_cell_take(document, says(input, report_first(input)));
    if (input->solution->measurement_count > 1)
        document_cell_take(document, says(input, report_last(input)));
}

static bool any_includes_bed(const struct report_input *input)
{
    return report_first(input)->fit.includes_bed || report_last(input)->fit.includes_bed;
}

static void comparison_table(struct document *document, const struct report_input *input)
{
    const bool several = input->solution->measurement_count > 1;
    const bool bed =
        report_first(input)->fit.bed_separated || report_last(input)->fit.bed_separated;
    const char *const heads[] = {"", "as found", "as left"};
    const struct perpend_facing *facing = &input->machine->facing;
    char *feed = say_facing(facing);
    char *ridge_name = g_strdup_printf("Ridge, fed %s", feed);
    document_table(document, "", several ? 3 : 2, heads, 0);
    line(document, input, "Lean toward the right", lean_right);
    line(document, input, "Lean toward the back", lean_back);
    line(document, input, "Lean in all", lean_size);
    if (bed) {
        line(document, input, "Bed rises to the right", bed_right);
        line(document, input, "Bed rises to the back", bed_back);
    }
    line(document, input, ridge_name, ridge);
    if (isfinite(input->machine->goal)) {
        line(document, input, "Goal", goal);
        line(document, input, "Chance that it is met", chance);
        line(document, input, "Verdict", verdict);
    }
    if (facing->both_ways || fabs(facing->along - PERPEND_ALONG_X) > 1e-9)
        line(document, input, "Ridge if fed along\xc2\xa0X", ridge_x);
    if (facing->both_ways || fabs(facing->along - PERPEND_ALONG_Y) > 1e-9)
        line(document, input, "Ridge if fed along\xc2\xa0Y", ridge_y);
    line(document, input, "Roughness Ra of the floor", roughness);
    line(document, input, "Readings", readings);
    g_free(feed);
    g_free(ridge_name);
}

void report_found_and_left(struct document *document, const struct report_input *input)
{
    const bool several = input->solution->measurement_count > 1;
    const struct floor_lean found = {report_first(input)->fit.lean, "as found", false};
    const struct floor_lean left = {report_last(input)->fit.lean, "as left", false};
    document_heading(document, 1, several ? "As found, as left" : "As found");
    comparison_table(document, input);
    if (any_includes_bed(input))
        document_paragraph(document,
            "The lean includes the slope of the bed, as the bed was not faced on this machine and "
            "the sweeps cannot tell the two apart.");
    document_figure(document, figure_lean(input->machine, input->solution), "");
    document_figure(document, figure_floor(input->machine, &found, several ? &left : NULL), "");
}
