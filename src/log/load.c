/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One job with everything in it, as it was recorded. record.c makes of it what can be solved. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/mount.h>

#include "log/book.h"

static bool load_head(
    struct log_book *book, int64_t job, struct log_record *record, struct fault *fault)
{
    struct log_query query = log_ask(book,
        "SELECT job.id, " LOG_TIME("started") ", " LOG_TIME(
            "ended") ", ending, "
                     "coalesce(verdict, 'no goal'), machine.name, path, text, length(CAST(text AS "
                     "BLOB)), goal "
                     "FROM job JOIN machine ON machine.id = job.machine "
                     "JOIN machine_file ON machine_file.id = job.machine_file WHERE job.id = ?",
        LOG_WITH(log_whole(job)));
    if (log_row(&query)) {
        record->id = log_column_whole(&query, 0);
        record->started = log_column_time(&query, 1);
        record->ended = log_column_time(&query, 4);
        record->ending = (enum log_ending)log_column_word(&query, 7, &log_endings);
        record->verdict = (enum perpend_verdict)log_column_word(&query, 8, &log_verdicts);
        record->machine_name = log_column_name(&query, 9);
        record->machine_path = log_column_text(&query, 10);
        record->machine_text = log_column_name(&query, 11);
        record->machine_length = (size_t)log_column_whole(&query, 12);
        record->goal = log_column_real(&query, 13);
    }
    return log_done(&query, fault) &&
           (record->id != 0 || log_missing_fault(book, "job", job, fault));
}

static struct perpend_reading reading_at(struct log_query *query, int column)
{
    return (struct perpend_reading){
        .bearing = log_column_real(query, column),
        .value = log_column_real(query, column + 1),
        .x = log_column_real(query, column + 2),
        .y = log_column_real(query, column + 3),
    };
}

static bool load_corrections(
    struct log_book *book, struct log_reading *reading, struct fault *fault)
{
    struct log_correction *correction;
    struct log_query query = log_ask(book,
        "SELECT withdraws, bearing, value, x, y, typed, why, " LOG_TIME(
            "at") " FROM correction "
                  "WHERE reading = ? ORDER BY id",
        LOG_WITH(log_whole(reading->id)));
    while ((correction = log_next(
                &query, &reading->corrections, &reading->correction_count, sizeof *correction))) {
        correction->withdraws = log_column_whole(&query, 0) != 0;
        correction->reading = reading_at(&query, 1);
        correction->typed = log_column_text(&query, 5);
        correction->why = log_column_text(&query, 6);
        correction->at = log_column_time(&query, 7);
        reading->counts = !correction->withdraws;
        if (!correction->withdraws)
            reading->reading = correction->reading;
    }
    return log_done(&query, fault);
}

static bool load_readings(struct log_book *book, struct log_sweep *sweep, struct fault *fault)
{
    struct log_reading *reading;
    struct log_query query = log_ask(book,
        "SELECT id, bearing, value, x, y, typed, " LOG_TIME("at") " FROM reading WHERE sweep = ? "
                                                                  "ORDER BY id",
        LOG_WITH(log_whole(sweep->id)));
    while ((reading = log_next(&query, &sweep->readings, &sweep->reading_count, sizeof *reading))) {
        reading->id = log_column_whole(&query, 0);
        reading->first = reading->reading = reading_at(&query, 1);
        reading->typed = log_column_text(&query, 5);
        reading->at = log_column_time(&query, 6);
        reading->counts = true;
    }
    bool ok = log_done(&query, fault);
    for (size_t i = 0; i < sweep->reading_count && ok; i++)
        ok = load_corrections(book, &sweep->readings[i], fault);
    return ok;
}

static enum perpend_move column_move(struct log_query *query, int column)
{
    char *name = log_column_name(query, column);
    const struct perpend_move_row *row = name ? perpend_move_named(name) : NULL;
    free(name);
    if (!row)
        log_damaged(query);
    return row ? row->move : PERPEND_MOVE_SHIM;
}

static bool load_did_entries(struct log_book *book, struct log_sweep *sweep, struct fault *fault)
{
    struct log_did_entry *entry;
    struct log_query query = log_ask(book,
        "SELECT joint, bolt, move, amount, shift_right, shift_back, shift_up FROM did_entry "
        "WHERE did = (SELECT max(id) FROM did WHERE sweep = ?) ORDER BY ordinal",
        LOG_WITH(log_whole(sweep->id)));
    while ((entry = log_next(&query, &sweep->did, &sweep->did_count, sizeof *entry))) {
        entry->joint = log_column_name(&query, 0);
        entry->bolt = log_column_name(&query, 1);
        entry->move = column_move(&query, 2);
        entry->amount.value = log_column_number(&query, 3);
        entry->amount.shift.right = log_column_number(&query, 4);
        entry->amount.shift.back = log_column_number(&query, 5);
        entry->amount.shift.up = log_column_number(&query, 6);
    }
    return log_done(&query, fault);
}

