/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Jobs in a line each, and those to take up again. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "log/book.h"

/* The day as it was at the machine; written as in the index job_day. */
#define JOB_DAY "date(started, started_offset || ' minutes')"
#define NOTE_DAY "date(at, at_offset || ' minutes')"

static bool check_filter(
    struct log_book *book, const struct log_filter *filter, int64_t *machine, struct fault *fault)
{
    const char *dates[] = {filter->since, filter->until};
    *machine = 0;
    for (int i = 0; i < 2; i++)
        if (dates[i] && !log_is_date(dates[i]))
            return fault_set(
                fault, 2, "%s: not a date; write it as 2026-05-06, 2026-05 or 2026", dates[i]);
    return !filter->machine || log_machine_known(book, filter->machine, machine, fault);
}

/* Only the conditions that are asked for, so that an index serves each. `table` is job or note. */
static struct log_query filtered(struct log_book *book, const struct log_filter *filter,
    int64_t machine, const char *table, const char *select, const char *order)
{
    char sql[2048];
    const bool jobs = strcmp(table, "job") == 0;
    const char *day = jobs ? JOB_DAY : NOTE_DAY;
    const bool upto = jobs && filter->upto != 0;
    snprintf(sql, sizeof sql, "%s%s%s%s%s%s%s%s%s%s%s%s", select, filter->machine ? " AND " : "",
        filter->machine ? table : "", filter->machine ? ".machine = ?" : "",
        filter->since ? " AND " : "", filter->since ? day : "", filter->since ? " >= ?" : "",
        filter->until ? " AND " : "", filter->until ? day : "", filter->until ? " <= ? || '~'" : "",
        upto ? " AND job.id <= ?" : "", order);
    struct log_query query = log_query_open(book, sql);
    if (filter->machine)
        log_bind_int(&query, machine);
    if (filter->since)
        log_bind_text(&query, filter->since);
    if (filter->until)
        log_bind_text(&query, filter->until);
    if (upto)
        log_bind_int(&query, filter->upto);
    return query;
}

static const char jobs_in_lines[] =
    "SELECT job.id, started, started_offset, ended, ended_offset, ending, machine.name, goal, "
    "coalesce(latest.ordinal, 0), found.ridge, found.lean_right, found.lean_back, latest.ridge, "
    "latest.lean_right, latest.lean_back, latest.verdict, " LOG_UNMEASURED ", "
    "(SELECT count(*) FROM note WHERE note.job = job.id), unit "
    "FROM job JOIN machine ON machine.id = job.machine "
    "LEFT JOIN answer AS found ON found.job = job.id AND found.ordinal = 1 "
    "LEFT JOIN answer AS latest ON latest.job = job.id AND latest.ordinal = "
    "(SELECT max(ordinal) FROM answer WHERE answer.job = job.id) WHERE true";

static struct log_line line_of(struct log_query *query)
{
    struct log_line line = {
        .id = log_column_int(query, 0),
        .started = log_column_time(query, 1),
        .ended = log_column_time(query, 3),
        .ending = log_column_ending(query, 5),
        .machine = log_column_name(query, 6),
        .goal = log_column_real(query, 7),
        .measurements = (size_t)log_column_int(query, 8),
        .found = log_column_real(query, 9),
        .lean_found = {log_column_real(query, 10), log_column_real(query, 11)},
        .left = log_column_real(query, 12),
        .lean_left = {log_column_real(query, 13), log_column_real(query, 14)},
        .verdict = log_column_verdict(query, 15),
        .left_unmeasured = log_column_int(query, 16) != 0,
        .notes = (size_t)log_column_int(query, 17),
    };
    char *unit = log_column_text(query, 18);
    line.unit = unit && strcmp(unit, "in") == 0 ? PERPEND_UNIT_INCH : PERPEND_UNIT_MM;
    free(unit);
    if (line.left_unmeasured)
        line.left = NAN;
    return line;
}

static void turn_round(struct log_line *lines, size_t count)
{
    for (size_t i = 0; i < count / 2; i++) {
        struct log_line line = lines[i];
        lines[i] = lines[count - 1 - i];
        lines[count - 1 - i] = line;
    }
}

static bool read_lines(struct log_book *book, const struct log_filter *filter, int64_t machine,
    struct log_line **lines, size_t *count, struct fault *fault)
{
    char order[64];
    /* + keeps SQLite from running through all jobs in this order where an index has the days */
    snprintf(order, sizeof order, " ORDER BY %sjob.id DESC LIMIT %lld",
        filter->since || filter->until ? "+" : "", filter->last ? (long long)filter->last : -1LL);
    struct log_query query = filtered(book, filter, machine, "job", jobs_in_lines, order);
    while (log_query_row(&query) && log_query_room(&query, lines, *count, sizeof **lines)) {
        (*lines)[(*count)++] = line_of(&query);
    }
    turn_round(*lines, *count);
    return log_query_close(&query, fault);
}

