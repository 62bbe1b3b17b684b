/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Opening a log without ever harming what is there. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "log/book.h"
#include "log/schema.h"

/* SQLite's file header: magic at 0, user_version at 60, application_id at 68, big-endian. */
#define HEADER 100
#define HEADER_VERSION 60
#define HEADER_APPLICATION 68

/* Logs up to this size, bytes, are looked through before anything is added; larger ones would
   take too long at each start and have 'perpend log check'. */
#define LOOK_THROUGH ((off_t)2 << 20)

static bool not_opened(const char *path, struct fault *fault)
{
    return fault_set(fault, 3,
        "%s: the log cannot be opened (%s); check the path and its permissions, or name another "
        "with --log FILE",
        path, strerror(errno));
}

/* ---- where it lives ------------------------------------------------------------------------ */

char *log_default_path(struct fault *fault)
{
    /* XDG base directories: an empty or relative value counts as none */
    const char *base = getenv("XDG_DATA_HOME");
    const char *within = "/perpend/log.sqlite";
    if (!base || base[0] != '/') {
        base = getenv("HOME");
        within = "/.local/share/perpend/log.sqlite";
    }
    if (!base || base[0] != '/') {
        fault_set(fault, 3,
            "the log has no place to be, since neither XDG_DATA_HOME nor HOME names a folder; name "
            "it with --log FILE");
        return NULL;
    }
    char *path = log_side_path(base, within);
    if (!path)
        log_memory_fault(fault);
    return path;
}

static bool make_folders(char *path, struct fault *fault)
{
    bool ok = true;
    for (char *slash = strchr(path + 1, '/'); slash && ok; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        int why = mkdir(path, S_IRWXU) == 0 ? 0 : errno;
        if (why != 0 && why != EEXIST && access(path, F_OK) != 0)
            ok = fault_set(fault, 3,
                "%s: the log's folder cannot be made: %s; name another log with --log FILE", path,
                strerror(why));
        *slash = '/';
    }
    return ok;
}

/* ---- is it a log? -------------------------------------------------------------------------- */

static uint32_t big_endian(const unsigned char *bytes)
{
    return (uint32_t)bytes[0] << 24 | (uint32_t)bytes[1] << 16 | (uint32_t)bytes[2] << 8 | bytes[3];
}

/* Asked of the bytes, before SQLite is let near the file, which takes in what lies beside it.
   Returned: version. */
static bool check_header(
    const char *path, const struct stat *status, uint32_t *version, struct fault *fault)
{
    unsigned char header[HEADER] = {0};
    if (S_ISDIR(status->st_mode))
        return fault_set(fault, 2, "%s: this is a folder, not a log; name a file", path);
    if (!S_ISREG(status->st_mode))
        return fault_set(fault, 2, "%s: this is not a file, so no log; name a file", path);
    if (status->st_size == 0)
        return fault_set(fault, 2,
            "%s: the file is empty, so no log, and was left as it is; remove it, or name another "
            "with --log FILE",
            path);
    int file = open(path, O_RDONLY | O_CLOEXEC);
    if (file < 0)
        return not_opened(path, fault);
    ssize_t got = read(file, header, sizeof header);
    int why = errno;
    close(file);
    if (got < 0)
        return fault_set(fault, 3,
            "%s: the log cannot be read (%s); copy what can be had of it to another disk", path,
            strerror(why));
    if (memcmp(header, "SQLite format 3", 16) != 0)
        return fault_set(fault, 2,
            "%s: this is not a log (or its first bytes are damaged) and was left as it is; name "
            "another with --log FILE",
            path);
    if (got < HEADER || big_endian(header + HEADER_APPLICATION) != LOG_APPLICATION)
        return fault_set(fault, 2,
            "%s: this is a database of another program, not a log, and was left as it is; name "
            "another with --log FILE",
            path);
    *version = big_endian(header + HEADER_VERSION);
    if (*version > LOG_VERSION)
        return fault_set(fault, 2,
            "%s: the log was written by a newer perpend (its version is %lu, this program knows "
            "%d); use that one, or name another log with --log FILE",
            path, (unsigned long)*version, LOG_VERSION);
    return true;
}

/* ---- making it, and bringing it up to date -------------------------------------------------- */

static bool run_all(struct log_book *book, const char *const *statements, struct fault *fault)
{
    bool ok = true;
    for (; ok && *statements; statements++)
        ok = log_run(book, *statements, NULL, fault);
    return ok;
}

#define NUMBER_TEXT(number) #number
#define PRAGMA_NUMBER(name, number) "PRAGMA " name " = " NUMBER_TEXT(number)

static bool fill_new(struct log_book *made, struct log_book *book, struct fault *fault)
{
    (void)book;
    bool ok = log_run(made, PRAGMA_NUMBER("application_id", LOG_APPLICATION), NULL, fault) &&
              log_begin(made, fault);
    if (!ok)
        return false;
    ok = run_all(made, log_tables, fault) && run_all(made, log_fences, fault) &&
         log_run(made, PRAGMA_NUMBER("user_version", LOG_VERSION), NULL, fault);
    return log_end(made, ok, fault);
}

/* Run the statements that a query makes. */
static bool run_made(struct log_book *book, const char *query, struct fault *fault)
{
    struct log_query made = log_ask(book, query, NULL);
    char *statements = log_row(&made) ? log_column_text(&made, 0) : NULL;
    bool ok = log_done(&made, fault);
    int code = ok && statements ? sqlite3_exec(book->db, statements, NULL, NULL, NULL) : SQLITE_OK;
    free(statements);
    return ok && (code == SQLITE_OK || log_sql_fault(book, code, fault));
}

