/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <errno.h>
#include <string.h>

#include "log/book.h"

/* ---- faults -------------------------------------------------------------------------------- */

bool log_memory_fault(struct fault *fault)
{
    return fault_set(
        fault, 3, "out of memory, nothing was written; close other programs and try again");
}

bool log_missing_fault(
    const struct log_book *book, const char *what, int64_t id, struct fault *fault)
{
    return fault_set(fault, 2,
        "%s: there is no %s %lld in the log; 'perpend log list' shows the jobs", book->path, what,
        (long long)id);
}

bool log_no_machine(const struct log_book *book, const char *name, struct fault *fault)
{
    return fault_set(fault, 2,
        "%s: there is no machine called \"%s\" in the log; 'perpend log list' shows those there "
        "are",
        book->path, name);
}

static const struct {
    int code;
    const char *says;
} sayings[] = {
    {SQLITE_FULL, "the disk is full, so this was not written; make room and do it again"},
    {SQLITE_CORRUPT, "the log is damaged and was left as it is; restore a backup, or move it away "
                     "and a new one is started"},
    {SQLITE_READONLY,
        "the log is read-only; make the file and its folder writable, or name another "
        "with --log FILE"},
    {SQLITE_CANTOPEN, "the log or a file beside it cannot be opened; check the permissions of the "
                      "file and its folder"},
    {SQLITE_BUSY, "another program has kept the log busy for 5 s; let it finish, then do it again"},
};

/* What a code comes to: some mean the same, and a full disk shows in more than one way. */
static int meaning(const struct log_book *book, int code)
{
    int primary = code & 0xff;
    int why = book->db ? sqlite3_system_errno(book->db) : 0;
    if (code == SQLITE_IOERR_NOMEM)
        return SQLITE_NOMEM;
    if ((primary == SQLITE_IOERR || primary == SQLITE_CANTOPEN) && (why == ENOSPC || why == EDQUOT))
        return SQLITE_FULL;
    if (primary == SQLITE_NOTADB || primary == SQLITE_MISMATCH || primary == SQLITE_FORMAT)
        return SQLITE_CORRUPT;
    if (primary == SQLITE_PERM || primary == SQLITE_AUTH)
        return SQLITE_READONLY;
    return primary == SQLITE_LOCKED ? SQLITE_BUSY : primary;
}

bool log_sql_fault(const struct log_book *book, int code, struct fault *fault)
{
    const char *own = book->db ? sqlite3_errmsg(book->db) : sqlite3_errstr(code);
    int why = book->db ? sqlite3_system_errno(book->db) : 0;
    int means = meaning(book, code);
    const char *says = NULL;
    for (size_t i = 0; i < sizeof sayings / sizeof sayings[0]; i++)
        if (sayings[i].code == means)
            says = sayings[i].says;
    if (means == SQLITE_NOMEM)
        return log_memory_fault(fault);
    if (means == SQLITE_READONLY && book->access == LOG_READ)
        says =
            "the last entry was interrupted, and what is in the file beside it (-journal or -wal) "
            "cannot be taken in in a read-only folder; copy both to one that can be written";
    if (code == SQLITE_CONSTRAINT_FOREIGNKEY)
        return fault_set(fault, 2,
            "%s: there is no such job, sweep or reading in the log; 'perpend log list' shows the "
            "jobs",
            book->path);
    if (code == SQLITE_CONSTRAINT_TRIGGER) /* in the trigger's own words */
        return fault_set(fault, 2, "%s: %s", book->path, own);
    if (means == SQLITE_CONSTRAINT)
        return fault_set(fault, 2,
            "%s: a number or a name is none of a usual size (%s); correct it and do it again",
            book->path, own);
    if (means == SQLITE_IOERR)
        return fault_set(fault, 3, "%s: the disk failed (%s); check it, then do it again",
            book->path, why ? strerror(why) : "input or output error");
    if (!says)
        return fault_set(fault, 3, "%s: the log refused this (%s); 'perpend log check' looks at it",
            book->path, own);
    return fault_set(fault, 3, "%s: %s", book->path, says);
}

/* ---- statements ---------------------------------------------------------------------------- */

struct log_value log_whole(int64_t value)
{
    return (struct log_value){.type = LOG_WHOLE, .whole = value};
}

