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
#define SAME_FLOOR 1e-12 /* mm, mm/mm and their squares: nothing */

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
static void find_damage(void *inquiry, const char *said)
{
    for (; *said; said += strspn(said, "\n")) {
        int length = (int)strcspn(said, "\n");
        if (strncmp(said, "***", 3) != 0)
            find(inquiry, "the file is damaged (%.*s); restore a backup", length, said);
        said += length;
    }
}

static bool check_structure(struct inquiry *inquiry, struct fault *fault)
{
    int code = log_soundness(inquiry->book, "PRAGMA integrity_check(3)", find_damage, inquiry);
    if (code != SQLITE_OK)
        return inquiry->findings > 0 || log_sql_fault(inquiry->book, code, fault);
    struct log_query query =
        log_ask(inquiry->book, "SELECT \"table\", parent FROM pragma_foreign_key_check", NULL);
    while (log_row(&query)) {
        const unsigned char *table = sqlite3_column_text(query.statement, 0);
        const unsigned char *parent = sqlite3_column_text(query.statement, 1);
        find(inquiry, "a row of %s belongs to a %s that is not there",
            table ? (const char *)table : "a table", parent ? (const char *)parent : "row");
    }
    return log_done(&query, fault);
}

/* What is sound for SQLite, and yet not as it was written. */
static bool check_digest(struct inquiry *inquiry, int64_t job, struct fault *fault)
{
    int64_t other = 0;
    if (!log_get(inquiry->book, "SELECT digest <> job_digest(id) FROM job WHERE id = ?",
            LOG_WITH(log_whole(job)), &other, fault))
        return false;
    if (other)
        find(inquiry, "job %lld is not as it was accepted, by its digest; restore a backup",
            (long long)job);
    return true;
}

/* ---- the answers --------------------------------------------------------------------------- */

static bool near(double stored, double now, double relative, double floor)
{
    if (isnan(stored) || isnan(now))
        return isnan(stored) && isnan(now);
    return fabs(stored - now) <= relative * fmax(fabs(stored), fabs(now)) + floor;
}

/* The column that is not the same; NULL when all are. */
static const char *difference(const struct log_answer *stored, const struct log_answer *now)
{
    for (const struct log_column *column = log_answers.columns; column->name; column++) {
        const double *was = (const void *)((const char *)stored + column->at);
        const double *is = (const void *)((const char *)now + column->at);
        bool points = is == &now->low || is == &now->high || is == &now->chance;
        if ((column->holds == HOLDS_NUMBER || column->holds == HOLDS_MAYBE) &&
            !near(*was, *is, points ? SAME_POINTS : SAME_RELATIVE,
                is == &now->chance ? SAME_POINTS : SAME_FLOOR))
            return column->name;
    }
    return stored->readings != now->readings           ? "number of readings"
           : stored->includes_bed != now->includes_bed ? "bed's slope"
           : stored->verdict != now->verdict           ? "verdict"
                                                       : NULL;
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
        const struct log_answer answer = log_answer_of(&now->measurements[i]);
        const char *what = difference(stored, &answer);
        char lean[2][32];
        perpend_number_format(
            lean[0], sizeof lean[0], PERPEND_MM_PER_METRE * perpend_slope_size(stored->lean), 6);
        perpend_number_format(
            lean[1], sizeof lean[1], PERPEND_MM_PER_METRE * perpend_slope_size(answer.lean), 6);
        if (what)
            find(inquiry,
                "job %lld, measurement %zu: the %s stored (by perpend %s, lean %s mm/m) is not "
                "what "
                "the readings give now (perpend " PERPEND_VERSION ", lean %s mm/m)",
                id, i + 1, what, stored->program, lean[0], lean[1]);
    }
}

static bool check_job(struct inquiry *inquiry, int64_t job, struct fault *fault)
{
    struct log_solved now;
    if (!log_solve(inquiry->book, job, &now, fault))
        return false;
    const struct log_record *record = &now.record;
    if (!record->readable)
        find(inquiry, "job %lld cannot be worked out: %s", (long long)job, record->why.text);
    else if (now.status == PERPEND_OK)
        compare_answers(inquiry, record, &now.solution);
    else if (record->answer_count > 0)
        find(inquiry, "job %lld has %zu answers, but cannot be worked out now: %s", (long long)job,
            record->answer_count, perpend_status_text(now.status));
    log_solved_finish(&now);
    return true;
}

bool log_check(struct log_book *book, int64_t only, bool recompute,
    const struct log_listener *listener, struct log_checked *checked, struct fault *fault)
{
    struct inquiry inquiry = {book, listener, 0};
    int64_t job = 0, all = 0;
    checked->jobs = 0;
    bool ok = check_structure(&inquiry, fault);
    if (ok && inquiry.findings == 0) /* else there would only be follow-on findings */
        ok = log_get(book, "SELECT count(*) FROM job WHERE ?1 IN (0, id)",
                 LOG_WITH(log_whole(only)), &all, fault) &&
             (all > 0 || only == 0 || log_missing_fault(book, "job", only, fault));
    while (ok &&
           checked->jobs < (size_t)all) { /* one by one, so that a session need not wait for all */
        ok = log_get(book, "SELECT min(id) FROM job WHERE id > ?1 AND ?2 IN (0, id)",
                 LOG_WITH(log_whole(job), log_whole(only)), &job, fault) &&
             check_digest(&inquiry, job, fault) && (!recompute || check_job(&inquiry, job, fault));
        checked->jobs++;
        if (listener->reached)
            listener->reached(listener->context, checked->jobs, (size_t)all);
    }
    checked->findings = inquiry.findings;
    return ok;
}
