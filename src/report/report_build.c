/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <utf8proc.h>

#include "report/digest.h"
#include "report/report_parts.h"
#include "text/escape.h"
#include "text/say.h"

/** The verdict in one sentence. */
static void verdict(const struct report *report)
{
    static const char *const said[] = {
        [PERPEND_VERDICT_NO_GOAL] = "No goal was set: ",
        [PERPEND_VERDICT_MET] = "The goal is met: ",
        [PERPEND_VERDICT_NOT_MET] = "The goal is not met: ",
        [PERPEND_VERDICT_TOO_CLOSE] = "Too close to call: ",
    };
    const struct perpend_machine *machine = report->input->machine;
    const struct perpend_measurement *last = report->last;
    const bool goal = last->verdict != PERPEND_VERDICT_NO_GOAL;
    struct buffer text = {0};
    buffer_add(&text, said[last->verdict]);
    buffer_add(&text, report->several ? "as left the ridge is " : "as found the ridge is ");
    words_ridge_range(
        &report->words, &text, last->ridge.height, last->distribution.low, last->distribution.high);
    buffer_add(&text, " ");
    words_facing(&text, &machine->facing);
    if (goal) {
        struct buffer chance = {0};
        words_chance(&chance, last->distribution.chance);
        buffer_add(&text, "; the goal is ");
        words_stated(&report->words, &text, WORDS_SMALL, machine->goal);
        buffer_add(&text, strstr(buffer_text(&chance), "chances") != NULL ? ", and there are "
                                                                          : ", and there is ");
        buffer_add(&text, buffer_text(&chance));
        buffer_add(&text, " that it is met");
        buffer_finish(&chance);
    }
    buffer_add(&text, last->fit.includes_bed && goal ? ", if the bed is true to the travel." : ".");
    document_block(report->document, BLOCK_VERDICT, buffer_text(&text));
    if (report_left_unmeasured(report))
        document_block(report->document, BLOCK_PARAGRAPH,
            "Something was done to the mount after the last sweep, and nothing was measured since: "
            "what stands here as left is how it was before that.");
    buffer_finish(&text);
}

/** A name that somebody gave, or what stands for one. Value: whether there is one. */
static bool add_name(struct buffer *out, const char *given, const char *otherwise)
{
    char *name = isolated_name(given);
    const bool named = name == NULL || *name != '\0';
    buffer_add(out, named ? name : otherwise);
    free(name);
    return named;
}

static void plate(const struct report *report)
{
    const struct report_input *input = report->input;
    const struct perpend_machine *machine = input->machine;
    struct buffer text = {0};
    add_name(&text, input->name, "not named");
    document_plate(report->document, "Machine", &text);
    buffer_add(&text, input->number != NULL ? input->number : "from files");
    document_plate(report->document, "Job", &text);
    buffer_add(&text, input->date);
    buffer_add(&text, input->ending != NULL ? input->ending : "");
    document_plate(report->document, "Date", &text);
    add_name(&text, input->who, "not stated");
    document_plate(report->document, "By", &text);
    words_stated(&report->words, &text, WORDS_LARGE, machine->cutter.diameter);
    buffer_add(&text, ", stepover ");
    words_stated(&report->words, &text, WORDS_LARGE, machine->facing.stepover);
    document_plate(report->document, "Bit", &text);
    if (isfinite(machine->goal)) {
        buffer_add(&text, "ridge of ");
        words_stated(&report->words, &text, WORDS_SMALL, machine->goal);
        buffer_add(&text, " at most");
    } else {
        buffer_add(&text, "none set");
    }
    document_plate(report->document, "Goal", &text);
}

/** What somebody wrote, without blanks at its ends. */
static void add_free(struct buffer *out, const char *text)
{
    char *clean = clean_text(text);
    const char *start = clean == NULL ? "" : clean + strspn(clean, " \n\t");
    size_t length = strlen(start);
    while (length > 0 && strchr(" \n\t", start[length - 1]) != NULL)
        length--;
    buffer_add_bytes(out, start, length);
    out->failed = out->failed || clean == NULL;
    free(clean);
}

static void notes(const struct report *report)
{
    const struct report_input *input = report->input;
    struct buffer text = {0};
    if (input->remark != NULL && *input->remark != '\0') {
        add_free(&text, input->remark);
        document_block(report->document, BLOCK_FREE_TEXT, buffer_text(&text));
        buffer_clear(&text);
    }
    if (input->note_count > 0)
        document_block(report->document, BLOCK_FACTS, "");
    for (size_t i = 0; i < input->note_count; i++) {
        const struct report_note *note = &input->notes[i];
        const bool kind = note->kind != NULL && strcmp(note->kind, "note") != 0;
        buffer_add(&text, note->when != NULL ? note->when : "");
        buffer_add(&text, kind && note->when != NULL ? ", " : "");
        buffer_add(&text, kind ? note->kind : note->when == NULL ? "note" : "");
        document_add_phrase(report->document, &text);
        add_free(&text, note->text);
        document_add_phrase(report->document, &text);
    }
    buffer_finish(&text);
}

/** A part that is a list of sentences. */
static void list_of(const struct report *report, const char *heading, const char *const *items)
{
    document_heading(report->document, 1, heading);
    document_list(report->document, false);
    for (; *items != NULL; items++)
        document_add(report->document, *items);
}

