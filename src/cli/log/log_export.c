/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The log for other programs, and for 'perpend solve'. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "files/buffer.h"
#include "cli/log/log_command.h"
#include "files/number.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"

enum format { FORMAT_JSONL, FORMAT_CSV, FORMAT_JOB, FORMAT_MACHINE };
static const char *const format_names[] = {"jsonl", "csv", "job", "machine"};
#define FORMATS 4

static bool format_of(const char *word, enum format *format, int *status)
{
    for (int i = 0; word && i < FORMATS; i++)
        if (strcmp(word, format_names[i]) == 0) {
            *format = (enum format)i;
            return true;
        }
    const char *meant = word ? name_meant(word, format_names, FORMATS) : NULL;
    if (!word)
        return true;
    if (meant)
        *status =
            complain(2, "log export: there is no format '%s'; did you mean '%s'?", word, meant);
    else
        *status = complain(
            2, "log export: there is no format '%s'; it is jsonl, csv, job or machine", word);
    return false;
}

/* ---- CSV (RFC 4180) ------------------------------------------------------------------------ */

static const char csv_head[] = "job,machine,time,sweep,at_degrees,reading_mm,x_mm,y_mm\r\n";

static void add_field(struct buffer *row, const char *text)
{
    bool quote = strpbrk(text, ",\"\r\n") != NULL;
    buffer_add(row, quote ? "\"" : "");
    for (const char *c = text; *c; c++) {
        if (*c == '"')
            buffer_add(row, "\"");
        buffer_add_bytes(row, c, 1);
    }
    buffer_add(row, quote ? "\"" : "");
}

static void add_number(struct buffer *row, double value, bool degrees, double original)
{
    char text[NUMBER_SHOWN];
    number_exact(
        text, value, degrees ? reads_as_degrees : reads_as_number, original, PERPEND_UNIT_MM);
    buffer_add(row, ",");
    buffer_add(row, text);
}

static void add_row(struct buffer *row, const struct log_record *record,
    const struct log_sweep *sweep, const struct log_reading *reading)
{
    char time[LOG_TIME_ISO];
    const struct perpend_reading *now = &reading->reading;
    buffer_addf(row, "%lld,", (long long)record->id);
    add_field(row, record->machine_name);
    buffer_addf(row, ",%s,", log_time_iso(time, &reading->at));
    add_field(row, sweep->name);
    add_number(row, perpend_degrees(now->bearing), true, now->bearing);
    add_number(row, now->value, false, now->value);
    add_number(row, now->x, false, now->x);
    add_number(row, now->y, false, now->y);
    buffer_add(row, "\r\n");
}

static char *record_csv(const struct log_record *record)
{
    struct buffer rows = {0};
    buffer_add(&rows, "");
    for (size_t s = 0; s < record->sweep_count; s++)
        for (size_t i = 0; i < record->sweeps[s].reading_count; i++)
            if (record->sweeps[s].readings[i].counts)
                add_row(&rows, record, &record->sweeps[s], &record->sweeps[s].readings[i]);
    if (!rows.failed && rows.bytes)
        return rows.bytes;
    buffer_finish(&rows);
    return rows.failed ? NULL : calloc(1, 1);
}

/* ---- one job ------------------------------------------------------------------------------- */

static int not_for_solve(const struct log_record *record)
{
    if (!record->readable)
        return complain(2, "job %lld: this perpend cannot read the machine file kept with it: %s",
            (long long)record->id, record->why.text);
    return complain(
        2, "job %lld has no readings yet, so there is nothing to solve", (long long)record->id);
}

static int print_record(const struct log_record *record, enum format format)
{
    char *text = NULL;
    if (format == FORMAT_MACHINE) {
        screen_bytes(record->machine_text, record->machine_length);
        return 0;
    }
    if (format == FORMAT_JOB && (!record->readable || record->job.sweep_count == 0))
        return not_for_solve(record);
    if (format == FORMAT_JOB)
        text = job_file_write(&record->machine, &record->job);
    else
        text = format == FORMAT_CSV ? record_csv(record) : log_record_json(record);
    if (!text)
        return complain_memory();
    screen_text(text);
    if (format == FORMAT_JSONL)
        screen_text("\n");
    free(text);
    return 0;
}

static int export_job(struct log_book *book, int64_t job, enum format format)
{
    struct log_record record;
    struct fault fault = {.status = 0};
    if (!log_load(book, job, &record, &fault))
        return complain_fault(&fault);
    int status = print_record(&record, format);
    log_record_finish(&record);
    return status;
}

/* ---- many ---------------------------------------------------------------------------------- */

static int export_note(const struct log_machine_note *note)
{
    char *line = log_note_json(note);
    if (!line)
        return complain_memory();
    screen_text(line);
    screen_text("\n");
    free(line);
    return 0;
}

/* In order of time, notes on machines between the jobs (JSON alone has a place for them). */
static int export_many(struct log_book *book, const struct log_filter *filter, enum format format)
{
    struct log_line *lines = NULL;
    struct log_machine_note *notes = NULL;
    size_t line_count = 0, note_count = 0, note = 0;
    struct fault fault = {.status = 0};
    int status = 0;
    if (!log_list(book, filter, &lines, &line_count, NULL, &fault) ||
        !log_machine_notes(book, filter, &notes, &note_count, &fault))
        status = complain_fault(&fault);
    if (format != FORMAT_JSONL)
        note = note_count;
    for (size_t i = 0; i <= line_count && status == 0; i++) {
        while (note < note_count && status == 0 &&
               (i == line_count || strcmp(notes[note].note.at.utc, lines[i].started.utc) < 0))
            status = export_note(&notes[note++]);
        if (i < line_count && status == 0)
            status = export_job(book, lines[i].id, format);
    }
    log_list_finish(lines, line_count);
    log_machine_notes_finish(notes, note_count);
    return status;
}

static bool asks_for_many(const struct log_options *options)
{
    return options->all || options->since || options->until || options->last ||
           (options->machine && options->operand_count == 0);
}

static int check_words(const struct log_options *options, enum format format)
{
    bool many = asks_for_many(options);
    if (many && options->operand_count > 0)
        return complain(2, "log export: give the number of one job, or --all, not both");
    if (!many && options->operand_count != 1)
        return complain(2, "log export: give the number of a job, 'last', or --all");
    if (many && (format == FORMAT_JOB || format == FORMAT_MACHINE))
        return complain(
            2, "log export: --format %s is for one job; give its number", format_names[format]);
    return 0;
}

int log_export_part(const struct log_options *options)
{
    enum format format = FORMAT_JSONL;
    struct log_filter filter;
    int64_t job;
    int status = 0;
    if (!format_of(options->format, &format, &status))
        return status;
    if ((status = check_words(options, format)) != 0)
        return status;
    if (!log_command_filter(options, &filter, &status))
        return status;
    struct log_book *book = log_command_open(options, LOG_READ, &status);
    if (!book)
        return status;
    if (asks_for_many(options)) {
        if (format == FORMAT_CSV)
            screen_text(csv_head);
        status = export_many(book, &filter, format);
    } else if (log_command_job(book, options, options->operands[0], &job, &status)) {
        if (format == FORMAT_CSV)
            screen_text(csv_head);
        status = export_job(book, job, format);
    }
    log_close(book);
    return status;
}
