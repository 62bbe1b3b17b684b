/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job that stands in two files, taken in once. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "files/moment.h"
#include "log/book.h"

/* When a moment was; where no zone is stated that of this computer, without a time of day at
   midnight. */
static bool time_of(struct log_book *book, const struct perpend_moment *moment,
    struct log_time *time, struct fault *fault)
{
    static const struct log_table times = {"moment", sizeof *time, {{"at", HOLDS_TIME, .at = 0}}};
    char wall[MOMENT_TEXT], shift[40] = "utc";
    struct log_pool pool = {0};
    struct log_rows rows = {.pool = &pool};
    *time = (struct log_time){.utc = ""};
    if (moment->year == 0)
        return true;
    const struct perpend_moment here = {.year = moment->year,
        .month = moment->month,
        .day = moment->day,
        .timed = true,
        .hour = moment->hour,
        .minute = moment->minute};
    if (moment->zoned)
        snprintf(shift, sizeof shift, "%d minutes", -moment->zone);
    bool ok = log_read(book, &times,
        "FROM (SELECT strftime('%Y-%m-%dT%H:%M:%SZ', ?1, ?2) AS at, (strftime('%s', ?1) - "
        "strftime('%s', ?1, ?2)) / 60 AS at_offset)",
        LOG_WITH(log_text(moment_text(wall, &here)), log_text(shift)), &rows, fault);
    if (ok && rows.count > 0)
        *time = *(const struct log_time *)rows.array;
    log_pool_finish(&pool);
    return ok;
}

static bool add_sweep(struct log_book *book, const struct log_sweep *row,
    const struct perpend_sweep *from, const struct perpend_mount *mount, struct fault *fault)
{
    int64_t sweep = 0;
    bool ok = log_add(book, &log_sweeps, row, &sweep, fault);
    for (size_t i = 0; i < from->reading_count && ok; i++) {
        const struct log_reading reading = {
            .sweep = sweep, .first = from->readings[i], .at = row->at};
        ok = log_add(book, &log_readings, &reading, NULL, fault);
    }
    for (size_t i = 0; i < from->cut_count && ok; i++)
        ok = log_cut_accept(book, sweep, &from->cuts[i], NULL, NULL, fault);
    return ok && log_did(book, sweep, mount, from, fault);
}

static bool add_all(struct log_book *book, const struct log_start *start,
    const struct log_source *source, int64_t *id, struct fault *fault)
{
    const struct perpend_job *job = start->head;
    bool ok = log_job_add(book, start, source, id, fault);
    for (size_t i = 0; i < job->sweep_count && ok; i++) {
        const struct perpend_sweep *sweep = &job->sweeps[i];
        char date[MOMENT_TEXT];
        moment_text(date, &sweep->date);
        struct log_sweep row = {
            .job = *id, .name = sweep->name, .x = sweep->x, .y = sweep->y, .at = source->started};
        if (sweep->date.year != 0) {
            row.date = date;
            ok = time_of(book, &sweep->date, &row.at, fault);
        }
        ok = ok && add_sweep(book, &row, sweep, &start->machine->mount, fault);
    }
    return ok && log_answers_renew(book, *id, fault);
}

/* The job that these files say, if it is in the log: it was taken in from them, or they came from it. */
static bool find(struct log_book *book, const char *name, const char *text,
    const struct log_source *source, int64_t *id, struct fault *fault)
{
    struct log_record record;
    int64_t after = 0;
    bool ok = log_get(book, "SELECT id FROM job WHERE source = ?",
        LOG_WITH(log_whole(source->digest)), id, fault);
    while (ok && *id == 0) {
        ok = log_get(book,
            "SELECT min(id) FROM job WHERE machine = " LOG_MACHINE(
                "?1") " AND id > ?2 AND source IS NULL AND substr(started, 1, 16) = substr(?3, 1, "
                      "16)",
            LOG_WITH(log_text(name), log_whole(after), log_text(source->started.utc)), &after,
            fault);
        if (after == 0)
            return ok;
        ok = log_load(book, after, &record, fault);
        char *own = ok && record.readable ? job_file_write(&record.machine, &record.job) : NULL;
        if (own && strcmp(own, text) == 0)
            *id = after;
        free(own);
        log_record_finish(&record);
    }
    return ok;
}

bool log_import(struct log_book *book, const struct log_start *given, const struct perpend_job *job,
    int64_t *id, bool *known, struct fault *fault)
{
    struct log_start start = *given;
    struct log_source source;
    start.head = job;
    char *name = log_machine_name(start.machine, start.path);
    char *text = job_file_write(start.machine, job);
    bool ok = false;
    if (name == NULL || text == NULL)
        log_memory_fault(fault);
    else if (log_begin(book, fault)) {
        source.digest = log_text_digest(name, text);
        ok = time_of(book, &job->date, &source.started, fault) &&
             find(book, name, text, &source, id, fault);
        *known = *id != 0;
        if (ok && !*known)
            ok = add_all(book, &start, &source, id, fault) &&
                 log_run(book,
                     "UPDATE job SET ended = started, ended_offset = started_offset, ending = "
                     "'done', "
                     "verdict = coalesce((SELECT verdict FROM answer WHERE job = ?1 ORDER BY "
                     "ordinal "
                     "DESC LIMIT 1), 'no goal'), digest = NULL WHERE id = ?1",
                     LOG_WITH(log_whole(*id)), fault);
        ok = log_end(book, ok, fault);
    }
    free(name);
    free(text);
    return ok;
}
