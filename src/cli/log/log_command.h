/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_COMMAND_H
#define LOG_COMMAND_H

/**
 * 'perpend log' and its parts: each takes the options and operands of the whole command and returns
 * the exit status, everything said.
 */

#include "log/log.h"
#include "text/words.h"

struct log_options {
    const char *log, *machine, *since, *until, *last, *kind, *format;
    bool all, force, quick, ascii;
    char **operands; /* after the part's name */
    int operand_count;
};

int log_list_part(const struct log_options *options);
int log_show_part(const struct log_options *options);
int log_note_part(const struct log_options *options);
int log_export_part(const struct log_options *options);
int log_check_part(const struct log_options *options);
int log_backup_part(const struct log_options *options);

/** Open the log the options name; NULL after a complaint, *status set. */
struct log_book *log_command_open(
    const struct log_options *options, enum log_access access, int *status);

/** A job's number, or "last" (of --machine when given); false after a complaint. */
bool log_command_job(struct log_book *book, const struct log_options *options, const char *text,
    int64_t *job, int *status);

/** The filter of --machine, --since, --until, --last; false after a complaint. */
bool log_command_filter(const struct log_options *options, struct log_filter *filter, int *status);

/** A job, or a note on a machine, as one line of JSON without its end; by malloc, NULL when memory is
 *  out. */
char *log_record_json(const struct log_record *record);
char *log_note_json(const struct log_machine_note *note);

#endif
