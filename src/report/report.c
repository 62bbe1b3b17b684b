/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "text/escape.h"
#include "report/report_parts.h"
#include "text/say.h"

const struct perpend_measurement *report_first(const struct report_input *input)
{
    return &input->solution->measurements[0];
}

const struct perpend_measurement *report_last(const struct report_input *input)
{
    return &input->solution->measurements[input->solution->measurement_count - 1];
}

void report_say(struct document *document, const struct report_input *input,
    const struct perpend_measurement *measurement, report_saying *say)
{
    struct words words = {.unit = input->machine->unit, .width = 1000000, .utf8 = true};
    const struct answer_about about = {input->machine, input->job, measurement};
    say(&words, &about);
    char **lines = g_strsplit(buffer_text(&words.out), "\n", -1);
    for (char **line = lines; *line != NULL; line++)
        if (**line != '\0')
            document_paragraph(document, g_strstrip(*line));
    g_strfreev(lines);
    buffer_finish(&words.out);
}

bool report_left_unmeasured(const struct report_input *input)
{
    const struct perpend_measurement *last = report_last(input);
    for (size_t i = 0; i < last->sweep_count; i++) {
        const struct perpend_sweep *sweep = &input->job->sweeps[last->first_sweep + i];
        if (sweep->did_kind == PERPEND_DID_LIST ||
            (sweep->did_kind == PERPEND_DID_PLAN && last->has_plan && last->plan.step_count > 0))
            return true;
    }
    return false;
}

/** The verdict in one sentence. */
static void verdict(struct document *document, const struct report_input *input)
{
    static const char *const said[] = {
        [PERPEND_VERDICT_NO_GOAL] = "No goal was set: ",
        [PERPEND_VERDICT_MET] = "The goal is met: ",
        [PERPEND_VERDICT_NOT_MET] = "The goal is not met: ",
        [PERPEND_VERDICT_TOO_CLOSE] = "Too close to call: ",
    };
    const enum perpend_unit unit = input->machine->unit;
    const struct perpend_measurement *last = report_last(input);
    const bool several = input->solution->measurement_count > 1;
    char *ridge =
        say_ridge_range(unit, last->ridge.height, last->distribution.low, last->distribution.high);
    char *feed = say_facing(&input->machine->facing);
    GString *text = g_string_new(said[last->verdict]);
    g_string_append_printf(
        text, "%s the ridge is %s %s", several ? "as left" : "as found", ridge, feed);
    if (last->verdict != PERPEND_VERDICT_NO_GOAL) {
        char *goal = say_stated(unit, WORDS_SMALL, input->machine->goal);
        struct buffer phrase = {0};
        words_chance(&phrase, last->distribution.chance);
        char *chance = say_phrase(&phrase);
        g_string_append_printf(text, "; the goal is %s, and there %s %s that it is met", goal,
            strstr(chance, "chances") != NULL ? "are" : "is", chance);
        g_free(goal);
        g_free(chance);
    }
    g_string_append(text, last->fit.includes_bed && last->verdict != PERPEND_VERDICT_NO_GOAL
                              ? ", if the bed is true to the travel."
                              : ".");
    document_verdict(document, text->str);
    if (report_left_unmeasured(input))
        document_paragraph(document,
            "Something was done to the mount after the last sweep, and nothing was measured since: "
            "what stands here as left is how it was before that.");
    g_string_free(text, TRUE);
    g_free(ridge);
    g_free(feed);
}

static void plate(struct document *document, const struct report_input *input)
{
    const struct perpend_machine *machine = input->machine;
    char *name = isolated_name(input->name);
    char *who = isolated_name(input->who);
    char *bit = say_stated(machine->unit, WORDS_LARGE, machine->cutter.diameter);
    char *step = say_stated(machine->unit, WORDS_LARGE, machine->facing.stepover);
    char *bit_text = g_strdup_printf("%s, stepover %s", bit, step);
    char *goal = isfinite(machine->goal) ? say_stated(machine->unit, WORDS_SMALL, machine->goal)
                                         : g_strdup("none set");
    char *goal_text =
        isfinite(machine->goal) ? g_strdup_printf("ridge of %s at most", goal) : g_strdup(goal);
    char *date = g_strconcat(input->date, input->ending, NULL);
    document_plate(document, "Machine", *name != '\0' ? name : "not named");
    document_plate(document, "Job", input->number != NULL ? input->number : "from files");
    document_plate(document, "Date", date);
    document_plate(document, "By", *who != '\0' ? who : "not stated");
    document_plate(document, "Bit", bit_text);
    document_plate(document, "Goal", goal_text);
    g_free(date);
    g_free(name);
    g_free(who);
    g_free(bit);
    g_free(step);
    g_free(bit_text);
    g_free(goal);
    g_free(goal_text);
}

static void notes(struct document *document, const struct report_input *input)
{
    const bool remark = input->remark != NULL && *input->remark != '\0';
    if (!remark && input->note_count == 0)
        return;
    if (remark)
        document_free_paragraph(document, input->remark);
    if (input->note_count > 0)
        document_facts(document);
    for (size_t i = 0; i < input->note_count; i++) {
        const struct report_note *note = &input->notes[i];
        const bool kind = note->kind != NULL && strcmp(note->kind, "note") != 0;
        char *name = g_strdup_printf("%s%s%s", note->when != NULL ? note->when : "",
            kind && note->when != NULL ? ", " : "", kind ? note->kind : "");
        char *text = g_strstrip(clean_text(note->text));
        document_fact(document, *name != '\0' ? name : "note", text);
        g_free(name);
        g_free(text);
    }
}