static void method(const struct report *report)
{
    static const char *const items[] = {
        "Directions as a person in front of the machine sees them: right, back, up (ISO 841). A "
        "lean is named by where the spindle's top goes.",
        "The lean: weighted least squares through the exact geometry of the sweep; uncertainty "
        "from the gauge's step and spread, the arm's length and its aim (JCGM 100), widened where "
        "the readings scatter more than these explain. ± and brackets hold 95 times in 100.",
        "The ridge: peak to valley of the floor that overlapping passes leave, in closed form; its "
        "interval and the chance of meeting the goal by carrying the lean's distribution through "
        "that form (JCGM 101). Ra is the mean deviation from the mean line (ISO 21920-2).",
        "The verdict (JCGM 106): met at 95 chances in 100 or more, not met at 5 or fewer, too "
        "close to call in between.",
        NULL};
    list_of(report, "Method and standards", items);
}

static void cautions(const struct report *report)
{
    static const char *const items[] = {
        "Unplug the spindle before a hand goes near it. Never run it with a sweep arm in it: turn "
        "it by hand.",
        "Hold the spindle's weight before its bolts are loosened; tighten them crosswise, in "
        "steps, to the maker's torque.",
        "After work on the mount home the machine and set X, Y and Z zero anew.",
        "If fibreboard is faced: eye protection, dust extraction, a rated mask.",
        "The maker's manual, local rules and qualified people come first.", NULL};
    list_of(report, "Cautions", items);
}

static void record(const struct report *report)
{
    const struct report_input *input = report->input;
    struct buffer text = {0};
    buffer_addf(&text, "perpend %s", input->version);
    const char *const facts[] = {"Made by", buffer_text(&text), "Record",
        buffer_text(&report->document->identity), "SHA-256", input->digest, "taken over",
        input->digest_of};
    document_heading(report->document, 1, "This record");
    document_block(report->document, BLOCK_FACTS, "");
    for (size_t i = 0; i < sizeof facts / sizeof *facts; i++)
        document_add(report->document, facts[i]);
    buffer_finish(&text);
}

/** What tells this job's documents from others'. It stays the same while the job goes on: of a job
 *  in files it is the machine and the first sweep's readings. */
static void identify(const struct report_input *input, struct buffer *out)
{
    const struct perpend_sweep *first = &input->job->sweeps[0];
    struct buffer of = {0};
    char digits[DIGEST_TEXT];
    buffer_add(&of, input->name != NULL ? input->name : "");
    if (input->number != NULL)
        buffer_addf(&of, "\njob %s\n%s", input->number, input->date);
    for (size_t i = 0; i < first->reading_count && input->number == NULL; i++) {
        buffer_add(&of, "\n");
        buffer_add_number(&of, perpend_degrees(first->readings[i].bearing), 6);
        buffer_add(&of, " ");
        buffer_add_number(&of, first->readings[i].value, 6);
    }
    digest_text(buffer_text(&of), of.length, "", 0, digits);
    buffer_addf(out, "perpend-job-%.16s", digits);
    out->failed = out->failed || of.failed;
    buffer_finish(&of);
}

void report_build(const struct report_input *input, struct document *document)
{
    const size_t count = input->solution->measurement_count;
    const struct report report = {.document = document,
        .input = input,
        .first = &input->solution->measurements[0],
        .last = &input->solution->measurements[count - 1],
        .words = {.unit = input->machine->unit},
        .several = count > 1};
    struct buffer name = {0};
    const bool named = add_name(&name, input->name, "");
    char *who = clean_name(input->who);
    *document = (struct document){.failed = name.failed || who == NULL};
    buffer_add(&document->title, named ? "Spindle tram report: " : "Spindle tram report");
    buffer_add(&document->title, buffer_text(&name));
    buffer_add(&document->author, who);
    identify(input, &document->identity);
    buffer_add(&document->foot, named ? buffer_text(&name) : "Spindle tram report");
    if (input->number != NULL)
        buffer_addf(&document->foot, ", job %s", input->number);
    buffer_addf(&document->foot, ", %s", input->date);
    plate(&report);
    notes(&report);
    verdict(&report);
    report_found(&report);
    report_rounds(&report);
    report_next(&report);
    report_machine(&report);
    method(&report);
    cautions(&report);
    record(&report);
    buffer_finish(&name);
    free(who);
    document->failed = document->failed || document->title.failed || document->author.failed ||
                       document->identity.failed || document->foot.failed;
}

/** Letters and digits of any script, the rest as single hyphens. */
static void add_plain(struct buffer *out, const char *text, size_t most)
{
    bool gap = false;
    size_t count = 0;
    for (struct character c; (c = character_at(text)).bytes > 0 && count < most; text += c.bytes) {
        const utf8proc_category_t kind = utf8proc_category(c.code);
        const bool letter = (kind >= UTF8PROC_CATEGORY_LU && kind <= UTF8PROC_CATEGORY_NO);
        if (letter && gap)
            buffer_add(out, "-");
        count += letter ? 1 + gap : 0;
        if (letter)
            buffer_add_bytes(out, text, c.bytes);
        gap = !letter && out->length > 0;
    }
}

void report_file_name(const struct report_input *input, const char *ending, struct buffer *out)
{
    char *name = clean_name(input->name);
    if (name == NULL)
        out->failed = true;
    else
        add_plain(out, name, 40);
    if (out->length == 0)
        buffer_add(out, "machine");
    buffer_addf(out, "-%.10s", input->date);
    if (input->number != NULL)
        buffer_addf(out, "-job-%s", input->number);
    buffer_addf(out, ".%s", ending);
    free(name);
}
