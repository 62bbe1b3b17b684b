/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_BOOK_H
#define LOG_BOOK_H

/**
 * What the log's own files share: the open book, and SQL with its errors turned into a fault.
 */

#include <sys/stat.h>

#include <sqlite3.h>

#include "log/log.h"

struct log_book {
    sqlite3 *db;
    char *path; /* as given, for messages */
    char *real; /* symbolic links resolved: what SQLite's side files stand beside */
    enum log_access access;
    bool still;       /* read without any lock: nobody may have changed it meanwhile */
    struct stat seen; /* the file as it was when it was opened so */
    int claims;       /* the file that holds the claims; -1: not open */
};

/** How long to wait for another process to finish its write, ms. */
#define LOG_PATIENCE 5000

/** A path that another file of the log has: path with an ending. By malloc; NULL: no memory. */
char *log_side_path(const char *path, const char *ending);

/** Turn an SQLite result code into a fault; always false. */
bool log_sql_fault(const struct log_book *book, int code, struct fault *fault);
bool log_memory_fault(struct fault *fault);

/** What a row of SQLite's own check of a file means (NULL: memory was out while it was fetched):
 *  SQLITE_OK, SQLITE_CORRUPT, or the code for which a page could not be had. */
int log_check_code(const char *said);

/** There is no such job, sweep, reading in the log: status 2; always false. */
bool log_missing_fault(
    const struct log_book *book, const char *what, int64_t id, struct fault *fault);

/** After reading without locks: false when the file has changed since it was opened. */
bool log_still(const struct log_book *book, struct fault *fault);

/* ---- claims -------------------------------------------------------------------------------- */

/** Let go of a job, or (0) of all and close the file. */
void log_unclaim(struct log_book *book, int64_t job);

/** Whether another process holds a job. */
bool log_is_held(struct log_book *book, int64_t job, bool *held, struct fault *fault);

/* ---- SQL ----------------------------------------------------------------------------------- */

/** One statement. The first thing that goes wrong stays in `code`; what follows does nothing, so
 *  that it can be looked at once at the end. */
struct log_query {
    struct log_book *book;
    sqlite3_stmt *statement;
    int next; /* parameter to bind */
    int code;
};

struct log_query log_query_open(struct log_book *book, const char *sql);
void log_bind_int(struct log_query *query, int64_t value);
void log_bind_id(struct log_query *query, int64_t id);         /* 0 is NULL */
void log_bind_real(struct log_query *query, double value);     /* NAN is NULL */
void log_bind_text(struct log_query *query, const char *text); /* NULL is NULL */
void log_bind_bytes(struct log_query *query, const char *text, size_t length);
void log_bind_time(struct log_query *query, const struct log_time *time); /* two parameters */

/** The next row is there. false at the end and on an error. */
bool log_query_row(struct log_query *query);

/** What a log can hold: numbers up to ±1e9, bearings from 0 to 2π. Anything else is not accepted,
 *  and where it stands in a file that file is damaged. */
bool log_is_real(double value);
bool log_is_bearing(double value);

/** What stands in this row cannot be: the query ends as it does on a damaged file. */
void log_query_damaged(struct log_query *query);

int64_t log_column_int(struct log_query *query, int column);
double log_column_real(struct log_query *query, int column);          /* NULL is NAN */
double log_column_number(struct log_query *query, int column);        /* NULL is damage */
double log_column_bearing(struct log_query *query, int column);       /* NULL is NAN */
const char *log_column_word(struct log_query *query, int column);     /* until the next row */
char *log_column_text(struct log_query *query, int column);           /* by malloc; NULL is NULL */
char *log_column_name(struct log_query *query, int column);           /* the same; NULL is damage */
struct log_time log_column_time(struct log_query *query, int column); /* two columns */

/** Text with its length, NUL-terminated. */
char *log_column_bytes(struct log_query *query, int column, size_t *length);

/** The words of log_verdict_word (NO_GOAL for NULL) and log_ending_word (OPEN for NULL); any other
 *  is damage. */
enum perpend_verdict log_column_verdict(struct log_query *query, int column);
enum log_ending log_column_ending(struct log_query *query, int column);

/**
 * Room for one more element, where the next row goes.
 *
 * Given:    array  the address of a pointer to elements, by malloc
 *           count  of them so far
 *           size   of one
 * Value:    false when memory is out, which the query remembers
 */
bool log_query_room(struct log_query *query, void *array, size_t count, size_t size);

/** Close it; true when all went well. A row not fetched is no error. */
bool log_query_close(struct log_query *query, struct fault *fault);

/** Step to the end and close: for statements without rows. */
bool log_query_run(struct log_query *query, struct fault *fault);

/** One statement without parameters or rows. */
bool log_run(struct log_book *book, const char *sql, struct fault *fault);

/** A write: begin, then commit when `ok`, else roll back; `log_end` returns whether it is
 *  committed. */
bool log_begin(struct log_book *book, struct fault *fault);
bool log_end(struct log_book *book, bool ok, struct fault *fault);

/** A reading of several tables at one moment: the same, without a write. */
bool log_begin_read(struct log_book *book, struct fault *fault);

/* ---- words in the file --------------------------------------------------------------------- */

const char *log_verdict_word(enum perpend_verdict verdict);
const char *log_ending_word(enum log_ending ending);
const char *log_did_word(enum perpend_did_kind kind);

/* ---- parts of a record --------------------------------------------------------------------- */

/** Column list and reader of one row of `answer`. */
#define LOG_ANSWER_COLUMNS                                                                         \
    "first_sweep, last_sweep, readings, lean_right, lean_back, lean_right_right, "                 \
    "lean_right_back, lean_back_back, includes_bed, bed_right, bed_back, ridge, low, high, "       \
    "chance, verdict, answered, answered_offset, program"
struct log_answer log_answer_read(struct log_query *query, int column);

/** SQL: whether something was done after the measurement of the row `latest` of `answer`. */
#define LOG_UNMEASURED                                                                             \
    "EXISTS (SELECT 1 FROM sweep JOIN did ON did.id = (SELECT max(id) FROM did WHERE did.sweep = " \
    "sweep.id) WHERE sweep.job = latest.job AND sweep.id >= latest.last_sweep AND "                \
    "did.kind <> 'nothing')"

#define LOG_NOTE_COLUMNS "id, at, at_offset, kind, job, sweep, text"
struct log_note log_note_read(struct log_query *query, int column);

/** SQL: whether a row of `reading` counts, that is, was not withdrawn in the end. */
#define LOG_READING_COUNTS                                                                         \
    "coalesce((SELECT withdraws FROM correction WHERE correction.reading = reading.id ORDER BY "   \
    "correction.id DESC LIMIT 1), 0) = 0"

/** The machine's number; that it is not in the log is a fault, status 2. */
bool log_machine_known(
    struct log_book *book, const char *name, int64_t *machine, struct fault *fault);

/** The job of a sweep that is still open; a fault, status 2, when there is none. */
bool log_open_job_of_sweep(struct log_book *book, int64_t sweep, int64_t *job, struct fault *fault);

#endif
