/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>

#include <utf8proc.h>

#include "files/moment.h"
#include "report/digest.h"
#include "report/pages.h"
#include "report/report_parts.h"
#include "text/say.h"
#include "text/escape.h"

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

/** What tells this job's documents from others'. It stays the same while the job goes on: of a job
 *  in files it is the machine and the first sweep's readings. */
static void identify(const struct report_input *input, struct buffer *out)
{
    const struct perpend_sweep *first = &input->job->sweeps[0];
    struct buffer of = {0};
    char digits[DIGEST_TEXT];
    char date[MOMENT_TEXT];
    buffer_add(&of, input->name != NULL ? input->name : "");
    if (input->number != NULL)
        buffer_addf(&of, "\njob %s\n%s", input->number, moment_text(date, &input->job->date));
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

static struct report begin(const struct report_input *input, struct document *document)
{
    const struct perpend_solution *solution = input->solution;
    const struct perpend_measurement *last =
        &solution->measurements[solution->measurement_count - 1];
    const struct answer_about about = {input->machine, input->job, last};
    struct report report = {.document = document,
        .input = input,
        .first = &solution->measurements[0],
        .last = last,
        .words = {.unit = input->machine->unit},
        .several = solution->measurement_count > 1,
        .unmeasured = left_unmeasured(input->job, last),
        .doubtful = answer_readings_doubtful(&about)};
    report.worked =
        mount_work_done(input->job, solution->measurements, solution->measurement_count).any;
    report.planned = !report.unmeasured && !report.doubtful && answer_has_steps(last);
    *document = (struct document){.failed = false};
    return report;
}

void report_build(const struct report_input *input, struct document *document)
{
    struct report report = begin(input, document);
    struct report_names names;
    struct report_input brief = *input;
    char *author = clean_name(input->who != NULL ? input->who : input->job->who);
    char date[MOMENT_TEXT];
    buffer_add(&document->author, author);
    identify(input, &document->identity);
    const struct slot *slots = SLOTS(SLOT_PRINTED("machine", input->name),
        SLOT_TEXT("job", input->number != NULL ? input->number : ""),
        SLOT_TEXT("day", moment_text(date, &input->job->date)));
    fill(&report.words, &document->title, sentences[RECORD_NAME], slots);
    fill(&report.words, &document->foot, sentences[RECORD_FOOT], slots);
    report_names_shorten(input, &names);
    if (!names.failed) {
        brief.machine = &names.machine;
        brief.job = &names.job;
        report.input = &brief;
        report.numbered = names.numbered ? &input->machine->mount : NULL;
        report_page(&report);
        report.input = input;
    }
    document->failed = document->failed || names.failed;
    report_names_finish(&names);
    if (input->full)
        report_appendix(&report);
    free(author);
    document->failed = document->failed || document->title.failed || document->author.failed ||
                       document->identity.failed || document->foot.failed;
}

struct figure *report_sheet(const struct report_input *input)
{
    struct document document;
    struct report report = begin(input, &document);
    char *sweeps = say_sweeps(input->job, report.last);
    fill(&report.words, &document.title, sentences[PICTURE_OF_SOLUTION],
        SLOTS(SLOT_PRINTED("machine", input->name), SLOT_TEXT("sweeps", sweeps),
            SLOT_RIDGE_RANGE("ridge", report.last->ridge.height, report.last->distribution.low,
                report.last->distribution.high),
            SLOT_CHOICE("verdict", report.last->verdict)));
    document_block(&document, BLOCK_PARAGRAPH, buffer_text(&document.title));
    report_pictures(&report);
    report_mounts(&report, 1, PERPEND_JOINTS_MOST);
    struct figure *sheet = pages_sheet(&document);
    document_finish(&document);
    free(sweeps);
    return sheet;
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
    char date[MOMENT_TEXT];
    if (name == NULL)
        out->failed = true;
    else
        add_plain(out, name, 40);
    if (out->length == 0)
        buffer_add(out, "machine");
    if (moment_text(date, &input->job->date)[0] != '\0')
        buffer_addf(out, "-%.10s", date);
    if (input->number != NULL)
        buffer_addf(out, "-job-%s", input->number);
    buffer_addf(out, ".%s", ending);
    free(name);
}
