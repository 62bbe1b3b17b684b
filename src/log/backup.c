/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "log/book.h"
#include "log/create.h"
#include "files/in_place.h"

static bool copy_pages(struct log_book *book, struct log_book *copy, struct fault *fault)
{
    sqlite3_backup *backup = sqlite3_backup_init(copy->db, "main", book->db, "main");
    if (!backup)
        return log_sql_fault(copy, sqlite3_extended_errcode(copy->db), fault);
    /* all in one step: one moment of the log, while others go on writing */
    int code = sqlite3_backup_step(backup, -1);
    int finished = sqlite3_backup_finish(backup);
    if (code != SQLITE_DONE) {
        bool source = (code & 0xff) == SQLITE_CORRUPT || (code & 0xff) == SQLITE_NOTADB;
        return log_sql_fault(source ? book : copy, code, fault);
    }
    return finished == SQLITE_OK || log_sql_fault(copy, finished, fault);
}

static bool is_sound(struct log_book *book, struct log_book *copy, struct fault *fault)
{
    bool sound = false;
    struct log_query query = log_query_open(copy, "PRAGMA integrity_check(1)");
    if (log_query_row(&query)) {
        char *said = log_column_text(&query, 0);
        sound = said && strcmp(said, "ok") == 0;
        free(said);
    }
    if (!log_query_close(&query, fault))
        return false;
    return sound || fault_set(fault, 3,
                        "%s: the log is damaged, so no backup was made of it; 'perpend log check' "
                        "says how, and an older backup may be sound",
                        book->path);
}

static bool may_be_written(struct log_book *book, const char *path, bool force, struct fault *fault)
{
    struct stat there;
    struct stat own;
    if (lstat(path, &there) != 0)
        return true;
    if (stat(path, &there) == 0 && stat(book->real, &own) == 0 && there.st_dev == own.st_dev &&
        there.st_ino == own.st_ino)
        return fault_set(fault, 2, "%s: this is the log itself; name another file", path);
    if (S_ISDIR(there.st_mode))
        return fault_set(fault, 2, "%s: this is a folder; name a file in it", path);
    return force ||
           fault_set(fault, 2,
               "%s: the file is there already; name another, or add --force to replace it", path);
}

static bool make_copy(
    struct log_book *book, const char *temporary, struct log_book *copy, struct fault *fault)
{
    int code = sqlite3_open_v2(temporary, &copy->db,
        SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_EXRESCODE, NULL);
    bool ok = code == SQLITE_OK || log_sql_fault(copy, code, fault);
    ok = ok && copy_pages(book, copy, fault) && is_sound(book, copy, fault);
    int closed = sqlite3_close(copy->db);
    copy->db = NULL;
    if (ok && closed != SQLITE_OK)
        ok = log_sql_fault(copy, closed, fault);
    return ok && log_still(book, fault);
}

bool log_backup(struct log_book *book, const char *path, bool force, struct fault *fault)
{
    char ending[40];
    struct log_book copy = {.path = strdup(path)};
    snprintf(ending, sizeof ending, ".new-%ld", (long)getpid());
    char *temporary = log_side_path(path, ending);
    bool ok =
        copy.path && temporary ? may_be_written(book, path, force, fault) : log_memory_fault(fault);
    if (ok) {
        log_remove_whole(temporary);
        ok = make_copy(book, temporary, &copy, fault);
        if (ok) {
            int why = put_in_place(temporary, path, force);
            if (why != 0)
                ok = fault_set(fault, why == EEXIST ? 2 : 3,
                    "%s: the backup cannot be put here (%s); name another file", path,
                    strerror(why));
        }
        log_remove_whole(temporary);
    }
    free(temporary);
    free(copy.path);
    return ok;
}
