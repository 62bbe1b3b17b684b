/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <time.h>
#include <unistd.h>

#include "cli/complain.h"
#include "cli/log/log_command.h"

/* A check as it goes on. One that takes longer than this tells a terminal how far it is, on a line
   of standard error that makes way for what is found and for the answer. */
#define PATIENCE 1 /* s */

struct checking {
    struct log_book *book;
    time_t began, told;
    int columns; /* of the line that stands there; 0: none */
};

static void clear_reached(struct checking *checking)
{
    if (checking->columns > 0)
        fprintf(stderr, "\r%*s\r", checking->columns, "");
    checking->columns = 0;
}

static void say_reached(void *context, size_t jobs, size_t all)
{
    struct checking *checking = context;
    time_t now = time(NULL);
    if (now - checking->began <= PATIENCE || now == checking->told || !isatty(STDERR_FILENO))
        return;
    checking->told = now;
    clear_reached(checking);
    checking->columns = fprintf(stderr, "checked %zu of %zu jobs", jobs, all);
    fflush(stderr);
}

static void say_finding(void *context, const char *line)
{
    struct checking *checking = context;
    clear_reached(checking);
    complain(1, "%s: %s", log_path(checking->book), line);
}

int log_check_part(struct log_command *command)
{
    struct checking checking = {.book = command->book, .began = time(NULL)};
    const struct log_listener listener = {say_finding, say_reached, &checking};
    const char *path = log_path(command->book);
    struct log_checked checked = {0, 0};
    int64_t only = 0;
    int status;
    if (command->operand_count > 1)
        return complain(2, "log check: one job at a time, or none for all");
    if (command->operand_count == 1 &&
        (status = log_command_job(command, command->operands[0], &only)) != 0)
        return status;
    bool ok = log_check(command->book, only, !command->quick, &listener, &checked, &command->fault);
    clear_reached(&checking);
    if (!ok)
        return complain_fault(&command->fault);
    if (checked.findings > 0)
        return complain(1, "%s: %zu %s found; the log was left as it is", path, checked.findings,
            checked.findings == 1 ? "thing was" : "things were");
    return log_say_last(command, LOG_SOUND,
        SLOTS(SLOT_NAME("path", path), SLOT_IF("quick", command->quick),
            SLOT_COUNT("jobs", checked.jobs)));
}

int log_backup_part(struct log_command *command)
{
    if (command->operand_count != 1)
        return complain(2, "log backup: name one file to put the copy in");
    if (!log_backup(command->book, command->operands[0], command->force, &command->fault))
        return complain_fault(&command->fault);
    return log_say_last(command, LOG_COPIED, SLOTS(SLOT_NAME("path", command->operands[0])));
}
