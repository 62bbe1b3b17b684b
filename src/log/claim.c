/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who is at work on which job. A claim is a lock on one byte of a file beside the log, byte N for
   job N: the system lets go of it however the process ends, which no mark in the log could. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "log/book.h"

static bool open_claims(struct log_book *book, struct fault *fault)
{
    if (book->claims >= 0)
        return true;
    char *path = log_side_path(book->real, "-claims");
    if (!path)
        return log_memory_fault(fault);
    book->claims = open(path, O_RDWR | O_CREAT | O_CLOEXEC, S_IRUSR | S_IWUSR | S_IRGRP | S_IROTH);
    bool ok = book->claims >= 0 ||
              fault_set(fault, 3,
                  "%s: the file for claims beside the log cannot be opened (%s); check the "
                  "permissions of the folder",
                  path, strerror(errno));
    free(path);
    return ok;
}

static struct flock lock_of(int64_t job, short type)
{
    return (struct flock){
        .l_type = type,
        .l_whence = SEEK_SET,
        .l_start = (off_t)job,
        .l_len = 1,
    };
}

bool log_claim(struct log_book *book, int64_t job, bool *mine, struct fault *fault)
{
    struct flock lock = lock_of(job, F_WRLCK);
    if (!open_claims(book, fault))
        return false;
    *mine = fcntl(book->claims, F_SETLK, &lock) == 0;
    if (*mine || errno == EACCES || errno == EAGAIN)
        return true;
    return fault_set(fault, 3, "%s: the job cannot be claimed: %s", book->path, strerror(errno));
}

bool log_is_held(struct log_book *book, int64_t job, bool *held, struct fault *fault)
{
    struct flock lock = lock_of(job, F_WRLCK);
    if (!open_claims(book, fault))
        return false;
    if (fcntl(book->claims, F_GETLK, &lock) != 0)
        return fault_set(
            fault, 3, "%s: the claims cannot be read: %s", book->path, strerror(errno));
    *held = lock.l_type != F_UNLCK;
    return true;
}

void log_unclaim(struct log_book *book, int64_t job)
{
    struct flock lock = lock_of(job, F_UNLCK);
    if (book->claims < 0)
        return;
    if (job != 0) {
        fcntl(book->claims, F_SETLK, &lock);
        return;
    }
    close(book->claims);
    book->claims = -1;
}
