/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/sweep/sweep_machine.h"
#include "files/names.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define FILES_OFFERED 20 /* more in one folder are better named on the command line */

struct found {
    char *names[FILES_OFFERED];
    size_t count;
    bool more;          /* than can be offered */
    struct fault fault; /* of the first file that looks like a machine file and is not right */
};

static void found_finish(struct found *found)
{
    for (size_t i = 0; i < found->count; i++)
        free(found->names[i]);
    found->count = 0;
}

static bool ends_in_yaml(const char *name)
{
    const char *dot = strrchr(name, '.');
    return dot != NULL && dot != name && (same_word(dot, ".yaml") || same_word(dot, ".yml"));
}

/* Whether a file is a machine file; one that is meant to be, and is wrong, leaves its fault. */
static bool is_machine(const char *name, struct found *found)
{
    struct perpend_machine machine;
    struct fault fault;
    struct stat there;
    if (stat(name, &there) != 0 || !S_ISREG(there.st_mode))
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
    while (folder != NULL && (entry = readdir(folder)) != NULL) {
        if (!ends_in_yaml(entry->d_name) || !is_machine(entry->d_name, found))
            continue;
        char *name = found->count < FILES_OFFERED ? strdup(entry->d_name) : NULL;
        if (name == NULL) {
            found->more = true;
            break;
        }
        found->names[found->count++] = name;
    }
    if (folder != NULL)
        closedir(folder);
    qsort(found->names, found->count, sizeof *found->names, by_name);
}

/* The one of them that the latest job was on; NULL for none. */
static const char *last_of(struct log_book *book, const struct found *found)
{
    char *last = NULL;
    struct fault fault; /* without it there is nothing to suggest, and that is all */
    const char *name = NULL;
    struct stat used;
    struct stat here;
    if (log_last_machine(book, &last, &fault) && last != NULL && stat(last, &used) == 0) {
        for (size_t i = 0; i < found->count && name == NULL; i++)
            if (stat(found->names[i], &here) == 0 && here.st_dev == used.st_dev &&
                here.st_ino == used.st_ino)
                name = found->names[i];
    }
    free(last);
    return name;
}

static enum machine_choice choose(
    struct dialogue *dialogue, struct log_book *book, struct found *found, char **path)
{
    size_t choice;
    const char *words[FILES_OFFERED];
    for (size_t i = 0; i < found->count; i++)
        words[i] = found->names[i];
    struct question question = {
        .prompt = "which",
        .help = "Each of these files describes a machine. perpend sweep FILE asks no more.",
        .standing = last_of(book, found),
    };
    dialogue_say(dialogue, "There is more than one machine here.");
    if (dialogue_choose(dialogue, &question, words, NULL, found->count, &choice) != HEARD_ANSWER)
        return MACHINE_STOPPED;
    *path = found->names[choice];
    found->names[choice] = NULL;
    return MACHINE_CHOSEN;
}

static enum machine_choice last_used(
    struct log_book *book, const struct found *found, char **path, struct fault *fault)
{
    if (!log_last_machine(book, path, fault))
        return MACHINE_FAILED;
    if (*path != NULL && access(*path, R_OK) == 0)
        return MACHINE_CHOSEN;
    free(*path);
    *path = NULL;
    if (found->fault.status != 0) {
        *fault = found->fault;
    } else {
        fault_set(fault, 2,
            "no machine file in this folder; make one with perpend new, or name it: "
            "perpend sweep FILE");
    }
    return MACHINE_FAILED;
}

enum machine_choice sweep_choose_machine(
    struct dialogue *dialogue, struct log_book *book, char **path, struct fault *fault)
{
    struct found found = {.count = 0};
    enum machine_choice result;
    look_here(&found);
    if (found.more) {
        fault_set(fault, 2, "too many machine files in this folder; name one: perpend sweep FILE");
        result = MACHINE_FAILED;
    } else if (found.count == 1) {
        *path = found.names[0];
        found.names[0] = NULL;
        result = MACHINE_CHOSEN;
    } else if (found.count > 1) {
        result = choose(dialogue, book, &found, path);
    } else {
        result = last_used(book, &found, path, fault);
    }
    found_finish(&found);
    return result;
}