static bool load_did(struct log_book *book, struct log_sweep *sweep, struct fault *fault)
{
    struct log_query query =
        log_ask(book, "SELECT kind, " LOG_TIME("at") " FROM did WHERE sweep = ? ORDER BY id DESC",
            LOG_WITH(log_whole(sweep->id)));
    if (log_row(&query)) {
        sweep->did_kind = (enum perpend_did_kind)log_column_word(&query, 0, &log_did_kinds);
        sweep->did_at = log_column_time(&query, 1);
    }
    return log_done(&query, fault) && load_did_entries(book, sweep, fault);
}

static bool load_sweeps(struct log_book *book, struct log_record *record, struct fault *fault)
{
    struct log_sweep *sweep;
    struct log_query query = log_ask(book,
        "SELECT id, name, x, y, " LOG_TIME("at") " FROM sweep WHERE job = ? ORDER BY id",
        LOG_WITH(log_whole(record->id)));
    while ((sweep = log_next(&query, &record->sweeps, &record->sweep_count, sizeof *sweep))) {
        sweep->id = log_column_whole(&query, 0);
        sweep->name = log_column_name(&query, 1);
        sweep->x = log_column_number(&query, 2);
        sweep->y = log_column_number(&query, 3);
        sweep->at = log_column_time(&query, 4);
        sweep->in_job = LOG_NO_SWEEP;
    }
    bool ok = log_done(&query, fault);
    for (size_t i = 0; i < record->sweep_count && ok; i++)
        ok = load_readings(book, &record->sweeps[i], fault) &&
             load_did(book, &record->sweeps[i], fault);
    return ok;
}

struct log_answer log_answer_read(struct log_query *query, int column)
{
    struct log_answer answer = {
        .first_sweep = log_column_whole(query, column),
        .last_sweep = log_column_whole(query, column + 1),
        .readings = (size_t)log_column_whole(query, column + 2),
        .lean = {log_column_number(query, column + 3), log_column_number(query, column + 4)},
        .covariance = {log_column_number(query, column + 5), log_column_number(query, column + 6),
            log_column_number(query, column + 7)},
        .includes_bed = log_column_whole(query, column + 8) != 0,
        .bed = {log_column_real(query, column + 9), log_column_real(query, column + 10)},
        .ridge = log_column_number(query, column + 11),
        .low = log_column_number(query, column + 12),
        .high = log_column_number(query, column + 13),
        .chance = log_column_real(query, column + 14),
        .verdict = (enum perpend_verdict)log_column_word(query, column + 15, &log_verdicts),
    };
    answer.bed_separated = !isnan(answer.bed.right) && !isnan(answer.bed.back);
    if (!answer.bed_separated)
        answer.bed = (struct perpend_slope){0, 0};
    return answer;
}

static bool load_answers(struct log_book *book, struct log_record *record, struct fault *fault)
{
    struct log_answer *answer;
    struct log_query query = log_ask(book,
        "SELECT program, " LOG_TIME("answered") ", " LOG_ANSWER_COLUMNS
                                                " FROM answer WHERE job = ? ORDER BY ordinal",
        LOG_WITH(log_whole(record->id)));
    while ((answer = log_next(&query, &record->answers, &record->answer_count, sizeof *answer))) {
        *answer = log_answer_read(&query, 4);
        answer->program = log_column_text(&query, 0);
        answer->at = log_column_time(&query, 1);
    }
    return log_done(&query, fault);
}

struct log_note log_note_read(struct log_query *query, int column)
{
    return (struct log_note){
        .id = log_column_whole(query, column),
        .kind = (enum log_note_kind)log_column_word(query, column + 1, &log_note_kinds),
        .job = log_column_whole(query, column + 2),
        .sweep = log_column_whole(query, column + 3),
        .text = log_column_name(query, column + 4),
        .at = log_column_time(query, column + 5),
    };
}

static bool load_notes(struct log_book *book, struct log_record *record, struct fault *fault)
{
    struct log_note *note;
    struct log_query query =
        log_ask(book, "SELECT " LOG_NOTE_COLUMNS " FROM note WHERE job = ? ORDER BY id",
            LOG_WITH(log_whole(record->id)));
    while ((note = log_next(&query, &record->notes, &record->note_count, sizeof *note)))
        *note = log_note_read(&query, 0);
    return log_done(&query, fault);
}

bool log_load(struct log_book *book, int64_t job, struct log_record *record, struct fault *fault)
{
    memset(record, 0, sizeof *record);
    perpend_machine_init(&record->machine);
    if (!log_begin_read(book, fault)) /* all of it as it was at one moment */
        return false;
    bool ok = load_head(book, job, record, fault) && load_sweeps(book, record, fault) &&
              load_answers(book, record, fault) && load_notes(book, record, fault);
    ok = log_end(book, ok, fault) && log_record_make(record, fault);
    if (!ok)
        log_record_finish(record);
    return ok;
}
