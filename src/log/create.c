/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the log lives, and making it. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "log/create.h"
#include "files/in_place.h"
#include "log/schema.h"

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

bool log_make_folders(const char *file, struct fault *fault)
{
    char *path = strdup(file);
    if (!path)
        return log_memory_fault(fault);
    bool ok = true;
    for (char *slash = strchr(path + 1, '/'); slash && ok; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        if (mkdir(path, S_IRWXU) != 0 && errno != EEXIST && access(path, F_OK) != 0)
            ok = fault_set(fault, 3,
                "%s: the log's folder cannot be made: %s; name another log with --log FILE", path,
                strerror(errno));
        *slash = '/';
    }
    free(path);
    return ok;
}

static int write_empty(const char *path, sqlite3 **db)
{
    char set[48];
    snprintf(set, sizeof set, "PRAGMA application_id = %d", LOG_APPLICATION);
    int code = sqlite3_open_v2(
        path, db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_EXRESCODE, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_exec(*db, set, NULL, NULL, NULL);
    if (code == SQLITE_OK)
        code = log_migrate(*db, log_migrations, log_migration_count);
    if (code == SQLITE_OK)
        code = sqlite3_exec(*db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL);
    return code;
}

void log_remove_whole(const char *path)
{
    static const char *const endings[] = {"", "-journal", "-wal", "-shm"};
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++) {
        char *side = log_side_path(path, endings[i]);
        if (side)
            unlink(side);
        free(side);
    }
}

static bool create_fault(struct log_book *book, int code, struct fault *fault)
{
    int why = book->db ? sqlite3_system_errno(book->db) : 0;
    if ((code & 0xff) == SQLITE_CANTOPEN)
        return fault_set(fault, 3,
            "%s: a log cannot be started here: %s; name another with --log FILE", book->path,
            why ? strerror(why) : "the folder cannot be written");
    return log_sql_fault(book, code, fault);
}

bool log_create(struct log_book *book, struct fault *fault)
{
    char ending[40];
    snprintf(ending, sizeof ending, ".new-%ld", (long)getpid());
    char *temporary = log_side_path(book->path, ending);
    if (!temporary)
        return log_memory_fault(fault);
    log_remove_whole(temporary);
    int code = write_empty(temporary, &book->db);
    bool ok = code == SQLITE_OK || create_fault(book, code, fault);
    int closed = sqlite3_close(book->db);
    book->db = NULL;
    if (ok && closed != SQLITE_OK)
        ok = log_sql_fault(book, closed, fault);
    if (ok) {
        int why = put_in_place(temporary, book->path, false);
        if (why != 0 && why != EEXIST)
            ok = fault_set(fault, 3,
                "%s: a log cannot be started here (%s); name another with --log FILE", book->path,
                strerror(why));
    }
    log_remove_whole(temporary);
    free(temporary);
    return ok;
}
