/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One job with everything in it, as it was recorded. record.c makes of it what can be solved. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/mount.h>

#include "log/book.h"
#include "log/record.h"

static bool load_head(
    struct log_book *book, int64_t job, struct log_record *record, struct fault *fault)
{
    bool found = false;
    struct log_query query = log_query_open(book,
        "SELECT started, started_offset, ended, ended_offset, ending, verdict, machine.name, path, "
        "machine_file.text, goal FROM job JOIN machine ON machine.id = job.machine "
        "JOIN machine_file ON machine_file.id = job.machine_file WHERE job.id = ?");
    log_bind_int(&query, job);
    if (log_query_row(&query)) {
        found = true;
        record->id = job;
        record->started = log_column_time(&query, 0);
        record->ended = log_column_time(&query, 2);
        record->ending = log_column_ending(&query, 4);
        record->verdict = log_column_verdict(&query, 5);
        record->machine_name = log_column_name(&query, 6);
        record->machine_path = log_column_text(&query, 7);
        record->machine_text = log_column_bytes(&query, 8, &record->machine_length);
        record->goal = log_column_real(&query, 9);
        if (!record->machine_text)
            log_query_damaged(&query);
    }
    if (!log_query_close(&query, fault))
        return false;
    return found || log_missing_fault(book, "job", job, fault);
}

static struct perpend_reading reading_at(struct log_query *query, int column)
{
    return (struct perpend_reading){
        .bearing = log_column_bearing(query, column),
        .value = log_column_real(query, column + 1),
        .x = log_column_real(query, column + 2),
        .y = log_column_real(query, column + 3),
    };
}

static bool load_corrections(
    struct log_book *book, struct log_reading *reading, struct fault *fault)
{
    struct log_query query = log_query_open(book,
        "SELECT at, at_offset, withdraws, bearing, value, x, y, typed, why FROM correction "
        "WHERE reading = ? ORDER BY id");
    log_bind_int(&query, reading->id);
    while (log_query_row(&query) && log_query_room(&query, &reading->corrections,
                                        reading->correction_count, sizeof *reading->corrections)) {
        struct log_correction *correction = &reading->corrections[reading->correction_count++];
        *correction = (struct log_correction){
            .at = log_column_time(&query, 0),
            .withdraws = log_column_int(&query, 2) != 0,
            .reading = reading_at(&query, 3),
            .typed = log_column_text(&query, 7),
            .why = log_column_text(&query, 8),
        };
        reading->counts = !correction->withdraws;
        if (!correction->withdraws)
            reading->reading = correction->reading;
    }
    return log_query_close(&query, fault);
}

static bool load_readings(struct log_book *book, struct log_sweep *sweep, struct fault *fault)
{
    struct log_query query = log_query_open(book,
        "SELECT id, at, at_offset, bearing, value, x, y, typed FROM reading WHERE sweep = ? "
        "ORDER BY id");
    log_bind_int(&query, sweep->id);
    while (log_query_row(&query) && log_query_room(&query, &sweep->readings, sweep->reading_count,
                                        sizeof *sweep->readings)) {
        struct perpend_reading first = reading_at(&query, 3);
        sweep->readings[sweep->reading_count++] = (struct log_reading){
            .id = log_column_int(&query, 0),
            .at = log_column_time(&query, 1),
            .first = first,
            .reading = first,
            .counts = true,
            .typed = log_column_text(&query, 7),
        };
    }
    bool ok = log_query_close(&query, fault);
    for (size_t i = 0; i < sweep->reading_count && ok; i++)
        ok = load_corrections(book, &sweep->readings[i], fault);
    return ok;
}

static enum perpend_move column_move(struct log_query *query, int column)
{
    const char *word = log_column_word(query, column);
    const struct perpend_move_row *row = word ? perpend_move_named(word) : NULL;
    if (row)
        return row->move;
    log_query_damaged(query);
    return PERPEND_MOVE_SHIM;
}

static enum perpend_did_kind column_did_kind(struct log_query *query, int column)
{
    const char *word = log_column_word(query, column);
    for (int k = PERPEND_DID_PLAN; k <= PERPEND_DID_LIST && word; k++)
        if (strcmp(word, log_did_word((enum perpend_did_kind)k)) == 0)
            return (enum perpend_did_kind)k;
    log_query_damaged(query);
    return PERPEND_DID_UNSTATED;
}

