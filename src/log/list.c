/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Jobs in a line each, and notes on machines. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "log/book.h"

/* What a filter leaves of `job` or `note`: days from the first to the last that begin as the dates do. */
#define FILTER                                                                                     \
    "(?1 IS NULL OR machine = ?1) AND day BETWEEN coalesce(?2, '') AND coalesce(?3, '') || '~'"
#define FILTER_VALUES(filter, machine)                                                             \
    (machine) ? log_whole(machine) : log_text(NULL), log_text((filter)->since),                    \
        log_text((filter)->until)
#define JOBS "FROM job WHERE " FILTER " AND (?4 = 0 OR id <= ?4)"

/* A machine that is not in the log, or a date that is none, is a fault. */
static bool check_filter(
    struct log_book *book, const struct log_filter *filter, int64_t *machine, struct fault *fault)
{
    const char *dates[] = {filter->since, filter->until};
    int64_t is_date = 1;
    for (int i = 0; i < 2; i++) {
        /* the days of a month, and the months of a year, begin with it; there is no 30 February */
        if (dates[i] &&
            !log_get(book,
                "SELECT length(?1) IN (4, 7, 10) AND ?1 GLOB '[0-9]*' AND substr(date("
                "?1 || substr('0000-01-01', length(?1) + 1), '+0 days'), 1, length(?1)) IS ?1",
                LOG_WITH(log_text(dates[i])), &is_date, fault))
            return false;
        if (!is_date)
            return fault_set(
                fault, 2, "%s: not a date; write it as 2026-05-06, 2026-05 or 2026", dates[i]);
    }
    *machine = 0;
    return !filter->machine || (log_get(book, "SELECT id FROM machine WHERE name = ?",
                                    LOG_WITH(log_text(filter->machine)), machine, fault) &&
                                   (*machine != 0 || log_no_machine(book, filter->machine, fault)));
}

static const char jobs_in_lines[] =
    "WITH picked AS (SELECT id " JOBS " ORDER BY id DESC LIMIT ?5) "
    "SELECT job.id, ending, machine.name, goal, coalesce(latest.ordinal, 0), found.ridge, "
    "found.lean_right, found.lean_back, latest.ridge, latest.lean_right, latest.lean_back, "
    "coalesce(latest.verdict, 'no goal'), " LOG_UNMEASURED ", "
    "(SELECT count(*) FROM note WHERE note.job = job.id), unit = 'in', " LOG_TIME(
        "started") ", " LOG_TIME("ended") " FROM picked JOIN job USING (id) JOIN machine ON "
                                          "machine.id = job.machine "
                                          "LEFT JOIN answer AS found ON found.job = job.id AND "
                                          "found.ordinal = 1 "
                                          "LEFT JOIN answer AS latest ON latest.job = job.id AND "
                                          "latest.ordinal = "
                                          "(SELECT max(ordinal) FROM answer WHERE answer.job = "
                                          "job.id) ORDER BY job.id";

static void read_line(struct log_query *query, struct log_line *line)
{
    line->id = log_column_whole(query, 0);
    line->ending = (enum log_ending)log_column_word(query, 1, &log_endings);
    line->machine = log_column_name(query, 2);
    line->goal = log_column_real(query, 3);
    line->measurements = (size_t)log_column_whole(query, 4);
    line->found = log_column_real(query, 5);
    line->lean_found.right = log_column_real(query, 6);
    line->lean_found.back = log_column_real(query, 7);
    line->left = log_column_real(query, 8);
    line->lean_left.right = log_column_real(query, 9);
    line->lean_left.back = log_column_real(query, 10);
    line->verdict = (enum perpend_verdict)log_column_word(query, 11, &log_verdicts);
    line->left_unmeasured = log_column_whole(query, 12) != 0;
    line->notes = (size_t)log_column_whole(query, 13);
    line->unit = log_column_whole(query, 14) ? PERPEND_UNIT_INCH : PERPEND_UNIT_MM;
    line->started = log_column_time(query, 15);
    line->ended = log_column_time(query, 18);
    if (line->left_unmeasured)
        line->left = NAN;
}

static bool read_lines(struct log_book *book, const struct log_filter *filter, int64_t machine,
    struct log_line **lines, size_t *count, struct fault *fault)
{
    struct log_line *line;
    struct log_query query = log_ask(book, jobs_in_lines,
        LOG_WITH(FILTER_VALUES(filter, machine), log_whole(filter->upto),
            log_whole(filter->last ? (int64_t)filter->last : -1)));
    while ((line = log_next(&query, lines, count, sizeof *line)))
        read_line(&query, line);
    return log_done(&query, fault);
}

bool log_list(struct log_book *book, const struct log_filter *filter, struct log_line **lines,
    size_t *count, size_t *all, struct fault *fault)
{
    int64_t machine = 0, number = 0;
    *lines = NULL;
    *count = 0;
    if (!log_begin_read(book, fault))
        return false;
    bool ok = check_filter(book, filter, &machine, fault) &&
              read_lines(book, filter, machine, lines, count, fault);
    if (ok && all) {
        /* without a filter SQLite counts them by an index, without a look at any */
        bool any = filter->machine || filter->since || filter->until || filter->upto;
        ok = log_get(book, any ? "SELECT count(*) " JOBS : "SELECT count(*) FROM job",
            any ? LOG_WITH(FILTER_VALUES(filter, machine), log_whole(filter->upto)) : NULL, &number,
            fault);
        *all = (size_t)number;
    }
    ok = log_end(book, ok, fault);
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

bool log_machine_notes(struct log_book *book, const struct log_filter *filter,
    struct log_machine_note **notes, size_t *count, struct fault *fault)
{
    int64_t machine = 0;
    struct log_machine_note *note;
    *notes = NULL;
    *count = 0;
    if (!check_filter(book, filter, &machine, fault))
        return false;
    struct log_query query = log_ask(book,
        "SELECT (SELECT name FROM machine WHERE id = note.machine), " LOG_NOTE_COLUMNS
        " FROM note WHERE job IS NULL AND " FILTER " AND (?4 IS NULL OR at >= ?4) ORDER BY at, id",
        LOG_WITH(FILTER_VALUES(filter, machine), log_text(filter->from)));
    while ((note = log_next(&query, notes, count, sizeof *note))) {
        note->machine = log_column_name(&query, 0);
        note->note = log_note_read(&query, 1);
    }
    if (log_done(&query, fault))
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
    return check_filter(book, &(struct log_filter){.machine = machine}, &id, fault) &&
           log_get(book,
               id ? "SELECT max(id) FROM job WHERE machine = ?" : "SELECT max(id) FROM job",
               id ? LOG_WITH(log_whole(id)) : NULL, job, fault);
}

bool log_last_machine(struct log_book *book, char **path, struct fault *fault)
{
    struct log_query query =
        log_ask(book, "SELECT path FROM job WHERE path IS NOT NULL ORDER BY id DESC", NULL);
    *path = log_row(&query) ? log_column_text(&query, 0) : NULL;
    return log_done(&query, fault);
}
