/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Opening a log without ever harming what is there. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "log/book.h"
#include "log/create.h"
#include "log/schema.h"

/* SQLite's file header: magic at 0, user_version at 60, application_id at 68, big-endian. */
#define HEADER 100
#define HEADER_VERSION 60
#define HEADER_APPLICATION 68

/* Logs up to this size, bytes, are looked through before anything is added; larger ones would
   take too long at each start and have 'perpend log check'. */
#define LOOK_THROUGH ((off_t)2 << 20)

static uint32_t big_endian(const unsigned char *bytes)
{
    return (uint32_t)bytes[0] << 24 | (uint32_t)bytes[1] << 16 | (uint32_t)bytes[2] << 8 | bytes[3];
}

static bool newer_fault(const char *path, uint32_t version, struct fault *fault)
{
    return fault_set(fault, 2,
        "%s: the log was written by a newer perpend (its version is %lu, this program knows %d); "
        "use that one, or name another log with --log FILE",
        path, (unsigned long)version, log_newest_version());
}

static bool not_opened(const char *path, struct fault *fault)
{
    return fault_set(fault, 3,
        "%s: the log cannot be opened (%s); check the path and its permissions, or name another "
        "with --log FILE",
        path, strerror(errno));
}

/* Is this a log at all? Asked of the bytes, before SQLite is let near the file. */
static bool check_header(const char *path, const struct stat *status, struct fault *fault)
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
    if (big_endian(header + HEADER_VERSION) > (uint32_t)log_newest_version())
        return newer_fault(path, big_endian(header + HEADER_VERSION), fault);
    return true;
}

/* "file:PATH?immutable=1", with what a URI reads otherwise escaped. */
static char *still_uri(const char *path)
{
    static const char tail[] = "?immutable=1";
    size_t size = 3 * strlen(path) + 32;
    char *uri = malloc(size);
    if (!uri)
        return NULL;
    size_t used = (size_t)snprintf(uri, size, "file:");
    for (const char *c = path; *c; c++)
        used += (size_t)snprintf(uri + used, size - used, strchr("?#%", *c) ? "%%%02X" : "%c",
            (unsigned)(unsigned char)*c);
    snprintf(uri + used, size - used, "%s", tail);
    return uri;
}

static void detach(struct log_book *book)
{
    sqlite3_close(book->db);
    book->db = NULL;
}

/* Open by SQLite and touch the file, so that what is wrong shows here. Whatever goes wrong,
   closing must not write. */
