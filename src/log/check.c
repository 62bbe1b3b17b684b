/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is the file sound, and do the answers follow from the readings? */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>
#include <perpend/units.h>

#include "log/book.h"

/* How far a stored answer may be from one worked out anew by another compiler or mathematical
   library: relative to its size, and for the interval and the chance, whose points may count one more or less. */
#define SAME_RELATIVE 1e-9
#define SAME_POINTS 1e-4

struct inquiry {
    struct log_book *book;
    const struct log_listener *listener;
    size_t findings;
};

static void find(struct inquiry *inquiry, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static void find(struct inquiry *inquiry, const char *format, ...)
{
    char line[512];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    inquiry->findings++;
    inquiry->listener->found(inquiry->listener->context, line);
}

/* ---- the file ------------------------------------------------------------------------------ */

/* What SQLite found: a line each, but for its headings. */
static void find_damage(struct inquiry *inquiry, char *said)
{
    for (char *line = said; line && *line;) {
        char *end = line + strcspn(line, "\n");
        char *next = *end ? end + 1 : NULL;
        *end = '\0';
        if (strcmp(line, "ok") != 0 && strncmp(line, "***", 3) != 0)
            find(inquiry, "the file is damaged (%s); restore a backup", line);
        line = next;
    }
}

static bool check_structure(struct inquiry *inquiry, struct fault *fault)
{
    struct log_query query = log_query_open(inquiry->book, "PRAGMA integrity_check(3)");
    while (log_query_row(&query)) {
        char *said = log_column_text(&query, 0);
        int code = log_check_code(said);
        if (code == SQLITE_CORRUPT)
            find_damage(inquiry, said);
        else if (query.code == SQLITE_OK)
            query.code = code;
        free(said);
    }
    if (!log_query_close(&query, fault) || inquiry->findings > 0)
        return inquiry->findings > 0;
    query = log_query_open(inquiry->book, "PRAGMA foreign_key_check");
    while (log_query_row(&query)) {
        char *table = log_column_text(&query, 0);
        char *parent = log_column_text(&query, 2);
        find(inquiry, "a row of %s belongs to a %s that is not there", table ? table : "a table",
            parent ? parent : "row");
        free(table);
        free(parent);
    }
    return log_query_close(&query, fault);
}

/* ---- the answers --------------------------------------------------------------------------- */

static bool near(double stored, double now, double relative, double floor)
{
    if (isnan(stored) || isnan(now))
        return isnan(stored) && isnan(now);
    return fabs(stored - now) <= relative * fmax(fabs(stored), fabs(now)) + floor;
}

static bool same_slope(struct perpend_slope stored, struct perpend_slope now)
{
    double floor = SAME_RELATIVE * perpend_slope_size(now) + 1e-15;
    return near(stored.right, now.right, SAME_RELATIVE, floor) &&
           near(stored.back, now.back, SAME_RELATIVE, floor);
}

static bool same_covariance(
    const struct perpend_slope_covariance *stored, const struct perpend_slope_covariance *now)
{
    double floor = SAME_RELATIVE * (now->right_right + now->back_back);
    return near(stored->right_right, now->right_right, SAME_RELATIVE, floor) &&
           near(stored->right_back, now->right_back, SAME_RELATIVE, floor) &&
           near(stored->back_back, now->back_back, SAME_RELATIVE, floor);
}

static const char *difference(
    const struct log_answer *stored, const struct perpend_measurement *now)
{
    const struct perpend_fit *fit = &now->fit;
    if (stored->readings != now->reading_count)
        return "number of readings";
    if (!same_slope(stored->lean, fit->lean))
        return "lean";
    if (!same_covariance(&stored->covariance, &fit->lean_covariance))
        return "uncertainty";
    if (stored->includes_bed != fit->includes_bed || stored->bed_separated != fit->bed_separated ||
        (fit->bed_separated && !same_slope(stored->bed, fit->bed)))
        return "bed's slope";
    if (!near(stored->ridge, now->ridge.height, SAME_RELATIVE, 1e-12))
        return "ridge";
    if (!near(stored->low, now->distribution.low, SAME_POINTS, 1e-12) ||
        !near(stored->high, now->distribution.high, SAME_POINTS, 1e-12))
        return "ridge's interval";
    if (!near(stored->chance, now->distribution.chance, 0.0, SAME_POINTS))
        return "chance";
    return stored->verdict != now->verdict ? "verdict" : NULL;
}

/* The measurements that are complete: the last one may be short of readings. */
static enum perpend_status solve_complete(
    const struct log_record *record, struct perpend_solution *solution)
{
    struct perpend_job_fault where;
    struct perpend_job part = record->job;
    enum perpend_status status = perpend_job_solve(&record->machine, &part, solution, &where);
    if (status == PERPEND_OK || where.sweep == 0)
        return status;
    part.sweep_count = where.sweep;
    return perpend_job_solve(&record->machine, &part, solution, &where);
}

/* A measurement without an answer is no finding: it may have been interrupted. */
static void compare_answers(
    struct inquiry *inquiry, const struct log_record *record, const struct perpend_solution *now)
{
    long long id = (long long)record->id;
    if (record->answer_count > now->measurement_count)
        find(inquiry, "job %lld has %zu answers, but its readings give %zu", id,
            record->answer_count, now->measurement_count);
    for (size_t i = 0; i < record->answer_count && i < now->measurement_count; i++) {
        const struct log_answer *stored = &record->answers[i];
        const char *what = difference(stored, &now->measurements[i]);
        char lean[2][32];
        perpend_number_format(
            lean[0], sizeof lean[0], PERPEND_MM_PER_METRE * perpend_slope_size(stored->lean), 6);
        perpend_number_format(lean[1], sizeof lean[1],
            PERPEND_MM_PER_METRE * perpend_slope_size(now->measurements[i].fit.lean), 6);
        if (what)
            find(inquiry,
                "job %lld, measurement %zu: the %s stored (by perpend %s, lean %s mm/m) is not "
                "what "
                "the readings give now (perpend " PERPEND_VERSION ", lean %s mm/m)",
                id, i + 1, what, stored->program, lean[0], lean[1]);
    }
}

static bool check_record(
    struct inquiry *inquiry, const struct log_record *record, struct fault *fault)
{
    struct perpend_solution now;
    long long id = (long long)record->id;
    if (!record->readable) {
        find(inquiry, "job %lld cannot be worked out: %s", id, record->why.text);
        return true;
    }
    if (record->job.sweep_count == 0) {
        if (record->answer_count > 0)
            find(inquiry, "job %lld has %zu answers, but no readings", id, record->answer_count);
        return true;
    }
    enum perpend_status status = solve_complete(record, &now);
    if (status == PERPEND_ERR_MEMORY)
        return log_memory_fault(fault);
    if (status == PERPEND_OK) {
        compare_answers(inquiry, record, &now);
        perpend_solution_finish(&now);
    } else if (record->answer_count > 0) {
        find(inquiry, "job %lld has %zu answers, but cannot be worked out now: %s", id,
            record->answer_count, perpend_status_text(status));
    }
    return true;
}

static bool next_job(
    struct log_book *book, int64_t after, int64_t *job, bool *there, struct fault *fault)
{
    struct log_query query =
        log_query_open(book, "SELECT id FROM job WHERE id > ? ORDER BY id LIMIT 1");
    log_bind_int(&query, after);
    *there = log_query_row(&query);
    if (*there)
        *job = log_column_int(&query, 0);
    return log_query_close(&query, fault);
}

static bool check_job(struct inquiry *inquiry, int64_t job, struct fault *fault)
{
    struct log_record record;
    if (!log_load(inquiry->book, job, &record, fault))
        return false;
    bool ok = check_record(inquiry, &record, fault);
    log_record_finish(&record);
    return ok;
}

static bool count_jobs(struct log_book *book, size_t *count, struct fault *fault)
{
    struct log_query query = log_query_open(book, "SELECT count(*) FROM job");
    if (log_query_row(&query))
        *count = (size_t)log_column_int(&query, 0);
    return log_query_close(&query, fault);
}

bool log_check(struct log_book *book, int64_t only, bool recompute,
    const struct log_listener *listener, size_t *jobs, size_t *findings, struct fault *fault)
{
    struct inquiry inquiry = {book, listener, 0};
    int64_t job = only > 0 ? only - 1 : 0;
    bool there = true;
    size_t all = 0;
    *jobs = 0;
    *findings = 0;
    bool ok = check_structure(&inquiry, fault);
    if (inquiry.findings > 0) /* a file that is not sound would only give follow-on findings */
        there = false;
    else if (ok)
        ok = count_jobs(book, &all, fault);
    while (ok && there) {
        ok = next_job(book, job, &job, &there, fault);
        if (ok && only != 0 && job != only)
            return check_job(&inquiry, only, fault); /* which says that there is none */
        if (!ok || !there)
            break;
        if (recompute)
            ok = check_job(&inquiry, job, fault);
        ++*jobs;
        if (listener->reached)
            listener->reached(listener->context, *jobs, only == 0 ? all : 1);
        there = only == 0;
    }
    *findings = inquiry.findings;
    return ok && log_still(book, fault);
}