/* In one transaction: all of it or none. */
static bool update_tables(struct log_book *book, struct fault *fault)
{
    int64_t version = 0, dangling = 0;
    if (!log_run(book, "BEGIN IMMEDIATE", NULL, fault))
        return false;
    bool ok = log_get(book, "PRAGMA user_version", NULL, &version, fault);
    if (ok && version < LOG_VERSION) /* no other process has done it meanwhile */
        ok = run_made(book, log_drop_fences, fault) && run_all(book, log_from_1, fault) &&
             run_made(book, log_set_aside, fault) && run_all(book, log_tables, fault) &&
             run_made(book, log_refill, fault) && run_all(book, log_fences, fault) &&
             log_get(
                 book, "SELECT count(*) FROM pragma_foreign_key_check", NULL, &dangling, fault) &&
             (dangling == 0 || log_sql_fault(book, SQLITE_CORRUPT, fault)) &&
             log_run(book, PRAGMA_NUMBER("user_version", LOG_VERSION), NULL, fault);
    if (!ok && fault->status == 2) /* what cannot be, and the old tables took all the same */
        log_sql_fault(book, SQLITE_CORRUPT, fault);
    return log_end(book, ok, fault);
}

static bool bring_up_to_date(struct log_book *book, struct fault *fault)
{
    if (sqlite3_db_readonly(book->db, "main") == 1)
        return fault_set(fault, 3,
            "%s: the log is of an earlier perpend, and cannot be brought up to date where it is "
            "read-only; copy it, with any file beside it, to a folder that can be written",
            book->path);
    int code = log_soundness(book, false);
    if (code != SQLITE_OK)
        return log_sql_fault(book, code, fault);
    return log_run(book, "PRAGMA foreign_keys = OFF", NULL, fault) && update_tables(book, fault) &&
           log_run(book, "PRAGMA foreign_keys = ON", NULL, fault) &&
           log_run(book, "PRAGMA journal_mode = DELETE", NULL, fault);
}

/* ---- opening --------------------------------------------------------------------------------- */

int log_attach(struct log_book *book, const char *path, int flags)
{
    char *plain = log_plain_path(path);
    if (!plain)
        return SQLITE_NOMEM;
    int code = sqlite3_open_v2(
        plain, &book->db, flags | SQLITE_OPEN_READWRITE | SQLITE_OPEN_EXRESCODE, NULL);
    free(plain);
    if (code == SQLITE_OK)
        code = sqlite3_busy_timeout(book->db, LOG_PATIENCE);
    /* EXTRA: an entry is on the disk once its journal is gone, so the folder must be on it too */
    if (code == SQLITE_OK)
        code = sqlite3_exec(book->db,
            "PRAGMA foreign_keys = ON; PRAGMA synchronous = EXTRA; PRAGMA cell_size_check = ON;"
            "PRAGMA trusted_schema = OFF; SELECT count(*) FROM sqlite_schema",
            NULL, NULL, NULL);
    if (code == SQLITE_OK)
        code = log_digest_define(book->db);
    if (code == SQLITE_OK)
        code = log_claim_define(book->db);
    return code;
}

static bool find_or_make(struct log_book *book, struct stat *status, struct fault *fault)
{
    bool exists = false;
    if (stat(book->path, status) == 0)
        return true;
    if (errno != ENOENT)
        return not_opened(book->path, fault);
    if (book->access != LOG_WRITE)
        return fault_set(
            fault, 2, "%s: there is no log here yet; 'perpend sweep' starts one", book->path);
    return log_make_whole(book, book->path, false, &exists, fill_new, fault) &&
           (stat(book->path, status) == 0 || not_opened(book->path, fault));
}

/* Before anything is added. */
static bool ready_to_write(struct log_book *book, const struct stat *status, struct fault *fault)
{
    if (sqlite3_db_readonly(book->db, "main") == 1)
        return log_sql_fault(book, SQLITE_READONLY, fault);
    int code = status->st_size > LOOK_THROUGH ? SQLITE_OK : log_soundness(book, true);
    if (code != SQLITE_OK)
        return log_sql_fault(book, code, fault);
    /* another program may have set a mode whose files stay beside the log */
    return log_run(book, "PRAGMA journal_mode = DELETE", NULL, fault);
}

static bool open_book(struct log_book *book, bool usual_place, struct fault *fault)
{
    struct stat status;
    uint32_t version = 0;
    if (usual_place && book->access == LOG_WRITE && !make_folders(book->path, fault))
        return false;
    if (!find_or_make(book, &status, fault) || !check_header(book->path, &status, &version, fault))
        return false;
    int code = log_attach(book, book->path, 0);
    if (code != SQLITE_OK)
        return log_sql_fault(book, code, fault);
    if (version < LOG_VERSION && !bring_up_to_date(book, fault))
        return false;
    return book->access == LOG_READ || ready_to_write(book, &status, fault);
}

bool log_open(const char *path, enum log_access access, struct log_book **out, struct fault *fault)
{
    struct log_book *book = calloc(1, sizeof *book);
    if (!book)
        return log_memory_fault(fault);
    book->access = access;
    book->path = path ? strdup(path) : log_default_path(fault);
    if (!book->path && path)
        log_memory_fault(fault);
    if (book->path && open_book(book, !path, fault)) {
        *out = book;
        return true;
    }
    log_close(book);
    return false;
}

void log_close(struct log_book *book)
{
    if (!book)
        return;
    log_unclaim(book);
    sqlite3_close(book->db);
    free(book->path);
    free(book);
}

const char *log_path(const struct log_book *book)
{
    return book->path;
}
