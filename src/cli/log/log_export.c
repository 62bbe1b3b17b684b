/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The log for other programs, and for 'perpend solve'. */
#include <stdlib.h>
#include <string.h>

#include "cli/complain.h"
#include "cli/log/log_command.h"
#include "cli/prompt/screen.h"

enum format { FORMAT_JSONL, FORMAT_CSV, FORMAT_JOB, FORMAT_MACHINE, FORMATS };
static const char *const format_names[FORMATS] = {"jsonl", "csv", "job", "machine"};

/* Print a text and what follows it; NULL: memory is out. */
static int print_text(char *text, const char *ending)
{
    if (!text)
        return complain_memory();
    screen_text(text);
    screen_text(ending);
    free(text);
    return 0;
}

static int print_job_file(const struct log_record *record)
{
    if (!record->readable)
        return complain(2, "job %lld: this perpend cannot read the machine file kept with it: %s",
            (long long)record->id, record->why.text);
    if (record->job.sweep_count == 0)
        return complain(
            2, "job %lld has no readings yet, so there is nothing to solve", (long long)record->id);
    return print_text(job_file_write(&record->machine, &record->job), "");
}

static int print_record(const struct log_record *record, enum format format)
{
    switch (format) {
    case FORMAT_MACHINE:
        screen_bytes(record->machine_text, record->machine_length);
        return 0;
    case FORMAT_JOB:
        return print_job_file(record);
    case FORMAT_CSV:
        return print_text(log_record_csv(record), "");
    default:
        return print_text(log_record_json(record), "\n");
    }
}

static int export_job(struct log_command *command, int64_t job, enum format format)
{
    struct log_record record;
    if (!log_load(command->book, job, &record, &command->fault))
        return complain_fault(&command->fault);
    int status = print_record(&record, format);
    log_record_finish(&record);
    return status;
}

/* In order of time, notes on machines between the jobs (JSON alone has a place for them). */
static int export_many(struct log_command *command, struct log_filter *filter, enum format format)
{
    struct log_list list;
    filter->notes = format == FORMAT_JSONL;
    int status = log_list(command->book, filter, &list, &command->fault)
                     ? 0
                     : complain_fault(&command->fault);
    for (size_t i = 0; i < list.count && status == 0; i++)
        status = list.lines[i].id == 0 ? print_text(log_note_json(&list.lines[i]), "\n")
                                       : export_job(command, list.lines[i].id, format);
    log_list_finish(&list);
    return status;
}

int log_export_part(struct log_command *command)
{
    size_t format;
    struct log_filter filter;
    int64_t job = 0;
    int status = log_command_choice(
        "log export: there is no format", command->format, format_names, FORMATS, &format);
    bool many = command->all || command->since || command->until || command->last ||
                (command->machine && command->operand_count == 0);
    if (status != 0)
        return status;
    if (many && command->operand_count > 0)
        return complain(2, "log export: give the number of one job, or --all, not both");
    if (!many && command->operand_count != 1)
        return complain(2, "log export: give the number of a job, 'last', or --all");
    if (many && (format == FORMAT_JOB || format == FORMAT_MACHINE))
        return complain(
            2, "log export: --format %s is for one job; give its number", format_names[format]);
    status = many ? log_command_filter(command, &filter)
                  : log_command_job(command, command->operands[0], &job);
    if (status != 0)
        return status;
    if (format == FORMAT_CSV)
        screen_text(log_csv_heading);
    return many ? export_many(command, &filter, (enum format)format)
                : export_job(command, job, (enum format)format);
}
