/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "text/answer.h"
#include "text/escape.h"
#include "report/report_parts.h"
#include "text/say.h"

/** What to watch next time, what is still to do, and the drift since earlier jobs. */

static void limits(struct document *document, const struct report_input *input)
{
    const struct perpend_measurement *last = report_last(input);
    const enum perpend_unit unit = input->machine->unit;
    if (!isfinite(input->machine->goal))
        return;
    const struct perpend_ridge_limits *limit = &last->limits;
    char *lean = say_rounded(unit, WORDS_SLOPE, limit->lean, 0);
    GString *text = g_string_new(NULL);
    if (isfinite(limit->lean))
        g_string_append_printf(text, "A lean of up to %s, whichever way, keeps the goal", lean);
    else
        g_string_append(text, "No lean keeps the goal: at this stepover the bit's rounded corners "
                              "leave more, even upright");
    if (isfinite(limit->opposite_reading)) {
        char *apart = say_rounded(unit, WORDS_SMALL, limit->opposite_reading, 0);
        g_string_append_printf(text,
            ": opposite readings with this arm may then differ by %s of gap%s", apart,
            input->machine->setup.bed_faced ? "" : ", on a bed that the machine has faced");
        g_free(apart);
    }
    g_string_append(text, ".");
    document_item(document, text->str);
    if (isfinite(limit->stepover)) {
        char *step = say_rounded(unit, WORDS_LARGE, limit->stepover, 0);
        bool any = answer_any_stepover(limit, &input->machine->cutter);
        char *stepover =
            any ? g_strdup("With the lean as it is, any stepover that the bit can cut keeps it.")
                : g_strdup_printf("With the lean as it is, the stepover may be up to %s.", step);
        document_item(document, stepover);
        g_free(step);
        g_free(stepover);
    }
    g_string_free(text, TRUE);
    g_free(lean);
}

static void watch(struct document *document, const struct report_input *input)
{
    document_list(document, false);
    document_item(document, report_left_unmeasured(input)
                                ? "Sweep before anything is cut: the mount was worked on since the "
                                  "last sweep."
                                : "Sweep before the next facing job, and after any knock, crash or "
                                  "work on the mount.");
    limits(document, input);
    if (ridge_cut_too_shallow(&report_last(input)->ridge, input->machine->facing.depth))
        document_item(document, "Cut deeper, or with a smaller bit: the bit drops more across its "
                                "width than the depth of cut.");
}

/** The lines of answer_plan as a list: a number begins an item, what is set in below goes on with
 *  it, anything else is a paragraph before the list. */
static void plan_list(struct document *document, char **lines)
{
    GString *item = g_string_new(NULL);
    bool listed = false;
    for (char **line = lines; *line != NULL; line++) {
        const bool goes_on = (*line)[0] == ' ' && listed;
        const char *behind = *line + strspn(*line, "0123456789");
        const bool begins = behind > *line && g_str_has_prefix(behind, ". ");
        if (begins && !listed)
            document_list(document, true);
        if (begins && item->len > 0)
            document_item(document, item->str);
        if (begins)
            g_string_assign(item, g_strstrip(*line + (behind - *line) + 1));
        else if (goes_on)
            g_string_append_printf(item, " %s", g_strstrip(*line));
        else if ((*line)[0] != '\0')
            document_paragraph(document, *line);
        listed = listed || begins;
    }
    if (item->len > 0)
        document_item(document, item->str);
    g_string_free(item, TRUE);
}

static void plan(struct document *document, const struct report_input *input)
{
    const struct perpend_measurement *last = report_last(input);
    const struct answer_about about = {input->machine, input->job, last};
    const struct answer_options options = {.no_drawing = true};
    if (answer_plan_worsens(last) && !report_left_unmeasured(input)) {
        report_say(document, input, last, answer_worse);
        report_say(document, input, last, answer_shortfall);
    }
    if (!answer_has_plan(last) || report_left_unmeasured(input))
        return;
    struct words words = {.unit = input->machine->unit, .width = 1000000, .utf8 = true};
    answer_plan(&words, &about, &options);
    document_heading(document, 2, "Still to do");
    char **lines = g_strsplit(buffer_text(&words.out), "\n", -1);
    plan_list(document, lines);
    g_strfreev(lines);
    buffer_finish(&words.out);
    report_say(document, input, last, answer_shortfall);
    report_say(document, input, last, answer_next_sweep);
}

/** To a hundredth of a mm/m. */
static char *past_lean(enum perpend_unit unit, double lean)
{
    return isfinite(lean) ? say_rounded(unit, WORDS_SLOPE, lean, 4e-5) : g_strdup("not measured");
}

static void history(struct document *document, const struct report_input *input)
{
    static const char *const heads[] = {"job of", "found leaning", "left leaning"};
    const size_t first = input->past_count > HISTORY_MOST ? input->past_count - HISTORY_MOST : 0;
    if (input->past_count < 2)
        return;
    document_table(document, "", 3, heads, 6);
    for (size_t i = first; i < input->past_count; i++) {
        document_cell(document, input->past[i].label);
        document_cell_take(document, past_lean(input->machine->unit, input->past[i].found));
        document_cell_take(document, past_lean(input->machine->unit, input->past[i].left));
    }
    document_figure(document, figure_history(input->machine, input->past, input->past_count), "");
}

void report_next_time(struct document *document, const struct report_input *input)
{
    document_heading(document, 1, "Next time");
    report_say(document, input, report_last(input), answer_turn_feed);
    watch(document, input);
    report_say(document, input, report_last(input), answer_remedy);
    plan(document, input);
    if (input->drift == NULL && input->past_count < 2)
        return;
    document_heading(document, 2, "Since earlier jobs");
    if (input->drift != NULL)
        document_free_paragraph(document, input->drift);
    history(document, input);
}
