/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One job with everything in it, as it was recorded. record.c makes of it what can be solved. */
#include <math.h>
#include <string.h>

#include "log/book.h"

static bool load_head(
    struct log_book *book, int64_t job, struct log_record *record, struct fault *fault)
{
    struct log_rows rows = {.pool = &record->pool};
    if (!log_read(
            book, &log_jobs, "FROM whole WHERE id = ?", LOG_WITH(log_whole(job)), &rows, fault))
        return false;
    if (rows.count == 0)
        return log_missing_fault(book, "job", job, fault);
    struct log_pool pool = record->pool;
    *record = *(const struct log_record *)rows.array;
    record->pool = pool;
    return true;
}

/* What belongs to the job, oldest first. */
static bool load_rows(struct log_book *book, const struct log_table *table, const char *from,
    struct log_record *record, struct log_rows *rows, struct fault *fault)
{
    rows->pool = &record->pool;
    return log_read(book, table, from, LOG_WITH(log_whole(record->id)), rows, fault);
}

static void take_corrections(struct log_reading *reading, const struct log_rows *rows, size_t *next)
{
    struct log_correction *all = rows->array;
    reading->reading = reading->first;
    reading->counts = true;
    for (; *next < rows->count && all[*next].of == reading->id; ++*next) {
        if (reading->correction_count++ == 0)
            reading->corrections = &all[*next];
        reading->counts = !all[*next].withdraws;
        if (reading->counts)
            reading->reading = all[*next].reading;
    }
}

static bool load_sweeps(struct log_book *book, struct log_record *record, struct fault *fault)
{
    struct log_rows sweeps, readings, corrections, entries;
    size_t reading = 0, correction = 0, entry = 0;
    if (!load_rows(
            book, &log_sweeps, "FROM swept WHERE job = ? ORDER BY id", record, &sweeps, fault) ||
        !load_rows(book, &log_readings,
            "FROM reading WHERE sweep IN (SELECT id FROM sweep WHERE job = ?) ORDER BY sweep, cut, "
            "id",
            record, &readings, fault) ||
        !load_rows(book, &log_corrections,
            "FROM corrected WHERE job = ? ORDER BY sweep, cut, reading, id", record, &corrections,
            fault) ||
        !load_rows(book, &log_did_entries, "FROM done_entry WHERE job = ? ORDER BY sweep, ordinal",
            record, &entries, fault))
        return false;
    record->sweeps = sweeps.array;
    record->sweep_count = sweeps.count;
    struct log_reading *all = readings.array;
    struct log_did_entry *did = entries.array;
    for (size_t i = 0; i < sweeps.count; i++) {
        struct log_sweep *sweep = &record->sweeps[i];
        sweep->in_job = LOG_NO_SWEEP;
        for (; reading < readings.count && all[reading].sweep == sweep->id; reading++) {
            take_corrections(&all[reading], &corrections, &correction);
            if (sweep->reading_count + sweep->cut_count == 0)
                sweep->readings = &all[reading];
            sweep->reading_count += all[reading].cut == 0;
            sweep->cut_count += all[reading].cut != 0;
        }
        if (sweep->cut_count > 0)
            sweep->cuts = sweep->readings + sweep->reading_count;
        for (; entry < entries.count && did[entry].sweep == sweep->id; entry++)
            if (sweep->did_count++ == 0)
                sweep->did = &did[entry];
    }
    return true;
}

static bool load_answers(struct log_book *book, struct log_record *record, struct fault *fault)
{
    struct log_rows answers, notes;
    if (!load_rows(book, &log_answers, "FROM answered WHERE job = ? ORDER BY ordinal", record,
            &answers, fault) ||
        !load_rows(book, &log_notes, "FROM note WHERE job = ? ORDER BY id", record, &notes, fault))
        return false;
    record->answers = answers.array;
    record->answer_count = answers.count;
    record->notes = notes.array;
    record->note_count = notes.count;
    return true;
}

bool log_load(struct log_book *book, int64_t job, struct log_record *record, struct fault *fault)
{
    memset(record, 0, sizeof *record);
    if (!log_begin_read(book, fault)) /* all of it as it was at one moment */
        return false;
    bool ok = load_head(book, job, record, fault);
    perpend_machine_init(&record->machine);
    ok = ok && load_sweeps(book, record, fault) && load_answers(book, record, fault);
    ok = log_end(book, ok, fault) && log_record_make(record, fault);
    if (!ok)
        log_record_finish(record);
    return ok;
}
