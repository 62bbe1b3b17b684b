/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_BOOK_H
#define LOG_BOOK_H

/**
 * What the log's own files share: the open book, and SQL with its errors turned into a fault.
 */

#include <sqlite3.h>

#include "files/buffer.h"
#include "log/log.h"

struct log_book {
    sqlite3 *db;
    char *path; /* as given, for messages */
    enum log_access access;
    bool claims;    /* a job */
    unsigned depth; /* writes within writes: see log_begin */
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

/** What is bound to a statement's parameters: NULL, or LOG_WITH(log_whole(job), log_text(name)). More
 *  than it asks for do no harm. */
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

/** Close it; true when all went well. Rows not fetched are no error. */
bool log_done(struct log_query *query, struct fault *fault);

/** Run a statement to its end; the same, with the number in its first row: 0 without a row. */
bool log_run(
    struct log_book *book, const char *sql, const struct log_value *values, struct fault *fault);
bool log_get(struct log_book *book, const char *sql, const struct log_value *values,
    int64_t *number, struct fault *fault);

/** Run several statements; NULL for none. */
bool log_script(struct log_book *book, const char *script, struct fault *fault);

/** A write, which may stand within another: all until log_end, which makes the digests anew and commits when `ok`, else takes all
 *  back. `log_end` returns whether it is on the disk. Reading several tables at one moment is the
 *  same without a write. */
bool log_begin(struct log_book *book, struct fault *fault);
bool log_begin_read(struct log_book *book, struct fault *fault);
bool log_end(struct log_book *book, bool ok, struct fault *fault);

/** Where rows go: an array in a pool, by the elements of the table they came from. */
struct log_rows {
    struct log_pool *pool;
    void *array;
    size_t count;
};

/** Zeroed memory of a record's own; NULL when there is none. */
void *log_pool_take(struct log_pool *pool, size_t size);

/* ---- tables ---------------------------------------------------------------------------------- */

/** What a column holds, and in what of C. What it must hold and does not is damage. */
enum log_holds {
    HOLDS_WHOLE,  /* int64_t; NULL for 0 */
    HOLDS_COUNT,  /* size_t */
    HOLDS_FLAG,   /* bool */
    HOLDS_NUMBER, /* double */
    HOLDS_MAYBE,  /* double; NULL is NAN */
    HOLDS_NAME,   /* char *, in the pool */
    HOLDS_TEXT,   /* the same; NULL is NULL */
    HOLDS_WORD,   /* an enum: which of some words it is */
    HOLDS_MOVE,   /* enum perpend_move, by its name */
    HOLDS_TIME    /* struct log_time: the column and its _offset */
};

/** Words in the file for an enum, NULL among them; any other is damage. */
struct log_words {
    const char *const *words;
    int count;
};
extern const struct log_words log_verdicts, log_endings, log_did_kinds, log_note_kinds, log_units;

struct log_column {
    const char *name; /* of the column, or SQL for what is only read */
    enum log_holds holds;
    size_t at; /* in the struct */
    const struct log_words *words;
    bool only_read; /* made by the file, or from other tables */
};

#define LOG_COLUMNS 26

/** The columns of a table and the struct whose fields they fill: for reading, writing and export. */
struct log_table {
    const char *name;
    size_t size;                            /* of the struct */
    struct log_column columns[LOG_COLUMNS]; /* up to one without a name */
};
extern const struct log_table log_sweeps, log_readings, log_corrections, log_did_entries,
    log_answers, log_notes, log_jobs;

/**
 * Read rows of a table.
 *
 * Given:    from    SQL from FROM on
 *           values  its parameters
 *           rows    its pool
 * Returned: rows    released with the pool
 */
bool log_read(struct log_book *book, const struct log_table *table, const char *from,
    const struct log_value *values, struct log_rows *rows, struct fault *fault);

/** Write one row, within a transaction. A time that is not stated is now. Returned: id (its rowid). */
bool log_add(struct log_book *book, const struct log_table *table, const void *row, int64_t *id,
    struct fault *fault);

/** What stands in this row cannot be: the query ends as it does on a damaged file. */
void log_damaged(struct log_query *query);

/* ---- parts ---------------------------------------------------------------------------------- */

/** An answer as it is worked out; its sweeps, time and program are not. */
struct log_answer log_answer_of(const struct perpend_measurement *measurement);

/** SQL: the machine called so, now or before; NULL when there is none. */
#define LOG_MACHINE(name) "(SELECT machine FROM called WHERE name = " name ")"

/** Where a job comes from: files with this digest (0: a session), and when; no time is now. */
struct log_source {
    int64_t digest;
    struct log_time started;
};

/** Start a job without a claim, within a write. */
bool log_job_add(struct log_book *book, const struct log_start *start,
    const struct log_source *source, int64_t *job, struct fault *fault);

/** A job's head for its machine as it is described now, by malloc; NULL for none. */
bool log_head_for(struct log_book *book, int64_t job, const struct perpend_machine *machine,
    char **text, struct fault *fault);

/** Digest of what an imported job came from. */
int64_t log_text_digest(const char *name, const char *text);

/** A job and what it comes to: no measurements where it cannot be read or worked out, or has no readings.
 *  Release with log_solved_finish. */
struct log_solved {
    struct log_record record;
    struct perpend_solution solution;
    enum perpend_status status;
};
bool log_solve(struct log_book *book, int64_t job, struct log_solved *solved, struct fault *fault);
void log_solved_finish(struct log_solved *solved);

/** Where the bolt of that name is in a mount as it is described now. */
bool log_find_bolt(const struct perpend_mount *mount, const char *joint, const char *bolt,
    struct perpend_did *did);

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

/** What a check of SQLite's says of a file ("PRAGMA quick_check(1)"): SQLITE_OK, SQLITE_CORRUPT, or the
 *  code for which it could not be read. `found`, unless NULL, hears each row of damage. */
int log_soundness(struct log_book *book, const char *check,
    void (*found)(void *context, const char *said), void *context);

#endif