bool log_list(struct log_book *book, const struct log_filter *filter, struct log_line **lines,
    size_t *count, size_t *all, struct fault *fault)
{
    int64_t machine = 0;
    *lines = NULL;
    *count = 0;
    if (!log_begin_read(book, fault))
        return false;
    bool ok = check_filter(book, filter, &machine, fault) &&
              read_lines(book, filter, machine, lines, count, fault);
    if (ok && all) {
        struct log_query query =
            filtered(book, filter, machine, "job", "SELECT count(*) FROM job WHERE true", "");
        *all = log_query_row(&query) ? (size_t)log_column_int(&query, 0) : 0;
        ok = log_query_close(&query, fault);
    }
    ok = log_end(book, ok, fault) && log_still(book, fault);
    if (!ok) {
        log_list_finish(*lines, *count);
        *lines = NULL;
        *count = 0;
    }
    return ok;
}

void log_list_finish(struct log_line *lines, size_t count)
{
    for (size_t i = 0; i < count; i++)
        free(lines[i].machine);
    free(lines);
}

/* ---- notes on machines --------------------------------------------------------------------- */

bool log_machine_notes(struct log_book *book, const struct log_filter *filter,
    struct log_machine_note **notes, size_t *count, struct fault *fault)
{
    int64_t machine = 0;
    *notes = NULL;
    *count = 0;
    if (!check_filter(book, filter, &machine, fault))
        return false;
    struct log_query query = filtered(book, filter, machine, "note",
        "SELECT machine.name, note." LOG_NOTE_COLUMNS " FROM note JOIN machine ON machine.id = "
        "note.machine WHERE job IS NULL",
        filter->from ? " AND at >= ? ORDER BY at, note.id" : " ORDER BY at, note.id");
    if (filter->from)
        log_bind_text(&query, filter->from);
    while (log_query_row(&query) && log_query_room(&query, notes, *count, sizeof **notes)) {
        (*notes)[(*count)++] = (struct log_machine_note){
            .machine = log_column_name(&query, 0),
            .note = log_note_read(&query, 1),
        };
    }
    if (log_query_close(&query, fault) && log_still(book, fault))
        return true;
    log_machine_notes_finish(*notes, *count);
    *notes = NULL;
    *count = 0;
    return false;
}

void log_machine_notes_finish(struct log_machine_note *notes, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        free(notes[i].machine);
        free(notes[i].note.text);
    }
    free(notes);
}

bool log_last_job(struct log_book *book, const char *machine, int64_t *job, struct fault *fault)
{
    int64_t id = 0;
    *job = 0;
    if (!check_filter(book, &(struct log_filter){.machine = machine}, &id, fault))
        return false;
    struct log_query query = log_query_open(
        book, machine ? "SELECT max(id) FROM job WHERE machine = ?" : "SELECT max(id) FROM job");
    if (machine)
        log_bind_int(&query, id);
    if (log_query_row(&query))
        *job = log_column_int(&query, 0);
    return log_query_close(&query, fault) && log_still(book, fault);
}

/* ---- taking up again ----------------------------------------------------------------------- */

bool log_unfinished(struct log_book *book, const char *machine, int64_t *job, struct fault *fault)
{
    struct log_query query = log_query_open(book,
        "SELECT job.id FROM job JOIN machine ON machine.id = job.machine "
        "WHERE ended IS NULL AND (?1 IS NULL OR machine.name = ?1) AND EXISTS (SELECT 1 FROM sweep "
        "JOIN reading ON reading.sweep = sweep.id WHERE sweep.job = job.id) "
        "ORDER BY job.id DESC");
    bool ok = true;
    *job = 0;
    log_bind_text(&query, machine);
    while (ok && *job == 0 && log_query_row(&query)) {
        int64_t candidate = log_column_int(&query, 0);
        bool held = false;
        ok = log_is_held(book, candidate, &held, fault);
        if (ok && !held)
            *job = candidate;
    }
    return log_query_close(&query, fault) && ok;
}

bool log_last_machine(struct log_book *book, char **path, struct fault *fault)
{
    struct log_query query = log_query_open(
        book, "SELECT path FROM job WHERE path IS NOT NULL ORDER BY id DESC LIMIT 1");
    *path = log_query_row(&query) ? log_column_text(&query, 0) : NULL;
    return log_query_close(&query, fault);
}
