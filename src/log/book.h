/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_BOOK_H
#define LOG_BOOK_H

/**
 * What the log's own files share: the open book, and SQL with its errors turned into a fault.
 */

#include <sqlite3.h>

#include "log/log.h"

struct log_book {
    sqlite3 *db;
    char *path; /* as given, for messages */
    enum log_access access;
    bool claims; /* a job */
};

/** How long to wait for another process to finish its write, ms. */
#define LOG_PATIENCE 5000

/* ---- faults: always false ------------------------------------------------------------------ */

/** An SQLite result code as a fault. What a trigger refuses is said in the trigger's words. */
bool log_sql_fault(const struct log_book *book, int code, struct fault *fault);
bool log_memory_fault(struct fault *fault);

/** There is no such job or sweep in the log, or no machine of that name: status 2. */
bool log_missing_fault(
    const struct log_book *book, const char *what, int64_t id, struct fault *fault);
bool log_no_machine(const struct log_book *book, const char *name, struct fault *fault);

/* ---- statements ---------------------------------------------------------------------------- */

/** What is bound to a statement's parameters: NULL, or LOG_WITH(log_whole(job), log_text(name)). */
struct log_value {
    enum { LOG_NO_VALUE, LOG_WHOLE, LOG_REAL, LOG_TEXT } type;
    int64_t whole; /* the number, or the bytes of the text */
    double real;
    const char *text;
};
#define LOG_WITH(...)                                                                              \
    (const struct log_value[])                                                                     \
    {                                                                                              \
        __VA_ARGS__,                                                                               \
        {                                                                                          \
            LOG_NO_VALUE, 0, 0, NULL                                                               \
        }                                                                                          \
    }
struct log_value log_whole(int64_t value);
struct log_value log_real(double value);     /* NAN is NULL */
struct log_value log_text(const char *text); /* NULL is NULL */
struct log_value log_bytes(const char *text, size_t length);

/** A statement on its way. The first thing that goes wrong stays in `code`; what follows does
 *  nothing, so that it can be looked at once at the end. */
struct log_query {
    struct log_book *book;
    sqlite3_stmt *statement;
    int code;
};

struct log_query log_ask(struct log_book *book, const char *sql, const struct log_value *values);

/** The next row is there; false at the end and on an error. */
bool log_row(struct log_query *query);

/**
 * The next row, and room for what it holds, zeroed.
 *
 * Given:    array, count  the addresses of a pointer to elements, by malloc, and of their number
 *           size          of one
 * Value:    the new element; NULL at the end and on an error
 */
void *log_next(struct log_query *query, void *array, size_t *count, size_t size);

/** Close it; true when all went well. Rows not fetched are no error. */
bool log_done(struct log_query *query, struct fault *fault);

/** Run a statement to its end; the same, with the number in its first row: 0 without a row. */
bool log_run(
    struct log_book *book, const char *sql, const struct log_value *values, struct fault *fault);
bool log_get(struct log_book *book, const char *sql, const struct log_value *values,
    int64_t *number, struct fault *fault);

/** A write: all until log_end, which makes the digests anew and commits when `ok`, else takes all
 *  back. `log_end` returns whether it is on the disk. Reading several tables at one moment is the
 *  same without a write. */
bool log_begin(struct log_book *book, struct fault *fault);
bool log_begin_read(struct log_book *book, struct fault *fault);
bool log_end(struct log_book *book, bool ok, struct fault *fault);

/* ---- columns of a row ------------------------------------------------------------------------ */

/** What stands in this row cannot be: the query ends as it does on a damaged file. So it does for
 *  what a column cannot hold. */
void log_damaged(struct log_query *query);

int64_t log_column_whole(struct log_query *query, int column);        /* NULL is 0 */
double log_column_real(struct log_query *query, int column);          /* NULL is NAN */
double log_column_number(struct log_query *query, int column);        /* NULL is damage */
char *log_column_text(struct log_query *query, int column);           /* by malloc; NULL is NULL */
char *log_column_name(struct log_query *query, int column);           /* NULL is damage */
struct log_time log_column_time(struct log_query *query, int column); /* three columns: */
#define LOG_TIME(at) at ", " at "_offset, datetime(" at ", " at "_offset || ' minutes')"

/** Which of some words it is, NULL among them; any other is damage, and so is NULL when there is
 *  none among them. */
struct log_words {
    const char *const *words;
    int count;
};
int log_column_word(struct log_query *query, int column, const struct log_words *words);
extern const struct log_words log_verdicts, log_endings, log_did_kinds, log_note_kinds;

/* ---- parts ---------------------------------------------------------------------------------- */

/** Columns of `answer` and `note`, and what reads them. */
#define LOG_ANSWER_COLUMNS                                                                         \
    "first_sweep, last_sweep, readings, lean_right, lean_back, lean_right_right, "                 \
    "lean_right_back, lean_back_back, includes_bed, bed_right, bed_back, ridge, low, high, "       \
    "chance, verdict, program"
struct log_answer log_answer_read(struct log_query *query, int column);
/** An answer as it is worked out; its sweeps, time and program are not. */
struct log_answer log_answer_of(const struct perpend_measurement *measurement);
#define LOG_NOTE_COLUMNS "note.id, kind, job, sweep, text, " LOG_TIME("at")
struct log_note log_note_read(struct log_query *query, int column);

/** SQL: whether something was done after the measurement of the row `latest` of `answer`. */
#define LOG_UNMEASURED                                                                             \
    "EXISTS (SELECT 1 FROM sweep JOIN did ON did.id = (SELECT max(id) FROM did WHERE did.sweep = " \
    "sweep.id) WHERE sweep.job = latest.job AND sweep.id >= latest.last_sweep AND "                \
    "did.kind <> 'nothing')"

/** Make of what was loaded what can be solved: record->machine and record->job. */
bool log_record_make(struct log_record *record, struct fault *fault);

/** SQL functions on a connection. `job_digest(id)`: of all that was accepted for a job.
 *  `runs(process, began)`: whether that very process still does. Value: an SQLite result code. */
int log_digest_define(sqlite3 *db);
int log_claim_define(sqlite3 *db);

/** Let go of all this process holds. */
void log_unclaim(struct log_book *book);

/** A path with an ending; by malloc, NULL when memory is out. */
char *log_side_path(const char *path, const char *ending);

/** A path that SQLite takes for no more than a path. The same. */
char *log_plain_path(const char *path);

/** Open a file on the disk, a new one with SQLITE_OPEN_CREATE. Value: an SQLite result code. */
int log_attach(struct log_book *book, const char *path, int flags);

/** A new database beside the path, made by `fill`, gets the path for its name: whole or not at all.
 *  `replace`: a file that is there may go; else it stays, and *exists says so. */
bool log_make_whole(struct log_book *book, const char *path, bool replace, bool *exists,
    bool (*fill)(struct log_book *made, struct log_book *book, struct fault *fault),
    struct fault *fault);

/** What SQLite's own check says of a file: SQLITE_OK, SQLITE_CORRUPT, or the code for which it could
 *  not be read; and of one row of it (NULL: memory was out while it was fetched). */
int log_soundness(struct log_book *book, bool quick);
int log_check_code(const char *said);

#endif
