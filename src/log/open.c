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

static bool fill_new(struct log_book *made, struct log_book *book, struct fault *fault)
{
    (void)book;
    return log_lay_out(made, fault);
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
    if (version < LOG_VERSION && !log_bring_up_to_date(book, fault))
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
