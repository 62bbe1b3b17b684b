/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include <utf8proc.h>

#include "report/digest.h"
#include "report/report_parts.h"
#include "text/escape.h"

static const char *or_empty(const char *text)
{
    return text != NULL ? text : "";
}

/** Something was done after the last sweep, and nothing was measured since. */
static bool left_unmeasured(const struct perpend_job *job, const struct perpend_measurement *last)
{
    for (size_t i = 0; i < last->sweep_count; i++) {
        const enum perpend_did_kind did = job->sweeps[last->first_sweep + i].did_kind;
        if (did == PERPEND_DID_LIST ||
            (did == PERPEND_DID_PLAN && last->has_plan && last->plan.step_count > 0))
            return true;
    }
    return false;
}

/** The verdict in one sentence. */
static void verdict(const struct report *report)
{
    const struct perpend_machine *machine = report->input->machine;
    const struct perpend_measurement *last = report->last;
    struct buffer chance = {0};
    words_chance(&chance, last->distribution.chance);
    report_say(report, RECORD_VERDICT,
        SLOTS(SLOT_CHOICE("verdict", last->verdict), SLOT_IF("several", report->several),
            SLOT_RIDGE_RANGE(
                "ridge", last->ridge.height, last->distribution.low, last->distribution.high),
            SLOT_FACING("facing", &machine->facing),
            SLOT_IF("any_goal", last->verdict != PERPEND_VERDICT_NO_GOAL),
            SLOT_GOAL("goal", &machine->goal),
            SLOT_IF("chances", strstr(buffer_text(&chance), "chances") != NULL),
            SLOT_TEXT("chance", buffer_text(&chance)), SLOT_IF("bed", last->fit.includes_bed),
            SLOT_IF("unmeasured", report->unmeasured)));
    buffer_finish(&chance);
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
    }
    if (input->note_count > 0)
        document_block(report->document, BLOCK_FACTS, "");
    for (size_t i = 0; i < input->note_count; i++) {
        const struct report_note *note = &input->notes[i];
        const bool kind = note->kind != NULL && strcmp(note->kind, "note") != 0;
        buffer_clear(&text);
        fill(&report->words, &text, sentences[RECORD_NOTE],
            SLOTS(SLOT_TEXT("when", or_empty(note->when)),
                SLOT_TEXT("kind", kind ? note->kind : "")));
        document_add(report->document, buffer_text(&text));
        buffer_clear(&text);
        add_free(&text, note->text);
        document_add(report->document, buffer_text(&text));
    }
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
    const struct perpend_machine *machine = input->machine;
    const struct perpend_solution *solution = input->solution;
    const struct perpend_measurement *last =
        &solution->measurements[solution->measurement_count - 1];
    const struct report report = {.document = document,
        .input = input,
        .first = &solution->measurements[0],
        .last = last,
        .words = {.unit = machine->unit},
        .several = solution->measurement_count > 1,
        .unmeasured = left_unmeasured(input->job, last)};
    char *author = clean_name(input->who);
    *document = (struct document){.failed = false};
    buffer_add(&document->author, author);
    identify(input, &document->identity);
    const struct slot *slots = SLOTS(SLOT_PRINTED("machine", input->name),
        SLOT_TEXT("job", or_empty(input->number)), SLOT_TEXT("day", input->date),
        SLOT_TEXT("ending", or_empty(input->ending)), SLOT_PRINTED("who", input->who),
        SLOT_STATED("bit", WORDS_LARGE, machine->cutter.diameter),
        SLOT_STATED("step", WORDS_LARGE, machine->facing.stepover),
        SLOT_IF("ridge", !isnan(machine->goal.ridge)), SLOT_GOAL("goal", &machine->goal),
        SLOT_TEXT("version", input->version),
        SLOT_TEXT("identity", buffer_text(&document->identity)), SLOT_TEXT("digest", input->digest),
        SLOT_TEXT("of", input->digest_of));
    fill(&report.words, &document->title, sentences[RECORD_TITLE], slots);
    fill(&report.words, &document->foot, sentences[RECORD_FOOT], slots);
    report_say(&report, RECORD_PLATE, slots);
    notes(&report);
    verdict(&report);
    report_found(&report);
    report_rounds(&report);
    report_next(&report);
    report_machine(&report);
    report_say(&report, RECORD_METHOD, NULL);
    report_say(&report, RECORD_CAUTIONS, NULL);
    report_say(&report, RECORD_SELF, slots);
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
