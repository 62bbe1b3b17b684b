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
    const struct perpend_machine *machine = report->input->machine;
    const struct perpend_measurement *last = report->last;
    struct buffer chance = {0};
    words_chance(&chance, last->distribution.chance);
    report_block(report, BLOCK_VERDICT, RECORD_VERDICT,
        SLOTS(SLOT_CHOICE("verdict", last->verdict), SLOT_IF("several", report->several),
            SLOT_RIDGE_RANGE(
                "ridge", last->ridge.height, last->distribution.low, last->distribution.high),
            SLOT_FACING("facing", &machine->facing),
            SLOT_IF("any_goal", last->verdict != PERPEND_VERDICT_NO_GOAL),
            SLOT_STATED("goal", WORDS_SMALL, machine->goal),
            SLOT_IF("chances", strstr(buffer_text(&chance), "chances") != NULL),
            SLOT_TEXT("chance", buffer_text(&chance)), SLOT_IF("bed", last->fit.includes_bed)));
    buffer_finish(&chance);
    if (report_left_unmeasured(report))
        report_block(report, BLOCK_PARAGRAPH, RECORD_UNMEASURED, NULL);
}

static void plate(const struct report *report, const char *machine_name, const char *who)
{
    const struct report_input *input = report->input;
    const struct perpend_machine *machine = input->machine;
    struct buffer date = {0};
    buffer_add(&date, input->date);
    buffer_add(&date, input->ending != NULL ? input->ending : "");
    const struct slot *slots = SLOTS(SLOT_STATED("bit", WORDS_LARGE, machine->cutter.diameter),
        SLOT_STATED("step", WORDS_LARGE, machine->facing.stepover),
        SLOT_STATED("goal", WORDS_SMALL, machine->goal));
    const struct {
        const char *name, *text;
        enum sentence sentence; /* when there is no text */
    } entries[] = {
        {"Machine", *machine_name != '\0' ? machine_name : "not named", 0},
        {"Job", input->number != NULL ? input->number : "from files", 0},
        {"Date", buffer_text(&date), 0},
        {"By", *who != '\0' ? who : "not stated", 0},
        {"Bit", NULL, RECORD_BIT_AND_STEP},
        {"Goal", NULL, RECORD_GOAL},
    };
    for (size_t i = 0; i < sizeof entries / sizeof *entries; i++) {
        struct buffer text = {0};
        if (entries[i].text != NULL)
            buffer_add(&text, entries[i].text);
        else
            fill(&report->words, &text, sentences[entries[i].sentence], slots);
        document_plate(report->document, entries[i].name, &text);
    }
    buffer_finish(&date);
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
static void list(
    const struct report *report, const char *heading, const enum sentence *items, size_t count)
{
    document_heading(report->document, 1, heading);
    document_list(report->document, false);
    for (size_t i = 0; i < count; i++)
        report_add(report, items[i], NULL);
}

static void method_and_cautions(const struct report *report)
{
    static const enum sentence method[] = {
        RECORD_METHOD_DIRECTIONS, RECORD_METHOD_LEAN, RECORD_METHOD_RIDGE, RECORD_METHOD_VERDICT};
    static const enum sentence cautions[] = {RECORD_CAUTION_UNPLUG, RECORD_CAUTION_WEIGHT,
        RECORD_CAUTION_ZERO, RECORD_CAUTION_DUST, RECORD_CAUTION_MANUAL};
    list(report, "Method and standards", method, sizeof method / sizeof *method);
    list(report, "Cautions", cautions, sizeof cautions / sizeof *cautions);
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
    char *name = isolated_name(input->name);
    char *who = isolated_name(input->who);
    char *author = clean_name(input->who);
    const struct slot *slots = SLOTS(SLOT_TEXT("machine", name),
        SLOT_TEXT("job", input->number != NULL ? input->number : ""),
        SLOT_TEXT("day", input->date));
    *document = (struct document){.failed = name == NULL || who == NULL || author == NULL};
    fill(&report.words, &document->title, sentences[RECORD_TITLE], slots);
    fill(&report.words, &document->foot, sentences[RECORD_FOOT], slots);
    buffer_add(&document->author, author);
    identify(input, &document->identity);
    if (!document->failed)
        plate(&report, name, who);
    notes(&report);
    verdict(&report);
    report_found(&report);
    report_rounds(&report);
    report_next(&report);
    report_machine(&report);
    method_and_cautions(&report);
    record(&report);
    free(name);
    free(who);
    free(author);
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