struct log_value log_real(double value)
{
    return (struct log_value){.type = LOG_REAL, .real = value};
}

struct log_value log_bytes(const char *text, size_t length)
{
    return (struct log_value){.type = LOG_TEXT, .text = text, .whole = (int64_t)length};
}

struct log_value log_text(const char *text)
{
    return log_bytes(text, text ? strlen(text) : 0);
}

static int bind(sqlite3_stmt *statement, int at, const struct log_value *value)
{
    switch (value->type) {
    case LOG_WHOLE:
        return sqlite3_bind_int64(statement, at, value->whole);
    case LOG_REAL:
        return sqlite3_bind_double(statement, at, value->real);
    default: /* no text is NULL */
        return sqlite3_bind_text64(statement, at, value->text, (sqlite3_uint64)value->whole,
            SQLITE_TRANSIENT, SQLITE_UTF8);
    }
}

struct log_query log_ask(struct log_book *book, const char *sql, const struct log_value *values)
{
    struct log_query query = {.book = book};
    query.code = sqlite3_prepare_v2(book->db, sql, -1, &query.statement, NULL);
    const int asked = query.code == SQLITE_OK ? sqlite3_bind_parameter_count(query.statement) : 0;
    for (int i = 0; i < asked && values && values[i].type != LOG_NO_VALUE && !query.code; i++)
        query.code = bind(query.statement, i + 1, &values[i]);
    return query;
}

static void keep(struct log_query *query, int code)
{
    if (query->code == SQLITE_OK)
        query->code = code;
}

void log_damaged(struct log_query *query)
{
    keep(query, SQLITE_CORRUPT);
}

bool log_row(struct log_query *query)
{
    int code = query->code == SQLITE_OK ? sqlite3_step(query->statement) : SQLITE_DONE;
    if (code != SQLITE_ROW && code != SQLITE_DONE)
        keep(query, code);
    return code == SQLITE_ROW;
}

bool log_done(struct log_query *query, struct fault *fault)
{
    bool ok = query->code == SQLITE_OK || log_sql_fault(query->book, query->code, fault);
    sqlite3_finalize(query->statement);
    query->statement = NULL;
    return ok;
}

bool log_get(struct log_book *book, const char *sql, const struct log_value *values,
    int64_t *number, struct fault *fault)
{
    struct log_query query = log_ask(book, sql, values);
    *number = 0;
    for (bool first = true; log_row(&query); first = false) /* to its end, else it is not done */
        *number = first ? sqlite3_column_int64(query.statement, 0) : *number;
    return log_done(&query, fault);
}

bool log_run(
    struct log_book *book, const char *sql, const struct log_value *values, struct fault *fault)
{
    int64_t number;
    return log_get(book, sql, values, &number, fault);
}

bool log_script(struct log_book *book, const char *script, struct fault *fault)
{
    int code = script ? sqlite3_exec(book->db, script, NULL, NULL, NULL) : SQLITE_OK;
    return code == SQLITE_OK || log_sql_fault(book, code, fault);
}

/* Within another it is a part of that. */
static bool begin(struct log_book *book, const char *sql, struct fault *fault)
{
    if (book->depth == 0 && !log_run(book, sql, NULL, fault))
        return false;
    book->depth++;
    return true;
}

bool log_begin(struct log_book *book, struct fault *fault)
{
    /* at once, so that waiting for another process happens here and not halfway */
    return begin(book, "BEGIN IMMEDIATE", fault);
}

bool log_begin_read(struct log_book *book, struct fault *fault)
{
    return begin(book, "BEGIN", fault);
}

bool log_end(struct log_book *book, bool ok, struct fault *fault)
{
    if (--book->depth > 0)
        return ok;
    if (ok && sqlite3_txn_state(book->db, "main") == SQLITE_TXN_WRITE)
        ok = log_run(
            book, "UPDATE job SET digest = job_digest(id) WHERE digest IS NULL", NULL, fault);
    ok = ok && log_run(book, "COMMIT", NULL, fault);
    if (!ok && !sqlite3_get_autocommit(book->db))
        sqlite3_exec(book->db, "ROLLBACK", NULL, NULL, NULL);
    return ok;
}