static int attach(struct log_book *book, const char *name, int flags)
{
    int tables = 0;
    int code = sqlite3_open_v2(name, &book->db, flags | SQLITE_OPEN_EXRESCODE, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_db_config(book->db, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_busy_timeout(book->db, LOG_PATIENCE);
    if (code == SQLITE_OK)
        code = sqlite3_exec(book->db,
            "PRAGMA foreign_keys = ON; PRAGMA synchronous = FULL; PRAGMA cell_size_check = ON;"
            "PRAGMA trusted_schema = OFF",
            NULL, NULL, NULL);
    if (code == SQLITE_OK)
        code = log_ask_number(book->db, "SELECT count(*) FROM sqlite_schema", &tables);
    return code;
}

static bool side_file_holds(const struct log_book *book, const char *ending)
{
    struct stat status;
    char *side = log_side_path(book->real, ending);
    bool holds = !side || (stat(side, &status) == 0 ? status.st_size > 0 : errno != ENOENT);
    free(side);
    return holds;
}

/* In a folder that cannot be written SQLite cannot make the index that WAL needs. Then the file is
   read as it stands, if all there is stands in it. */
static bool attach_still(struct log_book *book, int first_code, struct fault *fault)
{
    if (side_file_holds(book, "-wal") || side_file_holds(book, "-journal"))
        return fault_set(fault, 3,
            "%s: the latest entries are still in the file beside it (-wal) and cannot be taken in "
            "in a read-only folder; copy both to a folder that can be written",
            book->path);
    if (stat(book->real, &book->seen) != 0)
        return log_sql_fault(book, first_code, fault);
    detach(book);
    char *uri = still_uri(book->real);
    if (!uri)
        return log_memory_fault(fault);
    int code = attach(book, uri, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI);
    free(uri);
    book->still = true;
    return code == SQLITE_OK || log_sql_fault(book, code, fault);
}

bool log_still(const struct log_book *book, struct fault *fault)
{
    struct stat now;
    if (!book->still)
        return true;
    if (stat(book->real, &now) == 0 && now.st_ino == book->seen.st_ino &&
        now.st_size == book->seen.st_size && now.st_mtim.tv_sec == book->seen.st_mtim.tv_sec &&
        now.st_mtim.tv_nsec == book->seen.st_mtim.tv_nsec && !side_file_holds(book, "-wal"))
        return true;
    return fault_set(
        fault, 3, "%s: the log was changed while it was read; do it again", book->path);
}

static bool attach_any(struct log_book *book, struct fault *fault)
{
    bool write = book->access != LOG_READ;
    int code = attach(book, book->real, write ? SQLITE_OPEN_READWRITE : SQLITE_OPEN_READONLY);
    int primary = code & 0xff;
    if (!write && (primary == SQLITE_CANTOPEN || primary == SQLITE_READONLY))
        return attach_still(book, code, fault);
    if (code != SQLITE_OK)
        return log_sql_fault(book, code, fault);
    if (write && sqlite3_db_readonly(book->db, "main") == 1)
        return log_sql_fault(book, SQLITE_READONLY, fault);
    return true;
}

/* A log of an earlier version that is only to be read is brought up to date all the same. */
static bool update_to_read(struct log_book *book, struct fault *fault)
{
    struct log_book *writer = NULL;
    detach(book);
    book->still = false;
    if (!log_open(book->path, LOG_WRITE, &writer, fault))
        return false;
    log_close(writer);
    return attach_any(book, fault);
}

static bool check_version(struct log_book *book, struct fault *fault)
{
    int version = 0;
    int code = log_ask_number(book->db, "PRAGMA user_version", &version);
    if (code != SQLITE_OK)
        return log_sql_fault(book, code, fault);
    if (version > log_newest_version())
        return newer_fault(book->path, (uint32_t)version, fault);
    if (version == log_newest_version())
        return true;
    if (book->access == LOG_READ)
        return update_to_read(book, fault);
    code = log_migrate(book->db, log_migrations, log_migration_count);
    return code == SQLITE_OK || log_sql_fault(book, code, fault);
}

static bool no_problem(sqlite3 *db, int *code)
{
    sqlite3_stmt *statement = NULL;
    *code = sqlite3_prepare_v2(db, "PRAGMA quick_check(1)", -1, &statement, NULL);
    if (*code == SQLITE_OK && (*code = sqlite3_step(statement)) == SQLITE_ROW)
        *code = log_check_code((const char *)sqlite3_column_text(statement, 0));
    sqlite3_finalize(statement);
    return *code == SQLITE_OK;
}

/* Before anything is added. */
static bool ready_to_write(struct log_book *book, const struct stat *status, struct fault *fault)
{
    int code = SQLITE_OK;
    if (status->st_size <= LOOK_THROUGH && !no_problem(book->db, &code))
        return log_sql_fault(book, code, fault);
    code = sqlite3_exec(book->db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL);
    if (code == SQLITE_OK) /* all is well: closing may tidy up from here on */
        code = sqlite3_db_config(book->db, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 0, NULL);
    return code == SQLITE_OK || log_sql_fault(book, code, fault);
}

static bool find_or_make(struct log_book *book, struct stat *status, struct fault *fault)
{
    if (stat(book->path, status) == 0)
        return true;
    if (errno != ENOENT)
        return not_opened(book->path, fault);
    if (book->access != LOG_WRITE)
        return fault_set(
            fault, 2, "%s: there is no log here yet; 'perpend sweep' starts one", book->path);
    if (!log_create(book, fault))
        return false;
    return stat(book->path, status) == 0 || not_opened(book->path, fault);
}

bool log_open(const char *path, enum log_access access, struct log_book **out, struct fault *fault)
{
    struct stat status;
    struct log_book *book = calloc(1, sizeof *book);
    if (!book)
        return log_memory_fault(fault);
    book->access = access;
    book->claims = -1;
    book->path = path ? strdup(path) : log_default_path(fault);
    if (!book->path) {
        if (path)
            log_memory_fault(fault);
        goto failed;
    }
    if (!path && access == LOG_WRITE && !log_make_folders(book->path, fault))
        goto failed;
    if (!find_or_make(book, &status, fault) || !check_header(book->path, &status, fault))
        goto failed;
    book->real = realpath(book->path, NULL);
    if (!book->real) {
        not_opened(book->path, fault);
        goto failed;
    }
    if (!attach_any(book, fault) || !check_version(book, fault))
        goto failed;
    if (access != LOG_READ && !ready_to_write(book, &status, fault))
        goto failed;
    *out = book;
    return true;
failed:
    log_close(book);
    return false;
}

void log_close(struct log_book *book)
{
    if (!book)
        return;
    detach(book);
    log_unclaim(book, 0);
    free(book->path);
    free(book->real);
    free(book);
}

const char *log_path(const struct log_book *book)
{
    return book->path;
}