static void method(struct document *document)
{
    document_heading(document, 1, "Method and standards");
    document_list(document, false);
    document_item(document,
        "Directions as a person in front of the machine sees them: right, back, up (ISO 841). A "
        "lean is named by where the spindle's top goes.");
    document_item(document,
        "The lean: weighted least squares through the exact geometry of the sweep; uncertainty "
        "from the gauge's step and spread, the arm's length and its aim (JCGM 100), widened where "
        "the readings scatter more than these explain. ± and brackets hold 95 times in 100.");
    document_item(document,
        "The ridge: peak to valley of the floor that overlapping passes leave, in closed form; its "
        "interval and the chance of meeting the goal by carrying the lean's distribution through "
        "that form (JCGM 101). Ra is the mean deviation from the mean line (ISO 21920-2).");
    document_item(document,
        "The verdict (JCGM 106): met at 95 chances in 100 or more, not met at 5 or fewer, too "
        "close to call in between.");
}

static void cautions(struct document *document)
{
    document_heading(document, 1, "Cautions");
    document_list(document, false);
    document_item(document,
        "Unplug the spindle before a hand goes near it. Never run it with a sweep arm in it: turn "
        "it by hand.");
    document_item(document, "Hold the spindle's weight before its bolts are loosened; tighten them "
                            "crosswise, in steps, to the maker's torque.");
    document_item(
        document, "After work on the mount home the machine and set X, Y and Z zero anew.");
    document_item(
        document, "If fibreboard is faced: eye protection, dust extraction, a rated mask.");
    document_item(document, "The maker's manual, local rules and qualified people come first.");
}

static void record(struct document *document, const struct report_input *input)
{
    document_heading(document, 1, "This record");
    document_facts(document);
    document_fact_take(document, "Made by", g_strdup_printf("perpend %s", input->version));
    document_fact(document, "Record", document->identity);
    document_fact(document, "SHA-256", input->digest);
    document_fact(document, "taken over", input->digest_of);
}

/** What tells this job's documents from others'. It stays the same while the job goes on: of a job
 *  in files it is the machine and the first sweep's readings. */
static char *identity(const struct report_input *input)
{
    const struct perpend_sweep *first = &input->job->sweeps[0];
    GChecksum *sum = g_checksum_new(G_CHECKSUM_SHA256);
    GString *of = g_string_new(input->name);
    if (input->number != NULL)
        g_string_append_printf(of, "\njob %s\n%s", input->number, input->date);
    for (size_t i = 0; i < first->reading_count && input->number == NULL; i++) {
        char *bearing = say_number(perpend_degrees(first->readings[i].bearing), 6);
        char *value = say_number(first->readings[i].value, 6);
        g_string_append_printf(of, "\n%s %s", bearing, value);
        g_free(bearing);
        g_free(value);
    }
    g_checksum_update(sum, (const guchar *)of->str, (gssize)of->len);
    char *text = g_strdup_printf("perpend-job-%.16s", g_checksum_get_string(sum));
    g_string_free(of, TRUE);
    g_checksum_free(sum);
    return text;
}

struct document *report_build(const struct report_input *input)
{
    char *name = isolated_name(input->name);
    char *who = clean_name(input->who);
    char *title = *name == '\0' ? g_strdup("Spindle tram report")
                                : g_strdup_printf("Spindle tram report: %s", name);
    struct document *document = document_create(title, who);
    g_free(document->identity);
    document->identity = identity(input);
    g_free(document->foot);
    document->foot = g_strdup_printf("%s%s%s%s%s", *name != '\0' ? name : "Spindle tram report",
        input->number != NULL ? ", job " : "", input->number != NULL ? input->number : "", ", ",
        input->date);
    plate(document, input);
    notes(document, input);
    verdict(document, input);
    report_found_and_left(document, input);
    report_rounds(document, input);
    report_next_time(document, input);
    report_machine(document, input);
    method(document);
    cautions(document);
    record(document, input);
    g_free(name);
    g_free(who);
    g_free(title);
    return document;
}

/** Letters and digits of any script, the rest as single hyphens. */
static void add_plain(GString *out, const char *text, size_t most)
{
    size_t count = 0;
    for (const char *at = text; *at != '\0' && count < most; at = g_utf8_next_char(at)) {
        const gunichar c = g_utf8_get_char(at);
        if (g_unichar_isalnum(c) || g_unichar_ismark(c)) {
            g_string_append_unichar(out, c);
            count++;
        } else if (out->len > 0 && out->str[out->len - 1] != '-') {
            g_string_append_c(out, '-');
            count++;
        }
    }
    while (out->len > 0 && out->str[out->len - 1] == '-')
        g_string_truncate(out, out->len - 1);
}

char *report_file_name(const struct report_input *input, const char *ending)
{
    GString *out = g_string_new(NULL);
    char *name = clean_name(input->name);
    add_plain(out, name, 40);
    if (out->len == 0)
        g_string_append(out, "machine");
    g_string_append_printf(out, "-%.10s", input->date);
    if (input->number != NULL)
        g_string_append_printf(out, "-job-%s", input->number);
    g_string_append_printf(out, ".%s", ending);
    g_free(name);
    return g_string_free(out, FALSE);
}
