/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One job as a document, from the log or from files. */
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "cli/commands.h"
#include "cli/drift_words.h"
#include "cli/job_files.h"
#include "log/log.h"
#include "cli/options.h"
#include "cli/report_file.h"
#include "files/moment.h"

const char help_report[] =
#include "cli/help/report.inc"
    ;

/* The options as they were typed. */
struct typed {
    const char *log, *format, *output, *paper, *who, *note;
    bool from, force, full;
};

static bool take_order(const struct typed *typed, struct report_order *order, int *status)
{
    static const char *const formats[] = {
        [REPORT_HTML] = "html", [REPORT_PDF] = "pdf", [REPORT_TEXT] = "text"};
    bool known = typed->format == NULL;
    *order = (struct report_order){
        .format = REPORT_HTML, .paper = PAPER_A4, .path = typed->output, .force = typed->force};
    if (typed->output != NULL && known && strcmp(typed->output, "-") != 0 &&
        !report_format_of(typed->output, &order->format)) {
        *status = complain(2,
            "report: --output '%s' ends in none of .html, .pdf and .txt; say which with --format",
            typed->output);
        return false;
    }
    for (int i = REPORT_HTML; i <= REPORT_TEXT && !known; i++)
        if (strcmp(typed->format, formats[i]) == 0) {
            order->format = (enum report_format)i;
            known = true;
        }
    if (!known) {
        *status = complain(2, "report: --format '%s' is none of html, pdf and text", typed->format);
        return false;
    }
    if (typed->paper != NULL && strcmp(typed->paper, "letter") == 0)
        order->paper = PAPER_LETTER;
    else if (typed->paper != NULL && strcmp(typed->paper, "a4") != 0) {
        *status = complain(2, "report: --paper '%s' is neither a4 nor letter", typed->paper);
        return false;
    }
    return true;
}

static int write_input(
    struct report_input *input, const struct typed *typed, const struct report_order *order)
{
    input->who = typed->who;
    input->full = typed->full;
    input->remark = typed->note;
    picture_begin();
    return report_write(input, order);
}

/* ---- from files ---- */

static int from_files(const char *machine_path, const char *readings_path,
    const struct typed *typed, const struct report_order *order)
{
    struct job_files files;
    struct report_files made;
    int status = job_files_solve(&files, machine_path, readings_path);
    if (status == 0) {
        status = report_from_files(&files, &made) ? write_input(&made.input, typed, order)
                                                  : complain_memory();
        report_from_files_finish(&made);
    }
    job_files_finish(&files);
    return status;
}

/* ---- from the log ---- */

/* Everything about one job of the log that a report wants. */
struct logged {
    struct log_book *book;
    struct log_record record;
    struct perpend_solution solution;
    struct log_list list; /* the job and those before it on the machine */
    struct past_job past[HISTORY_MOST];
    struct report_note *notes;
    char (*note_times)[LOG_TIME_TEXT];
    char *drift;
    char *job_text;
    char number[24], digest[DIGEST_TEXT];
};

static bool latest_job(struct log_book *book, int64_t *job, struct fault *fault)
{
    if (!log_last_job(book, NULL, job, fault))
        return false;
    return *job != 0 || fault_set(fault, 2,
                            "%s: holds no job yet; 'perpend sweep' makes one, --from takes files",
                            log_path(book));
}

/* When each sweep was begun, where the job itself does not say. */
static void date_sweeps(struct log_record *record)
{
    if (record->job.date.year == 0)
        record->job.date = log_moment(&record->started);
    for (size_t i = 0; i < record->sweep_count; i++) {
        const struct log_sweep *sweep = &record->sweeps[i];
        if (sweep->in_job != LOG_NO_SWEEP && sweep->reading_count > 0)
            record->job.sweeps[sweep->in_job].date =
                log_moment(&sweep->readings[sweep->reading_count - 1].at);
    }
}

/* The jobs on this machine up to this one, the last few of them. */
static bool load_past(struct logged *logged, struct report_input *input, struct fault *fault)
{
    const struct log_record *record = &logged->record;
    const struct log_filter filter = {
        .machine = record->machine_name, .upto = record->id, .last = HISTORY_MOST};
    if (!log_list(logged->book, &filter, &logged->list, fault))
        return false;
    for (size_t i = 0; i < logged->list.count; i++) {
        const struct log_line *line = &logged->list.lines[i];
        struct past_job *past = &logged->past[i];
        *past = (struct past_job){.found = {line->found, line->found_low, line->found_high},
            .now = {line->left, line->left_low, line->left_high},
            .goal = line->goal.ridge,
            .date = log_moment(&line->started)};
    }
    input->past = logged->past;
    input->past_count = logged->list.count;
    return true;
}

static bool load_drift(struct logged *logged, struct report_input *input, struct fault *fault)
{
    struct log_drift drift;
    if (logged->record.answer_count == 0)
        return true;
    if (!log_drift_find(logged->book, logged->record.id, &drift, fault))
        return false;
    if (drift.before != 0)
        logged->drift = drift_text(&drift, logged->record.machine.unit);
    log_drift_finish(&drift);
    input->drift = logged->drift;
    return true;
}

