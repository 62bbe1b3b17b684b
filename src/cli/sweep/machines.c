/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which machine file a session is about. */
#include "cli/sweep/session.h"

#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "files/files.h"
#include "files/names.h"

#define FILES_OFFERED 20 /* more in one folder are better named on the command line */

struct found {
    char *names[FILES_OFFERED];
    size_t count;
    bool more;          /* than can be offered */
    struct fault fault; /* of the first file that looks like a machine file and is not right */
};

/* Whether a file is a machine file; one that is meant to be, and is wrong, leaves its fault. */
static bool is_machine(const char *name, struct found *found)
{
    const char *dot = strrchr(name, '.');
    struct perpend_machine machine;
    struct fault fault;
    struct stat there;
    if (dot == NULL || dot == name || !(same_word(dot, ".yaml") || same_word(dot, ".yml")) ||
        stat(name, &there) != 0 || !S_ISREG(there.st_mode))
        return false;
    if (machine_file_read(name, &machine, &fault)) {
        perpend_machine_finish(&machine);
        return true;
    }
    if (found->fault.status == 0 && !fault.is_job)
        found->fault = fault;
    return false;
}

static int by_name(const void *one, const void *other)
{
    return strcmp(*(char *const *)one, *(char *const *)other);
}

static void look_here(struct found *found)
{
    DIR *folder = opendir(".");
    struct dirent *entry;
    while (folder != NULL && !found->more && (entry = readdir(folder)) != NULL) {
        if (!is_machine(entry->d_name, found))
            continue;
        char *name = found->count < FILES_OFFERED ? strdup(entry->d_name) : NULL;
        found->more = name == NULL;
        if (name != NULL)
            found->names[found->count++] = name;
    }
    if (folder != NULL)
        closedir(folder);
    qsort(found->names, found->count, sizeof *found->names, by_name);
}

/* The one of them that is the file used last; NULL for none. */
static const char *last_of(const struct found *found, const char *last)
{
    struct stat used, here;
    if (last != NULL && stat(last, &used) == 0)
        for (size_t i = 0; i < found->count; i++)
            if (stat(found->names[i], &here) == 0 && here.st_dev == used.st_dev &&
                here.st_ino == used.st_ino)
                return found->names[i];
    return NULL;
}

/* Hand one of the names over. */
static enum next take(struct found *found, size_t choice, char **path)
{
    free(*path);
    *path = found->names[choice];
    found->names[choice] = NULL;
    return NEXT_RESUME;
}

/* `path` is the file used last, and becomes the one chosen. */
static enum next choose(struct session *session, struct found *found, char **path)
{
    size_t choice;
    struct question question = {
        .prompt = "which",
        .help = "Each of these files describes a machine. perpend sweep FILE asks no more.",
        .standing = last_of(found, *path),
    };
    dialogue_say(session->dialogue, "There is more than one machine here.");
    if (dialogue_choose(session->dialogue, &question, (const char *const *)found->names, NULL,
            found->count, &choice) != HEARD_ANSWER)
        return NEXT_STOP;
    return take(found, choice, path);
}

static enum next choose_of(struct session *session, struct found *found, char **path)
{
    if (found->more) {
        fault_set(&session->fault, 2,
            "too many machine files in this folder; name one: perpend sweep FILE");
        return NEXT_FAIL;
    }
    if (found->count == 1)
        return take(found, 0, path);
    bool told = log_last_machine(session->book, path, &session->fault);
    if (found->count > 1) /* without the last one there is nothing to suggest, and that is all */
        return choose(session, found, path);
    if (!told)
        return NEXT_FAIL;
    if (*path != NULL && access(*path, R_OK) == 0)
        return NEXT_RESUME;
    if (found->fault.status != 0)
        session->fault = found->fault;
    else
        fault_set(&session->fault, 2,
            "no machine file in this folder; make one with perpend new, or name it: "
            "perpend sweep FILE");
    return NEXT_FAIL;
}

enum next session_choose_machine(struct session *session, char **path)
{
    struct found found = {.count = 0};
    look_here(&found);
    enum next next = choose_of(session, &found, path);
    for (size_t i = 0; i < found.count; i++)
        free(found.names[i]);
    return next;
}
