/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/units.h>

#include "log/book.h"

#define MOST_REAL 1e9    /* mm, or a slope, or a chance */
#define MOST_OFFSET 1440 /* minutes */

bool log_memory_fault(struct fault *fault)
{
    return fault_set(
        fault, 3, "out of memory, nothing was written; close other programs and try again");
}

int log_check_code(const char *said)
{
    static const char not_had[] = "unable to get the page. error code=";
    const char *code = said ? strstr(said, not_had) : NULL;
    if (!said)
        return SQLITE_NOMEM;
    if (code)
        return (int)strtol(code + sizeof not_had - 1, NULL, 10);
    return strcmp(said, "ok") == 0 ? SQLITE_OK : SQLITE_CORRUPT;
}

bool log_missing_fault(
    const struct log_book *book, const char *what, int64_t id, struct fault *fault)
{
    return fault_set(fault, 2,
        "%s: there is no %s %lld in the log; 'perpend log list' shows the jobs", book->path, what,
        (long long)id);
}

char *log_side_path(const char *path, const char *ending)
{
    size_t size = strlen(path) + strlen(ending) + 1;
    char *side = malloc(size);
    if (side)
        snprintf(side, size, "%s%s", path, ending);
    return side;
}

/* A full disk shows in more than one way: WAL's index is a file of its own. */
static bool disk_is_full(const struct log_book *book, int code)
{
    int primary = code & 0xff;
    if (primary == SQLITE_FULL)
        return true;
    if (primary != SQLITE_IOERR && primary != SQLITE_CANTOPEN)
        return false;
    int why = book->db ? sqlite3_system_errno(book->db) : 0;
    return why == ENOSPC || why == EDQUOT || code == SQLITE_IOERR_SHMSIZE;
}

bool log_sql_fault(const struct log_book *book, int code, struct fault *fault)
{
    const char *path = book->path;
    if (disk_is_full(book, code))
        return fault_set(fault, 3,
            "%s: the disk is full, so this was not written; make room and do it again", path);
    switch (code & 0xff) {
    case SQLITE_NOMEM:
        return log_memory_fault(fault);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
    case SQLITE_MISMATCH:
    case SQLITE_FORMAT:
        return fault_set(fault, 3,
            "%s: the log is damaged and was left as it is; restore a backup, or move it away and "
            "a new one is started",
            path);
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
        return fault_set(fault, 3,
            "%s: the log is read-only; make the file and its folder writable, or name another "
            "with --log FILE",
            path);
    case SQLITE_CANTOPEN:
        return fault_set(fault, 3,
            "%s: the log or a file beside it cannot be opened; check the permissions of the file "
            "and its folder",
            path);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return fault_set(fault, 3,
            "%s: another program has kept the log busy for %d s; let it finish, then do it again",
            path, LOG_PATIENCE / 1000);
    case SQLITE_IOERR:
        return fault_set(fault, 3, "%s: the disk failed (%s); check it, then do it again", path,
            book->db && sqlite3_system_errno(book->db) != 0
                ? strerror(sqlite3_system_errno(book->db))
                : "input or output error");
    default:
        return fault_set(fault, 3, "%s: the log refused this (%s); 'perpend log check' looks at it",
            path, book->db ? sqlite3_errmsg(book->db) : sqlite3_errstr(code));
    }
}

struct log_query log_query_open(struct log_book *book, const char *sql)
{
    struct log_query query = {.book = book, .next = 1};
    query.code = sqlite3_prepare_v2(book->db, sql, -1, &query.statement, NULL);
    return query;
}

static void keep(struct log_query *query, int code)
{
    if (code != SQLITE_OK && query->code == SQLITE_OK)
        query->code = code;
}

void log_bind_int(struct log_query *query, int64_t value)
{
    if (query->code == SQLITE_OK)
        keep(query, sqlite3_bind_int64(query->statement, query->next++, value));
}

void log_bind_id(struct log_query *query, int64_t id)
{
    if (id != 0)
        log_bind_int(query, id);
    else if (query->code == SQLITE_OK)
        keep(query, sqlite3_bind_null(query->statement, query->next++));
}

void log_bind_real(struct log_query *query, double value)
{
    if (query->code == SQLITE_OK) /* NAN binds as NULL; −0 is stored as 0 */
        keep(query, sqlite3_bind_double(query->statement, query->next++, value));
}

void log_bind_text(struct log_query *query, const char *text)
{
    if (query->code == SQLITE_OK)
        keep(query,
            text ? sqlite3_bind_text(query->statement, query->next++, text, -1, SQLITE_TRANSIENT)
                 : sqlite3_bind_null(query->statement, query->next++));
}

void log_bind_bytes(struct log_query *query, const char *text, size_t length)
{
    if (query->code == SQLITE_OK)
        keep(query, sqlite3_bind_text64(query->statement, query->next++, text, length,
                        SQLITE_TRANSIENT, SQLITE_UTF8));
}

