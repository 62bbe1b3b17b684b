/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_COMMAND_H
#define LOG_COMMAND_H

/**
 * 'perpend log' and its parts: each is run with the log open and returns the exit status, everything
 * said.
 */

#include "log/log.h"
#include "text/sentences.h"

struct log_command {
    const char *log, *machine, *since, *until, *last, *kind, *format, *sweep, *why, *along;
    bool all, force, quick, ascii;
    char **operands; /* after the part's name */
    int operand_count;
    struct log_book *book;
    struct fault fault;
    struct words words; /* to be printed */
};

int log_list_part(struct log_command *command);
int log_machines_part(struct log_command *command);
int log_show_part(struct log_command *command);
int log_note_part(struct log_command *command);
int log_correct_part(struct log_command *command);
int log_measured_part(struct log_command *command);
int log_rename_part(struct log_command *command);
int log_import_part(struct log_command *command);
int log_export_part(struct log_command *command);
int log_check_part(struct log_command *command);
int log_backup_part(struct log_command *command);

/** A job's number, or the latest (of --machine when given) for "last" or NULL. Value: 0, or the exit
 *  status after a complaint; so it is of the next two. */
int log_command_job(struct log_command *command, const char *word, int64_t *job);

/** The filter of --machine, --since, --until, --last. */
int log_command_filter(struct log_command *command, struct log_filter *filter);

/** Which of some names a word is; NULL is the first. A complaint begins with `lead` and the word. */
int log_command_choice(
    const char *lead, const char *word, const char *const *names, size_t count, size_t *which);

/** Say one of the command's own sentences as a paragraph behind a lead. */
enum log_sentence {
#define SENTENCE(name, text) name,
#include "cli/log/sentences.inc"
#undef SENTENCE
    LOG_SENTENCES
};
extern const char *const log_sentences[LOG_SENTENCES];
void log_say(
    struct words *words, const char *lead, enum log_sentence sentence, const struct slot *slots);

/** Say it and print all words: what most parts end with. Value: the exit status. */
int log_say_last(struct log_command *command, enum log_sentence sentence, const struct slot *slots);

/* ---- tables ---------------------------------------------------------------------------------- */

/** A column: its heading, how wide it is, and whether figures stand at its right. */
struct log_look {
    const char *heading;
    unsigned width; /* 0: what the others leave */
    bool right;
};

/** One row of a table, cut where it must be; without cells the headings. */
void log_row_say(
    struct words *words, const struct log_look *looks, size_t count, const char *const *cells);

/** A ridge or a goal as figure, "<0.001" where it is less than the last digit; `instead` for NAN. */
#define LOG_FIGURE 32
const char *log_figure(
    char text[LOG_FIGURE], const struct words *words, double ridge, const char *instead);

/** The goal that is set, the ridge's before the lean's: "0.02", "0.07/m"; "-" for none. */
const char *log_goal(
    char text[LOG_FIGURE], const struct words *words, const struct perpend_goal *goal);

/** "met", "not met", …, "open", "given up"; "-" before the first answer. */
const char *log_verdict(const struct log_line *line);

/** Several jobs side by side: so many lists of one line each. */
int log_compare(struct log_command *command, const int64_t *jobs, size_t count);

/** A job, or a note on a machine, as one line of JSON without its end; the readings that count as
 *  rows of CSV, and their heading. By malloc, NULL when memory is out. */
char *log_record_json(const struct log_record *record);
char *log_note_json(const struct log_line *note);
char *log_record_csv(const struct log_record *record);
extern const char log_csv_heading[];

#endif
