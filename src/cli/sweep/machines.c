/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which machine file a session is about. */
#include "cli/sweep/session.h"

#include <glob.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "files/files.h"
#include "files/names.h"

#define FILES_OFFERED 20 /* more in one folder are better named on the command line */

struct found {
    glob_t files;                     /* of this folder that end in .yaml */
    const char *names[FILES_OFFERED]; /* of the machine files among them */
    size_t count;
    const char *last;   /* the one of them that was used last; NULL: none */
    struct fault fault; /* of the first file that looks like a machine file and is not right */
};

/* Whether a file is a machine file; one that is meant to be, and is wrong, leaves its fault. */
static bool is_machine(const char *name, struct found *found)
{
    struct perpend_machine machine;
    struct fault fault;
    struct stat there;
    const char *ending = strrchr(name, '.');
    if ((!same_word(ending, ".yaml") && !same_word(ending, ".yml")) || stat(name, &there) != 0 ||
        !S_ISREG(there.st_mode))
        return false;
    if (machine_file_read(name, &machine, &fault)) {
        perpend_machine_finish(&machine);
        return true;
    }
    if (found->fault.status == 0 && !fault.is_job)
        found->fault = fault;
    return false;
}

/* False when there are more machine files than can be offered. */
static bool look_here(struct found *found, const char *last)
{
    struct stat used = {0}, here;
    bool known = last != NULL && stat(last, &used) == 0;
    glob("*.[yY]*[mM][lL]", 0, NULL, &found->files);
    for (size_t i = 0; i < found->files.gl_pathc; i++) {
        const char *name = found->files.gl_pathv[i];
        if (!is_machine(name, found))
            continue;
        if (found->count == FILES_OFFERED)
            return false;
        if (known && stat(name, &here) == 0 && here.st_dev == used.st_dev &&
            here.st_ino == used.st_ino)
            found->last = name;
        found->names[found->count++] = name;
    }
    return true;
}

static enum next take(struct session *session, const char *name)
{
    free(session->path);
    session->path = strdup(name);
    return session_next(
        session, session->path != NULL ? HEARD_ANSWER : HEARD_FAIL, NEXT_RESUME, NEXT_STOP);
}

static enum next choose(struct session *session, struct found *found)
{
    size_t choice;
    struct question question = {
        .prompt = "which", .help = session_sentences[MACHINES_HELP], .standing = found->last};
    session_say(session, MORE_MACHINES, NULL);
    enum heard heard =
        dialogue_choose(session->dialogue, &question, found->names, NULL, found->count, &choice);
    return heard == HEARD_ANSWER ? take(session, found->names[choice]) : NEXT_STOP;
}

/* session->path is the file used last, and becomes the one chosen. */
static enum next choose_of(struct session *session, struct found *found)
{
    bool told = log_last_machine(session->book, &session->path, &session->fault);
    if (!look_here(found, session->path)) {
        fault_set(&session->fault, 2,
            "too many machine files in this folder; name one: perpend sweep FILE");
        return NEXT_FAIL;
    }
    if (found->count > 0) /* without the last one there is nothing to suggest, and that is all */
        return found->count == 1 ? take(session, found->names[0]) : choose(session, found);
    if (!told)
        return NEXT_FAIL;
    if (session->path != NULL && access(session->path, R_OK) == 0)
        return NEXT_RESUME;
    if (found->fault.status != 0)
        session->fault = found->fault;
    else
        fault_set(&session->fault, 2,
            "no machine file in this folder; make one with perpend new, or name it: "
            "perpend sweep FILE");
    return NEXT_FAIL;
}

enum next session_choose_machine(struct session *session)
{
    struct found found = {.count = 0};
    if (session->wishes->machine != NULL)
        return take(session, session->wishes->machine);
    enum next next = choose_of(session, &found);
    globfree(&found.files);
    return next;
}
