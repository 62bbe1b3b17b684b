/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_DIALOGUE_H
#define CLI_DIALOGUE_H

/**
 * A conversation, one question at a time: on a terminal with line editing, from a pipe line by
 * line, with the same words either way (from a pipe the answer is echoed, so that a transcript
 * reads like the screen).
 *
 * At every question `help` (or ?) explains it, `undo` goes back to the one before, `stop` ends the
 * conversation, and Enter alone takes the answer in [brackets]. Ctrl-C, Ctrl-D, a closed terminal
 * and a request to end come out as HEARD_STOP or HEARD_END at the question that is open, or at the
 * next one.
 *
 * What else stands in this folder: line_reader.h reads one line, amounts.h turns what people type into
 * amounts, screen.h is where all words go, shell_word.h quotes a file's name in a command.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/units.h>

#include "cli/prompt/line_reader.h"
#include "text/words.h"

struct dialogue;

/** Start talking on standard input and output; NULL when memory is out. */
struct dialogue *dialogue_create(bool ascii);

/** Give the terminal and the signals back as they were; NULL is fine. */
void dialogue_destroy(struct dialogue *dialogue);

/** Words for this screen as it is now. */
struct words dialogue_words(const struct dialogue *dialogue, enum perpend_unit unit);

/** Whether a drawing can be drawn anew in its place: a person looks, on a terminal whose cursor moves. */
bool dialogue_redraws(const struct dialogue *dialogue);

/** Show a drawing in the place of the one shown last, with all that was said below that one gone; below
 *  everything when that has left the screen. */
void dialogue_redraw(struct dialogue *dialogue, const char *drawing);

/** From here on nothing that stands on the screen is drawn over. */
void dialogue_settle(struct dialogue *dialogue);

/** Whether a person types, rather than a pipe. */
bool dialogue_typed(const struct dialogue *dialogue);

/** Say a paragraph, wrapped to the width; blanks at its start indent every line of it. */
void dialogue_say(struct dialogue *dialogue, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/** Show text as it is: drawings, and what has been wrapped already. */
void dialogue_show(struct dialogue *dialogue, const char *text);

/** One empty line, unless the last one was empty or nothing has been said. */
void dialogue_space(struct dialogue *dialogue);

/** Words of the owner's own that work at every question, such as `note`. */
typedef bool dialogue_aside(const char *answer, void *context);

/** From now on: an answer for which `aside` returns true has been dealt with, and the question is
 *  asked again. */
void dialogue_set_aside(struct dialogue *dialogue, dialogue_aside *aside, void *context);

/** Check an answer; on false `complaint` says what is wrong and what to type instead. */
typedef bool answer_check(const char *answer, void *context, char *complaint, size_t size);

struct question {
    const char *prompt;   /* "arm length, mm" */
    const char *help;     /* paragraphs, parted by newlines; what `help` shows */
    const char *standing; /* what Enter alone answers, shown in [brackets]; NULL: nothing does */
    bool may_be_empty;    /* Enter alone is an answer of its own: "" */
    bool help_is_whole;   /* `help` names undo and stop itself */
    bool back_undoes;     /* `back` means `undo` here, since it cannot be an answer */
    answer_check *check;  /* NULL: anything goes */
    void *context;
};

/**
 * Ask until an answer passes its check.
 *
 * Returned: answer  ANSWER_SIZE bytes: the answer without blanks around it
 */
enum heard dialogue_ask(struct dialogue *dialogue, const struct question *question, char *answer);

/**
 * Let the person choose by number or by word.
 *
 * Given:    question   its check is not used; its standing answer is one of the words
 *           words      one a choice
 *           lines      what each means, one line each; NULL: the words speak for themselves
 * Returned: choice     index
 */
enum heard dialogue_choose(struct dialogue *dialogue, const struct question *question,
    const char *const *words, const char *const *lines, size_t count, size_t *choice);

/** Yes or no; Enter alone takes `standing`. */
enum heard dialogue_confirm(
    struct dialogue *dialogue, const char *prompt, const char *help, bool standing, bool *yes);

/**
 * Whether an unlikely answer just given is meant: yes or no; Enter alone is no. Anything else is
 * no, too, and answers the question that is asked next, which should be the same one again.
 */
enum heard dialogue_make_sure(struct dialogue *dialogue, const char *prompt, bool *sure);

/** Let the next question be answered by what was typed at this one. */
void dialogue_hear_next(struct dialogue *dialogue, const char *answer);

/** The first word of a line equals `word`: the rest of the line behind it (may be ""), else NULL.
 */
const char *word_then(const char *text, const char *word);

#endif
