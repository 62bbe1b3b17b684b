/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Opening a log without ever harming what is there. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "log/book.h"
#include "log/schema.h"

static const char views[] = "PRAGMA temp_store = MEMORY;"
#include "log/views.inc"
    ;

/* Bytes of SQLite's smallest page: no database has fewer, though it takes one byte for none. */
#define SMALLEST 512

/* Logs up to this size, bytes, are looked through before anything is added; larger ones would
   take too long at each start and have 'perpend log check'. */
#define LOOK_THROUGH ((off_t)2 << 20)

static bool not_opened(const char *path, int why, struct fault *fault)
{
    return fault_set(fault, 3,
        "%s: the log cannot be opened (%s); check the path and its permissions, or name another "
        "with --log FILE",
        path, strerror(why));
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

static bool no_log(const char *path, struct fault *fault)
{
    return fault_set(fault, 2,
        "%s: this is not a log (or its first bytes are damaged) and was left as it is; name "
        "another with --log FILE",
        path);
}

static bool not_begun(const char *path, struct fault *fault)
{
    return fault_set(fault, 2, "%s: there is no log here yet; 'perpend sweep' starts one", path);
}

/* What is there, before SQLite is let near it. An empty file is a log not begun. */
static bool check_file(struct log_book *book, struct stat *status, struct fault *fault)
{
    if (stat(book->path, status) != 0) {
        *status = (struct stat){.st_mode = S_IFREG};
        if (errno != ENOENT)
            return not_opened(book->path, errno, fault);
    }
    if (!S_ISREG(status->st_mode))
        return fault_set(fault, 2, "%s: this is a %s, not a log; name a file", book->path,
            S_ISDIR(status->st_mode) ? "folder" : "device");
    if (status->st_size > 0 && status->st_size < SMALLEST)
        return no_log(book->path, fault);
    return status->st_size > 0 || book->access == LOG_WRITE || not_begun(book->path, fault);
}

/* Whose it is, and of which version: 0 when nothing is in it. */
static bool check_version(struct log_book *book, int64_t *version, struct fault *fault)
{
    int64_t pages = 0, application = 0;
    if (!log_get(book, "PRAGMA page_count", NULL, &pages, fault) ||
        !log_get(book, "PRAGMA application_id", NULL, &application, fault) ||
        !log_get(book, "PRAGMA user_version", NULL, version, fault))
        return false;
    if (pages == 0) /* begun by a process that was killed over it */
        return book->access == LOG_WRITE || not_begun(book->path, fault);
    if (application != LOG_APPLICATION)
        return fault_set(fault, 2,
            "%s: this is a database of another program, not a log, and was left as it is; name "
            "another with --log FILE",
            book->path);
    if (*version == 0)
        return log_sql_fault(book, SQLITE_CORRUPT, fault);
    return (*version >= 0 && *version <= LOG_VERSION) ||
           fault_set(fault, 2,
               "%s: the log was written by a newer perpend (its version is %lld, this program "
               "knows %d); use that one, or name another log with --log FILE",
               book->path, (long long)*version, LOG_VERSION);
}

/* Before anything is added. */
static bool ready_to_write(struct log_book *book, const struct stat *status, struct fault *fault)
{
    if (sqlite3_db_readonly(book->db, "main") == 1)
        return log_sql_fault(book, SQLITE_READONLY, fault);
    int code = status->st_size > LOOK_THROUGH
                   ? SQLITE_OK
                   : log_soundness(book, "PRAGMA quick_check(1)", NULL, NULL);
    if (code != SQLITE_OK)
        return log_sql_fault(book, code, fault);
    /* another program may have set a mode whose files stay beside the log */
    return log_run(book, "PRAGMA journal_mode = DELETE", NULL, fault);
}

static bool open_book(struct log_book *book, bool usual_place, struct fault *fault)
{
    struct stat status;
    int64_t version = 0;
    if (usual_place && book->access == LOG_WRITE && !make_folders(book->path, fault))
        return false;
    if (!check_file(book, &status, fault))
        return false;
    int code = log_attach(book, book->path, book->access == LOG_WRITE ? SQLITE_OPEN_CREATE : 0);
    if (code == SQLITE_NOTADB)
        return no_log(book->path, fault);
    if ((code & 0xff) == SQLITE_CANTOPEN)
        return not_opened(book->path, sqlite3_system_errno(book->db), fault);
    if (code != SQLITE_OK)
        return log_sql_fault(book, code, fault);
    return check_version(book, &version, fault) &&
           (version == LOG_VERSION || log_bring_up_to_date(book, fault)) &&
           log_script(book, views, fault) &&
           (book->access == LOG_READ ? log_run(book, "PRAGMA query_only = ON", NULL, fault)
                                     : ready_to_write(book, &status, fault));
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
