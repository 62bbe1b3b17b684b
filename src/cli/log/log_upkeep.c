/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Notes, the check, the backup. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "cli/log/log_command.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"

/* ---- note ---------------------------------------------------------------------------------- */

/* All words after the job's number, so that quotes may be forgotten. */
static void join(struct buffer *text, char **words, int count)
{
    for (int i = 0; i < count; i++) {
        buffer_add(text, i > 0 ? " " : "");
        buffer_add(text, words[i]);
    }
}

static int kind_unknown(const char *word)
{
    const char *names[LOG_NOTE_KINDS];
    for (int i = 0; i < LOG_NOTE_KINDS; i++)
        names[i] = log_note_word((enum log_note_kind)i);
    const char *meant = name_meant(word, names, LOG_NOTE_KINDS);
    if (meant)
        return complain(2, "log note: there is no kind '%s'; did you mean '%s'?", word, meant);
    return complain(
        2, "log note: there is no kind '%s'; it is note, crash, bit, move or repair", word);
}

/* "Kept: crash, Tern." */
static int say_kept(
    const struct log_options *options, const struct log_about *about, enum log_note_kind kind)
{
    struct words words = screen_words(PERPEND_UNIT_MM, options->ascii);
    struct buffer text = {0};
    buffer_addf(&text, "Kept: %s, ", log_note_word(kind));
    if (options->machine)
        words_name(&text, options->machine);
    else
        buffer_addf(&text, "job %lld", (long long)about->job);
    buffer_add(&text, ".");
    words_paragraph(&words, "", buffer_text(&text));
    buffer_finish(&text);
    return screen_print(&words);
}

static int add_note(const struct log_options *options, struct log_about *about,
    enum log_note_kind kind, const char *text)
{
    struct fault fault = {.status = 0};
    int status = 0;
    struct log_book *book = log_command_open(options, LOG_ADD, &status);
    if (!book)
        return status;
    bool ok = options->machine ||
              log_command_job(book, options, options->operands[0], &about->job, &status);
    if (ok)
        status = log_note(book, about, kind, text, &fault) ? say_kept(options, about, kind)
                                                           : complain_fault(&fault);
    log_close(book);
    return status;
}

int log_note_part(const struct log_options *options)
{
    struct log_about about = {.machine = options->machine};
    struct buffer text = {0};
    enum log_note_kind kind = LOG_NOTE;
    int skip = options->machine ? 0 : 1;
    if (options->kind && !log_note_kind(options->kind, &kind))
        return kind_unknown(options->kind);
    if (options->operand_count <= skip)
        return complain(2,
            options->machine ? "log note: write the note after the machine's name"
                             : "log note: give the job's number (or --machine NAME) and the note");
    join(&text, options->operands + skip, options->operand_count - skip);
    int status =
        text.failed
            ? complain(3, "out of memory, nothing was written; close other programs and try again")
            : add_note(options, &about, kind, buffer_text(&text));
    buffer_finish(&text);
    return status;
}

/* ---- check --------------------------------------------------------------------------------- */

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

static bool check_log(struct log_book *book, int64_t only, bool recompute, size_t *jobs,
    size_t *findings, struct fault *fault)
{
    struct checking checking = {.book = book, .began = time(NULL)};
    struct log_listener listener = {
        .found = say_finding, .reached = say_reached, .context = &checking};
    bool ok = log_check(book, only, recompute, &listener, jobs, findings, fault);
    clear_reached(&checking);
    return ok;
}

int log_check_part(const struct log_options *options)
{
    struct fault fault = {.status = 0};
    struct words words = screen_words(PERPEND_UNIT_MM, options->ascii);
    struct buffer text = {0};
    size_t jobs = 0, findings = 0;
    int64_t only = 0;
    int status = 0;
    if (options->operand_count > 1)
        return complain(2, "log check: one job at a time, or none for all");
    struct log_book *book = log_command_open(options, LOG_READ, &status);
    if (!book)
        return status;
    bool ok = options->operand_count == 0 ||
              log_command_job(book, options, options->operands[0], &only, &status);
    if (ok && !check_log(book, only, !options->quick, &jobs, &findings, &fault))
        status = complain_fault(&fault);
    else if (ok && findings > 0)
        status = complain(1, "%s: %zu %s found; the log was left as it is", log_path(book),
            findings, findings == 1 ? "thing was" : "things were");
    else if (ok) {
        words_name(&text, log_path(book));
        buffer_addf(&text, ": the file is sound%s %zu %s",
            options->quick ? "; it holds" : ", and the answers follow from the readings in", jobs,
            jobs == 1 ? "job." : "jobs.");
        words_paragraph(&words, "", buffer_text(&text));
        status = screen_print(&words);
    }
    buffer_finish(&text);
    log_close(book);
    return status;
}

/* ---- backup -------------------------------------------------------------------------------- */

int log_backup_part(const struct log_options *options)
{
    struct fault fault = {.status = 0};
    int status = 0;
    if (options->operand_count != 1)
        return complain(2, "log backup: name one file to put the copy in");
    struct log_book *book = log_command_open(options, LOG_READ, &status);
    if (!book)
        return status;
    if (log_backup(book, options->operands[0], options->force, &fault)) {
        struct words words = screen_words(PERPEND_UNIT_MM, options->ascii);
        struct buffer text = {0};
        buffer_add(&text, "Copied and checked: ");
        words_name(&text, options->operands[0]);
        words_paragraph(&words, "", buffer_text(&text));
        buffer_finish(&text);
        status = screen_print(&words);
    } else
        status = complain_fault(&fault);
    log_close(book);
    return status;
}
