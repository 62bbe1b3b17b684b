/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/prompt/dialogue.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <perpend/status.h>

#include "files/names.h"
#include "cli/prompt/screen.h"

struct dialogue {
    bool ascii;
    bool said;       /* something has been said */
    bool last_empty; /* the last line said was empty */
    bool drawn;      /* a drawing may be drawn over … */
    int rows;        /* … which begins so many rows above */
    bool typed_ahead;
    char ahead[ANSWER_SIZE]; /* a line already typed that the next question takes */
    dialogue_aside *aside;
    void *aside_context;
};

struct dialogue *dialogue_create(bool ascii)
{
    struct dialogue *dialogue = calloc(1, sizeof *dialogue);
    if (dialogue == NULL)
        return NULL;
    dialogue->ascii = ascii;
    line_reader_begin();
    return dialogue;
}

void dialogue_destroy(struct dialogue *dialogue)
{
    if (dialogue != NULL)
        line_reader_end();
    free(dialogue);
}

struct words dialogue_words(const struct dialogue *dialogue, enum perpend_unit unit)
{
    return screen_words(unit, dialogue->ascii);
}

/* Rows that text takes on the window from an empty line on. */
static int rows_of(const char *text)
{
    struct winsize size;
    int rows = 0, columns = ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 ? size.ws_col : 0;
    for (size_t length; *text != '\0'; text += length + (text[length] == '\n')) {
        length = strcspn(text, "\n");
        char line[2 * ANSWER_SIZE];
        snprintf(line, sizeof line, "%.*s", (int)length, text);
        int wide = (int)words_columns(line);
        rows += columns > 0 && wide > columns ? (wide + columns - 1) / columns : 1;
    }
    return rows;
}

bool dialogue_redraws(const struct dialogue *dialogue)
{
    const char *terminal = getenv("TERM");
    (void)dialogue;
    return line_reader_typed() && terminal != NULL && terminal[0] != '\0' &&
           strcmp(terminal, "dumb") != 0;
}

void dialogue_redraw(struct dialogue *dialogue, const char *drawing)
{
    struct winsize size;
    char up[32];
    bool there = dialogue->drawn && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 &&
                 dialogue->rows < size.ws_row;
    snprintf(up, sizeof up, "\033[%dA\033[J", dialogue->rows); /* up, and clear from there on */
    if (there)
        screen_text(up);
    else
        dialogue_space(dialogue);
    dialogue->rows = 0;
    dialogue->drawn = true;
    dialogue_show(dialogue, drawing);
}

void dialogue_settle(struct dialogue *dialogue)
{
    dialogue->drawn = false;
}

bool dialogue_typed(const struct dialogue *dialogue)
{
    (void)dialogue;
    return line_reader_typed();
}

void dialogue_show(struct dialogue *dialogue, const char *text)
{
    size_t length = strlen(text);
    screen_bytes(text, length);
    dialogue->rows += length > 0 ? rows_of(text) : 1;
    if (length == 0 || text[length - 1] != '\n')
        screen_text("\n");
    dialogue->said = true;
    /* without the line end of the last line, is that line empty */
    size_t last = length > 0 && text[length - 1] == '\n' ? length - 1 : length;
    dialogue->last_empty = last == 0 || text[last - 1] == '\n';
    screen_settle();
}

void dialogue_space(struct dialogue *dialogue)
{
    if (dialogue->said && !dialogue->last_empty)
        dialogue_show(dialogue, "");
}

/* One paragraph. A tab in it marks where all lines but the first start; when memory is out it is
   shown as it is. */
static void say_paragraph(struct dialogue *dialogue, const char *text)
{
    struct words words = dialogue_words(dialogue, PERPEND_UNIT_MM);
    char lead[128];
    size_t head = strcspn(text, "\t");
    bool tab = text[head] == '\t';
    if (!tab)
        head = strspn(text, " ");
    snprintf(lead, sizeof lead, "%.*s", (int)head, text);
    words_paragraph(&words, lead, text + head + tab);
    dialogue_show(dialogue, words.out.failed ? text : buffer_text(&words.out));
    buffer_finish(&words.out);
}

