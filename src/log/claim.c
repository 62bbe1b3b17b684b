/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who is at work on which job. A claim is the number of a process and the moment it began: numbers
   are given anew, but no two processes share both. It is void once that process has ended, however
   it did, so nothing needs to be tidied up after a kill. A lock of SQLite would be of the whole log,
   and a lock on a file of its own would leave that file beside the log. */
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "log/book.h"

#define ENDED 0
#define UNKNOWN (-1)

/* When a process began, in ticks since the system came up (field 22 of /proc/N/stat, proc(5)); that
   it has ended; or that it runs and the system does not say since when. */
static int64_t began(int64_t process)
{
    char name[40], line[1024] = "", state = 'X';
    char start[24] = "";
    snprintf(name, sizeof name, "/proc/%lld/stat", (long long)process);
    if (process <= 0)
        return ENDED;
    FILE *file = fopen(name, "r");
    if (!file)
        return kill((pid_t)process, 0) == 0 || errno == EPERM ? UNKNOWN : ENDED;
    char *read = fgets(line, sizeof line, file);
    fclose(file);
    char *after_name = read ? strrchr(line, ')') : NULL;
    if (!after_name || sscanf(after_name + 1,
                           " %c %*s %*s %*s %*s %*s %*s %*s %*s %*s %*s %*s %*s %*s %*s %*s %*s "
                           "%*s %*s %23s",
                           &state, start) < 2)
        return UNKNOWN;
    if (state == 'Z' || state == 'X') /* only its parent has not noticed yet */
        return ENDED;
    char *end = start;
    const long long since = strtoll(start, &end, 10);
    return end > start && *end == '\0' ? since : UNKNOWN;
}

static void runs(sqlite3_context *context, int count, sqlite3_value **values)
{
    (void)count;
    int64_t claimed = sqlite3_value_int64(values[1]), now = began(sqlite3_value_int64(values[0]));
    sqlite3_result_int(
        context, now != ENDED && (now == claimed || now == UNKNOWN || claimed == UNKNOWN));
}

int log_claim_define(sqlite3 *db)
{
    return sqlite3_create_function(
        db, "runs", 2, SQLITE_UTF8 | SQLITE_DIRECTONLY, NULL, runs, NULL, NULL);
}

#define THIS_PROCESS log_whole(getpid()), log_whole(began(getpid()))

bool log_claim(struct log_book *book, int64_t job, bool *mine, struct fault *fault)
{
    int64_t claimed = 0;
    if (!log_begin(book, fault))
        return false;
    bool ok = log_get(book,
        "INSERT INTO claim (job, process, began) VALUES (?1, ?2, ?3) ON CONFLICT DO "
        "UPDATE SET process = ?2, began = ?3 WHERE process = ?2 OR NOT runs(process, "
        "began) RETURNING 1",
        LOG_WITH(log_whole(job), THIS_PROCESS), &claimed, fault);
    *mine = claimed != 0;
    book->claims |= *mine;
    return log_end(book, ok, fault);
}

bool log_unfinished(struct log_book *book, const char *machine, int64_t *job, struct fault *fault)
{
    return log_get(book,
        "SELECT id FROM job WHERE ended IS NULL AND (?1 IS NULL OR machine = " LOG_MACHINE(
            "?1") ") AND EXISTS (SELECT 1 FROM sweep "
                  "JOIN reading ON reading.sweep = sweep.id WHERE sweep.job = job.id) AND NOT "
                  "EXISTS (SELECT "
                  "1 FROM claim WHERE claim.job = job.id AND process <> ?2 AND runs(process, "
                  "began)) "
                  "ORDER BY id DESC LIMIT 1",
        LOG_WITH(log_text(machine), log_whole(getpid())), job, fault);
}

void log_unclaim(struct log_book *book)
{
    struct fault ignored; /* what stays is void when the process ends */
    if (book->claims)
        log_run(
            book, "DELETE FROM claim WHERE process = ?", LOG_WITH(log_whole(getpid())), &ignored);
}
