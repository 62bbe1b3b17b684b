/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A copy of the log, whole or not there. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "log/whole_file.h"
#include "log/book.h"

char *log_side_path(const char *path, const char *ending)
{
    size_t size = strlen(path) + strlen(ending) + 1;
    char *side = malloc(size);
    if (side)
        snprintf(side, size, "%s%s", path, ending);
    return side;
}

char *log_plain_path(const char *path)
{
    /* "file:…" and ":memory:" mean something else to SQLite */
    char *plain = malloc(strlen(path) + sizeof "./");
    if (plain)
        sprintf(plain, "%s%s", path[0] == '/' ? "" : "./", path);
    return plain;
}

static void remove_with_journal(const char *path)
{
    char *journal = log_side_path(path, "-journal");
    unlink(path);
    if (journal)
        unlink(journal);
    free(journal);
}

static bool not_put_here(const char *path, int why, struct fault *fault)
{
    return fault_set(fault, 3, "%s: cannot be put here (%s); name another file", path,
        why ? strerror(why) : "the folder cannot be written");
}

static bool not_replaced(const char *path, struct fault *fault)
{
    return fault_set(fault, 2,
        "%s: the file is there already; name another, or add --force to replace it", path);
}

/* Of one row; no text: memory was out while it was fetched. */
static int code_of(const char *said)
{
    static const char not_had[] = "unable to get the page. error code=";
    const char *code = said ? strstr(said, not_had) : NULL;
    if (!said)
        return SQLITE_NOMEM;
    if (code)
        return (int)strtol(code + sizeof not_had - 1, NULL, 10);
    return strcmp(said, "ok") == 0 ? SQLITE_OK : SQLITE_CORRUPT;
}

int log_soundness(struct log_book *book, const char *check,
    void (*found)(void *context, const char *said), void *context)
{
    int code = SQLITE_OK;
    struct log_query query = log_ask(book, check, NULL);
    while (log_row(&query)) {
        const char *said = (const char *)sqlite3_column_text(query.statement, 0);
        int now = code_of(said);
        if (now == SQLITE_CORRUPT && found)
            found(context, said);
        code = code == SQLITE_OK || code == SQLITE_CORRUPT ? now : code;
    }
    code = query.code != SQLITE_OK ? query.code : code;
    sqlite3_finalize(query.statement);
    return code;
}

/* ---- the backup ------------------------------------------------------------------------------ */

static bool copy_pages(struct log_book *made, struct log_book *book, struct fault *fault)
{
    sqlite3_backup *backup = sqlite3_backup_init(made->db, "main", book->db, "main");
    if (!backup)
        return log_sql_fault(made, sqlite3_extended_errcode(made->db), fault);
    /* all in one step: one moment of the log, while others go on writing */
    int code = sqlite3_backup_step(backup, -1);
    int finished = sqlite3_backup_finish(backup);
    bool source = (code & 0xff) == SQLITE_CORRUPT || (code & 0xff) == SQLITE_NOTADB;
    if (code != SQLITE_DONE || finished != SQLITE_OK)
        return log_sql_fault(source ? book : made, code != SQLITE_DONE ? code : finished, fault);
    code = log_soundness(made, "PRAGMA integrity_check(1)", NULL, NULL);
    if ((code & 0xff) != SQLITE_CORRUPT)
        return code == SQLITE_OK || log_sql_fault(made, code, fault);
    return fault_set(fault, 3,
        "%s: the log is damaged, so no backup was made of it; 'perpend log check' says how, and an "
        "older backup may be sound",
        book->path);
}

/* Beside the path; then it gets its name. */
static bool make_copy(
    struct log_book *book, const char *path, const char *temporary, bool force, struct fault *fault)
{
    struct log_book made = {.path = (char *)path, .access = LOG_WRITE};
    int code = log_attach(&made, temporary, SQLITE_OPEN_CREATE);
    bool ok = false;
    if ((code & 0xff) == SQLITE_CANTOPEN)
        not_put_here(path, sqlite3_system_errno(made.db), fault);
    else
        ok = code == SQLITE_OK ? copy_pages(&made, book, fault) : log_sql_fault(&made, code, fault);
    sqlite3_close(made.db);
    code = ok ? whole_file_name(temporary, path, force) : 0;
    return ok && (code == 0 || (code == EEXIST ? not_replaced(path, fault)
                                               : not_put_here(path, code, fault)));
}

bool log_backup(struct log_book *book, const char *path, bool force, struct fault *fault)
{
    struct stat there, own;
    char ending[40];
    if (stat(path, &there) == 0 && stat(book->path, &own) == 0 && there.st_dev == own.st_dev &&
        there.st_ino == own.st_ino)
        return fault_set(fault, 2, "%s: this is the log itself; name another file", path);
    if (!whole_file_may_replace(path, fault))
        return false;
    if (!force && lstat(path, &there) == 0)
        return not_replaced(path, fault);
    snprintf(ending, sizeof ending, ".new-%ld", (long)getpid());
    char *temporary = log_side_path(path, ending);
    if (!temporary)
        return log_memory_fault(fault);
    remove_with_journal(temporary);
    bool ok = make_copy(book, path, temporary, force, fault);
    remove_with_journal(temporary);
    free(temporary);
    return ok;
}