void dialogue_say(struct dialogue *dialogue, const char *format, ...)
{
    char text[2 * ANSWER_SIZE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    char *line = text;
    while (line != NULL) {
        char *end = strchr(line, '\n');
        if (end != NULL)
            *end++ = '\0';
        say_paragraph(dialogue, line);
        line = end;
    }
}

const char *word_then(const char *text, const char *word)
{
    size_t length = strlen(word);
    char first[64];
    if (strcspn(text, " ") != length || length >= sizeof first)
        return NULL;
    snprintf(first, sizeof first, "%.*s", (int)length, text);
    if (!same_word(first, word))
        return NULL;
    text += length;
    return text + strspn(text, " ");
}

void dialogue_set_aside(struct dialogue *dialogue, dialogue_aside *aside, void *context)
{
    dialogue->aside = aside;
    dialogue->aside_context = context;
}

static void show_help(struct dialogue *dialogue, const struct question *question)
{
    dialogue_space(dialogue);
    if (question->help != NULL)
        dialogue_say(dialogue, "%s", question->help);
    else
        dialogue_say(dialogue, "Type an answer and press Enter.");
    if (!question->help_is_whole)
        dialogue_say(dialogue, "undo takes back the last answer, stop ends here.%s",
            question->standing != NULL ? " Enter alone takes what stands in [brackets]." : "");
    dialogue_space(dialogue);
}

void dialogue_hear_next(struct dialogue *dialogue, const char *answer)
{
    snprintf(dialogue->ahead, ANSWER_SIZE, "%s", answer);
    dialogue->typed_ahead = true;
}

/* The next line: the one that waits to be heard, or a fresh one. */
static enum heard hear(
    struct dialogue *dialogue, const char *prompt, char *answer, const char **complaint)
{
    if (!dialogue->typed_ahead)
        return line_reader_read(prompt, answer, complaint);
    dialogue->typed_ahead = false;
    snprintf(answer, ANSWER_SIZE, "%s", dialogue->ahead);
    *complaint = NULL;
    return HEARD_ANSWER;
}

enum heard dialogue_ask(struct dialogue *dialogue, const struct question *question, char *answer)
{
    char prompt[512];
    bool stands = question->standing != NULL;
    snprintf(prompt, sizeof prompt, stands ? "%s [%s]: " : "%s%s: ", question->prompt,
        stands ? question->standing : "");
    for (;;) {
        char complaint[512] = "";
        const char *unreadable;
        if (!screen_settle())
            return HEARD_STOP;
        enum heard heard = hear(dialogue, prompt, answer, &unreadable);
        char typed[sizeof prompt + ANSWER_SIZE];
        snprintf(typed, sizeof typed, "%s%s", prompt, answer);
        dialogue->rows += rows_of(typed);
        dialogue->said = true;
        dialogue->last_empty = false;
        if (heard != HEARD_ANSWER)
            return heard;
        if (unreadable != NULL) {
            dialogue_say(dialogue, "%s", unreadable);
            continue;
        }
        if (same_word(answer, "help") || strcmp(answer, "?") == 0) {
            show_help(dialogue, question);
            continue;
        }
        if (same_word(answer, "stop"))
            return HEARD_STOP;
        if (same_word(answer, "undo") || (question->back_undoes && same_word(answer, "back")))
            return HEARD_UNDO;
        if (dialogue->aside != NULL && dialogue->aside(answer, dialogue->aside_context))
            continue;
        if (answer[0] == '\0' && stands)
            snprintf(answer, ANSWER_SIZE, "%s", question->standing);
        if (answer[0] == '\0' && !question->may_be_empty)
            snprintf(complaint, sizeof complaint, "Something has to be typed here; help explains.");
        else if (question->check == NULL ||
                 question->check(answer, question->context, complaint, sizeof complaint))
            return HEARD_ANSWER;
        dialogue_say(dialogue, "%s", complaint);
    }
}

struct choices {
    const char *const *words;
    size_t count;
    size_t chosen;
};

static bool check_choice(const char *answer, void *context, char *complaint, size_t size)
{
    struct choices *choices = context;
    double number;
    bool numbered = perpend_number_parse(answer, &number) == PERPEND_OK;
    for (size_t i = 0; i < choices->count; i++) {
        if (same_word(answer, choices->words[i]) || (numbered && number == (double)i + 1)) {
            choices->chosen = i;
            return true;
        }
    }
    int length = snprintf(
        complaint, size, "Type a number from 1 to %zu, or one of the words:", choices->count);
    for (size_t i = 0; i < choices->count && length > 0 && (size_t)length < size; i++) {
        length += snprintf(complaint + length, size - (size_t)length, "%s %s", i == 0 ? "" : ",",
            choices->words[i]);
    }
    return false;
}

enum heard dialogue_choose(struct dialogue *dialogue, const struct question *question,
    const char *const *words, const char *const *lines, size_t count, size_t *choice)
{
    struct choices choices = {.words = words, .count = count};
    struct question asked = *question;
    char answer[ANSWER_SIZE];
    asked.check = check_choice;
    asked.context = &choices;
    int widest = 0;
    for (size_t i = 0; i < count; i++) {
        int columns = (int)words_columns(words[i]);
        widest = columns > widest ? columns : widest;
    }
    for (size_t i = 0; i < count; i++) {
        int pad = widest - (int)words_columns(words[i]);
        dialogue_say(dialogue, " %2zu  %s%*s  \t%s", i + 1, words[i], pad, "",
            lines != NULL ? lines[i] : "");
    }
    enum heard heard = dialogue_ask(dialogue, &asked, answer);
    if (heard == HEARD_ANSWER)
        *choice = choices.chosen;
    return heard;
}

static bool is_yes(const char *answer)
{
    return same_word(answer, "yes") || same_word(answer, "y");
}

static bool is_no(const char *answer)
{
    return same_word(answer, "no") || same_word(answer, "n");
}

static bool check_yes(const char *answer, void *context, char *complaint, size_t size)
{
    (void)context;
    snprintf(complaint, size, "Type yes or no.");
    return is_yes(answer) || is_no(answer);
}

enum heard dialogue_confirm(
    struct dialogue *dialogue, const char *prompt, const char *help, bool standing, bool *yes)
{
    char answer[ANSWER_SIZE];
    struct question question = {
        .prompt = prompt,
        .help = help,
        .standing = standing ? "yes" : "no",
        .back_undoes = true,
        .check = check_yes,
    };
    enum heard heard = dialogue_ask(dialogue, &question, answer);
    *yes = heard == HEARD_ANSWER && is_yes(answer);
    return heard;
}

enum heard dialogue_make_sure(struct dialogue *dialogue, const char *prompt, bool *sure)
{
    char answer[ANSWER_SIZE];
    struct question question = {
        .prompt = prompt,
        .help =
            "keep (or yes) keeps it as typed, Enter alone asks again; or type it as it should be.",
        .may_be_empty = true,
        .back_undoes = true,
    };
    enum heard heard = dialogue_ask(dialogue, &question, answer);
    *sure = heard == HEARD_ANSWER && (is_yes(answer) || same_word(answer, "keep"));
    if (heard == HEARD_ANSWER && !*sure && answer[0] != '\0' && !is_no(answer))
        dialogue_hear_next(dialogue, answer);
    return heard;
}