static bool load_notes(struct logged *logged, struct report_input *input, struct fault *fault)
{
    const struct log_record *record = &logged->record;
    if (record->note_count == 0)
        return true;
    logged->notes = calloc(record->note_count, sizeof *logged->notes);
    logged->note_times = calloc(record->note_count, sizeof *logged->note_times);
    if (logged->notes == NULL || logged->note_times == NULL)
        return fault_out_of_memory(fault);
    for (size_t i = 0; i < record->note_count; i++)
        logged->notes[i] =
            (struct report_note){.when = log_time_text(logged->note_times[i], &record->notes[i].at),
                .kind = log_note_word(record->notes[i].kind),
                .text = record->notes[i].text};
    input->notes = logged->notes;
    input->note_count = record->note_count;
    return true;
}

static bool load_answer(struct logged *logged, struct fault *fault)
{
    struct log_record *record = &logged->record;
    struct perpend_job_fault where;
    char name[64];
    snprintf(name, sizeof name, "job %" PRId64, record->id);
    if (!record->readable) {
        *fault = record->why;
        return false;
    }
    if (record->job.sweep_count == 0)
        return fault_set(fault, 2, "%s has no readings; take a sweep first", name);
    enum perpend_status status =
        perpend_job_solve(&record->machine, &record->job, &logged->solution, &where);
    if (status == PERPEND_OK)
        return true;
    job_fault_text(status, &where, name, &record->job, fault);
    return false;
}

static bool load(struct logged *logged, const struct typed *typed, int64_t job,
    struct report_input *input, struct fault *fault)
{
    struct log_record *record = &logged->record;
    if (!log_open(typed->log, LOG_READ, &logged->book, fault) ||
        (job == 0 && !latest_job(logged->book, &job, fault)) ||
        !log_load(logged->book, job, record, fault) || !load_answer(logged, fault))
        return false;
    logged->job_text = job_file_write(&record->machine, &record->job);
    if (logged->job_text == NULL)
        return fault_out_of_memory(fault);
    snprintf(logged->number, sizeof logged->number, "%" PRId64, record->id);
    date_sweeps(record);
    *input = (struct report_input){.machine = &record->machine,
        .job = &record->job,
        .solution = &logged->solution,
        .name = record->machine_name,
        .number = logged->number,
        .ending = record->ending == LOG_OPEN       ? "not ended yet"
                  : record->ending == LOG_GIVEN_UP ? "given up"
                                                   : NULL,
        .digest = digest_text(record->machine_text, record->machine_length, logged->job_text,
            strlen(logged->job_text), logged->digest),
        .digest_of = "the two files that 'perpend log export' gives as --format machine and "
                     "--format job, one after the other",
        .version = PERPEND_VERSION};
    return load_past(logged, input, fault) && load_drift(logged, input, fault) &&
           load_notes(logged, input, fault);
}

static int from_log(int64_t job, const struct typed *typed, const struct report_order *order)
{
    struct logged logged = {0};
    struct report_input input = {0};
    struct fault fault = {0};
    int status;
    if (load(&logged, typed, job, &input, &fault))
        status = write_input(&input, typed, order);
    else
        status = complain_fault(&fault);
    log_list_finish(&logged.list);
    free(logged.notes);
    free(logged.note_times);
    free(logged.drift);
    free(logged.job_text);
    perpend_solution_finish(&logged.solution);
    log_record_finish(&logged.record);
    log_close(logged.book);
    return status;
}

static bool take_job(const char *text, int64_t *job, int *status)
{
    if (job_number(text, job))
        return true;
    *status = complain(2, "report: '%s' is no job's number; two files go with --from", text);
    return false;
}

int command_report(int argc, char **argv)
{
    struct typed typed = {0};
    const struct option_row rows[] = {
        {"log", NULL, &typed.log},
        {"format", NULL, &typed.format},
        {"output", NULL, &typed.output},
        {"paper", NULL, &typed.paper},
        {"who", NULL, &typed.who},
        {"note", NULL, &typed.note},
        {"from", &typed.from, NULL},
        {"force", &typed.force, NULL},
        {"full", &typed.full, NULL},
    };
    struct options options = {"report", help_report, rows, sizeof rows / sizeof rows[0], NULL, 0};
    struct report_order order;
    int64_t job = 0; /* the latest */
    int status;
    if (!options_parse(&options, argc, argv, &status) || !take_order(&typed, &order, &status))
        return status;
    if (typed.from && options.operand_count == 2)
        return from_files(options.operands[0], options.operands[1], &typed, &order);
    if (typed.from)
        return complain(2, "report: --from wants a machine file and a file of readings");
    if (options.operand_count > 1)
        return complain(2, "report: one job at a time; two files go with --from");
    if (options.operand_count == 1 && !take_job(options.operands[0], &job, &status))
        return status;
    return from_log(job, &typed, &order);
}
