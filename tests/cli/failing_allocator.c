/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An allocator that says no, to be preloaded: the allocation number FAIL_AT (from 1, counted from
   the program's first call of setlocale on, so that the loader and the libraries' own start-up are
   spared) fails; with FAIL_ON set all later ones fail too. At exit it leaves the count of
   allocations in the file FAIL_COUNT, where that is named. */
#define _GNU_SOURCE /* RTLD_NEXT */
#include <dlfcn.h>
#include <errno.h>
#include <locale.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>

static atomic_ulong allocations;
static atomic_bool counting;
static unsigned long fail_at;
static int fail_on;

static int refused(void)
{
    if (!counting)
        return 0;
    unsigned long number = atomic_fetch_add(&allocations, 1) + 1;
    if (fail_at == 0 || number < fail_at || (number > fail_at && !fail_on))
        return 0;
    errno = ENOMEM;
    return 1;
}

extern void *__libc_malloc(size_t);
extern void *__libc_calloc(size_t, size_t);
extern void *__libc_realloc(void *, size_t);

void *malloc(size_t size)
{
    return refused() ? NULL : __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    return refused() ? NULL : __libc_calloc(count, size);
}

void *realloc(void *old, size_t size)
{
    return refused() ? NULL : __libc_realloc(old, size);
}

static void leave_count(void)
{
    counting = 0;
    const char *path = getenv("FAIL_COUNT");
    FILE *file = path ? fopen(path, "w") : NULL;
    if (!file)
        return;
    fprintf(file, "%lu\n", (unsigned long)allocations);
    fclose(file);
}

char *setlocale(int category, const char *name)
{
    char *(*next)(int, const char *) = NULL;
    *(void **)&next = dlsym(RTLD_NEXT, "setlocale");
    char *result = next ? next(category, name) : NULL;
    if (!counting) {
        const char *at = getenv("FAIL_AT");
        fail_at = at ? strtoul(at, NULL, 10) : 0;
        fail_on = getenv("FAIL_ON") != NULL;
        atexit(leave_count);
        counting = 1;
    }
    return result;
}
