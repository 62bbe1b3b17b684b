/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A disk that says no, to be preloaded: the call number FAIL_AT (from 1) that writes to a file or
   settles it (write, pwrite, ftruncate, fsync, fdatasync, rename) fails as a full disk does,
   and all later ones with FAIL_ON set. Standard output and error, and pipes, are spared. At exit it
   leaves the count of calls in the file FAIL_COUNT, where that is named. */
#define _GNU_SOURCE /* RTLD_NEXT, off64_t */
#include <dlfcn.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

static unsigned long calls;

static void leave_count(void)
{
    const char *path = getenv("FAIL_COUNT");
    FILE *file = path ? fopen(path, "w") : NULL;
    if (!file)
        return;
    fprintf(file, "%lu\n", calls);
    fclose(file);
}

static int refused(void)
{
    const char *at = getenv("FAIL_AT");
    const unsigned long fail_at = at ? strtoul(at, NULL, 10) : 0;
    if (calls++ == 0)
        atexit(leave_count);
    if (fail_at == 0 || calls < fail_at || (calls > fail_at && !getenv("FAIL_ON")))
        return 0;
    errno = ENOSPC;
    return 1;
}

static int is_file(int descriptor)
{
    struct stat status;
    return fstat(descriptor, &status) == 0 && S_ISREG(status.st_mode);
}

static void *next(const char *name)
{
    return dlsym(RTLD_NEXT, name);
}

ssize_t write(int descriptor, const void *bytes, size_t count)
{
    ssize_t (*real)(int, const void *, size_t);
    *(void **)&real = next("write");
    return descriptor > 2 && is_file(descriptor) && refused() ? -1 : real(descriptor, bytes, count);
}

ssize_t pwrite64(int descriptor, const void *bytes, size_t count, off64_t where)
{
    ssize_t (*real)(int, const void *, size_t, off64_t);
    *(void **)&real = next("pwrite64");
    return is_file(descriptor) && refused() ? -1 : real(descriptor, bytes, count, where);
}

int ftruncate64(int descriptor, off64_t length)
{
    int (*real)(int, off64_t);
    *(void **)&real = next("ftruncate64");
    return is_file(descriptor) && refused() ? -1 : real(descriptor, length);
}

int fsync(int descriptor)
{
    int (*real)(int);
    *(void **)&real = next("fsync");
    return is_file(descriptor) && refused() ? -1 : real(descriptor);
}

int fdatasync(int descriptor)
{
    int (*real)(int);
    *(void **)&real = next("fdatasync");
    return is_file(descriptor) && refused() ? -1 : real(descriptor);
}

int rename(const char *from, const char *to)
{
    int (*real)(const char *, const char *);
    *(void **)&real = next("rename");
    return refused() ? -1 : real(from, to);
}