static bool load_did_entries(
    struct log_book *book, int64_t did, struct log_sweep *sweep, struct fault *fault)
{
    struct log_query query = log_query_open(book,
        "SELECT joint, bolt, move, shim, slide_right, slide_back, slide_up, turns FROM did_entry "
        "WHERE did = ? ORDER BY ordinal");
    log_bind_int(&query, did);
    while (log_query_row(&query) &&
           log_query_room(&query, &sweep->did, sweep->did_count, sizeof *sweep->did)) {
        sweep->did[sweep->did_count++] = (struct log_did_entry){
            .joint = log_column_name(&query, 0),
            .bolt = log_column_name(&query, 1),
            .move = column_move(&query, 2),
            /* the one that is not its move's is 0 */
            .amount = {log_column_number(&query, 3) + log_column_number(&query, 7),
                {log_column_number(&query, 4), log_column_number(&query, 5),
                    log_column_number(&query, 6)}},
        };
    }
    return log_query_close(&query, fault);
}

static bool load_did(struct log_book *book, struct log_sweep *sweep, struct fault *fault)
{
    int64_t did = 0;
    struct log_query query = log_query_open(
        book, "SELECT id, kind, at, at_offset FROM did WHERE sweep = ? ORDER BY id DESC LIMIT 1");
    log_bind_int(&query, sweep->id);
    if (log_query_row(&query)) {
        did = log_column_int(&query, 0);
        sweep->did_kind = column_did_kind(&query, 1);
        sweep->did_at = log_column_time(&query, 2);
    }
    if (!log_query_close(&query, fault))
        return false;
    return did == 0 || load_did_entries(book, did, sweep, fault);
}

static bool load_sweeps(struct log_book *book, struct log_record *record, struct fault *fault)
{
    struct log_query query = log_query_open(
        book, "SELECT id, at, at_offset, name, x, y FROM sweep WHERE job = ? ORDER BY id");
    log_bind_int(&query, record->id);
    while (log_query_row(&query) &&
           log_query_room(&query, &record->sweeps, record->sweep_count, sizeof *record->sweeps)) {
        record->sweeps[record->sweep_count++] = (struct log_sweep){
            .id = log_column_int(&query, 0),
            .at = log_column_time(&query, 1),
            .name = log_column_name(&query, 3),
            .x = log_column_number(&query, 4),
            .y = log_column_number(&query, 5),
            .in_job = LOG_NO_SWEEP,
        };
    }
    bool ok = log_query_close(&query, fault);
    for (size_t i = 0; i < record->sweep_count && ok; i++)
        ok = load_readings(book, &record->sweeps[i], fault) &&
             load_did(book, &record->sweeps[i], fault);
    return ok;
}

static bool load_answers(struct log_book *book, struct log_record *record, struct fault *fault)
{
    struct log_query query = log_query_open(
        book, "SELECT " LOG_ANSWER_COLUMNS " FROM answer WHERE job = ? ORDER BY ordinal");
    log_bind_int(&query, record->id);
    while (log_query_row(&query) && log_query_room(&query, &record->answers, record->answer_count,
                                        sizeof *record->answers)) {
        record->answers[record->answer_count++] = log_answer_read(&query, 0);
    }
    return log_query_close(&query, fault);
}

static bool load_notes(struct log_book *book, struct log_record *record, struct fault *fault)
{
    struct log_query query =
        log_query_open(book, "SELECT " LOG_NOTE_COLUMNS " FROM note WHERE job = ? ORDER BY id");
    log_bind_int(&query, record->id);
    while (log_query_row(&query) &&
           log_query_room(&query, &record->notes, record->note_count, sizeof *record->notes)) {
        record->notes[record->note_count++] = log_note_read(&query, 0);
    }
    return log_query_close(&query, fault);
}

bool log_load(struct log_book *book, int64_t job, struct log_record *record, struct fault *fault)
{
    memset(record, 0, sizeof *record);
    perpend_machine_init(&record->machine);
    if (!log_begin_read(book, fault)) /* all of it as it was at one moment */
        return false;
    bool ok = load_head(book, job, record, fault) && load_sweeps(book, record, fault) &&
              load_answers(book, record, fault) && load_notes(book, record, fault);
    ok = log_end(book, ok, fault) && log_still(book, fault) && log_record_make(record, fault);
    if (!ok)
        log_record_finish(record);
    return ok;
}