void log_bind_time(struct log_query *query, const struct log_time *time)
{
    log_bind_text(query, time->utc[0] != '\0' ? time->utc : NULL);
    log_bind_int(query, time->offset);
}

bool log_query_row(struct log_query *query)
{
    if (query->code != SQLITE_OK)
        return false;
    int code = sqlite3_step(query->statement);
    if (code == SQLITE_ROW)
        return true;
    if (code != SQLITE_DONE)
        keep(query, code);
    return false;
}

void log_query_damaged(struct log_query *query)
{
    keep(query, SQLITE_CORRUPT);
}

int64_t log_column_int(struct log_query *query, int column)
{
    return sqlite3_column_int64(query->statement, column);
}

bool log_is_real(double value)
{
    return fabs(value) <= MOST_REAL;
}

bool log_is_bearing(double value)
{
    return value >= 0.0 && value <= 2.0 * PERPEND_PI;
}

double log_column_real(struct log_query *query, int column)
{
    if (sqlite3_column_type(query->statement, column) == SQLITE_NULL)
        return NAN;
    double value = sqlite3_column_double(query->statement, column);
    if (!log_is_real(value))
        log_query_damaged(query);
    return value;
}

double log_column_number(struct log_query *query, int column)
{
    double value = log_column_real(query, column);
    if (isnan(value))
        log_query_damaged(query);
    return value;
}

double log_column_bearing(struct log_query *query, int column)
{
    double value = log_column_real(query, column);
    if (!isnan(value) && !log_is_bearing(value))
        log_query_damaged(query);
    return value;
}

const char *log_column_word(struct log_query *query, int column)
{
    if (sqlite3_column_type(query->statement, column) == SQLITE_NULL)
        return NULL;
    const unsigned char *text = sqlite3_column_text(query->statement, column);
    if (!text)
        keep(query, SQLITE_NOMEM);
    return (const char *)text;
}

char *log_column_bytes(struct log_query *query, int column, size_t *length)
{
    *length = 0;
    const char *text = log_column_word(query, column);
    if (!text)
        return NULL;
    size_t bytes = (size_t)sqlite3_column_bytes(query->statement, column);
    char *copy = malloc(bytes + 1);
    if (!copy) {
        keep(query, SQLITE_NOMEM);
        return NULL;
    }
    memcpy(copy, text, bytes);
    copy[bytes] = '\0';
    *length = bytes;
    return copy;
}

char *log_column_text(struct log_query *query, int column)
{
    size_t length;
    return log_column_bytes(query, column, &length);
}

char *log_column_name(struct log_query *query, int column)
{
    char *name = log_column_text(query, column);
    if (!name)
        log_query_damaged(query);
    return name;
}

struct log_time log_column_time(struct log_query *query, int column)
{
    struct log_time time = {.utc = "", .offset = 0};
    const char *text = log_column_word(query, column);
    if (text) {
        strncpy(time.utc, text, sizeof time.utc - 1);
        int64_t offset = sqlite3_column_int64(query->statement, column + 1);
        if (offset < -MOST_OFFSET || offset > MOST_OFFSET)
            log_query_damaged(query);
        else
            time.offset = (int)offset;
    }
    return time;
}

bool log_query_room(struct log_query *query, void *array, size_t count, size_t size)
{
    /* doubled at each power of two */
    if (count != 0 && (count & (count - 1)) != 0)
        return true;
    void *old;
    memcpy(&old, array, sizeof old);
    void *grown = realloc(old, (count == 0 ? 1 : 2 * count) * size);
    if (grown)
        memcpy(array, &grown, sizeof grown);
    else
        keep(query, SQLITE_NOMEM);
    /* cppcheck-suppress memleak ; it is the caller's, through `array` */
    return grown != NULL;
}

bool log_query_close(struct log_query *query, struct fault *fault)
{
    int code = query->code;
    bool ok = code == SQLITE_OK || log_sql_fault(query->book, code, fault);
    sqlite3_finalize(query->statement);
    query->statement = NULL;
    return ok;
}

bool log_query_run(struct log_query *query, struct fault *fault)
{
    while (log_query_row(query))
        continue;
    return log_query_close(query, fault);
}

bool log_run(struct log_book *book, const char *sql, struct fault *fault)
{
    struct log_query query = log_query_open(book, sql);
    return log_query_run(&query, fault);
}

bool log_begin(struct log_book *book, struct fault *fault)
{
    if (book->access == LOG_READ)
        return log_sql_fault(book, SQLITE_READONLY, fault);
    /* at once, so that waiting for another process happens here and not halfway */
    return log_run(book, "BEGIN IMMEDIATE", fault);
}

bool log_begin_read(struct log_book *book, struct fault *fault)
{
    return log_run(book, "BEGIN", fault);
}

bool log_end(struct log_book *book, bool ok, struct fault *fault)
{
    if (ok)
        ok = log_run(book, "COMMIT", fault);
    if (!ok && !sqlite3_get_autocommit(book->db))
        sqlite3_exec(book->db, "ROLLBACK", NULL, NULL, NULL);
    return ok;
}
