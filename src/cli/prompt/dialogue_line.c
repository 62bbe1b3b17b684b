/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/prompt/dialogue_line.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/select.h>
#include <unistd.h>

#include <readline/readline.h>

#include "files/fault.h"
#include "cli/prompt/screen.h"

#define CAUGHT_COUNT 5

static const int caught_signals[CAUGHT_COUNT] = {SIGINT, SIGTERM, SIGHUP, SIGTSTP, SIGWINCH};

struct line_reader {
    bool typed;
    bool ended;
    struct sigaction before[CAUGHT_COUNT];
    sigset_t mask_before;
    /* plain reading */
    char held[ANSWER_SIZE];
    size_t held_length;
    bool skipping; /* throwing away the rest of a line that is too long */
};

/* What a signal handler and readline's callback can reach; one reader lives at a time. */
static volatile sig_atomic_t end_asked;
static volatile sig_atomic_t sleep_asked;
static volatile sig_atomic_t window_changed;
static char *line_typed;
static bool line_done;

static void on_signal(int number)
{
    if (number == SIGTSTP)
        sleep_asked = 1;
    else if (number == SIGWINCH)
        window_changed = 1;
    else
        end_asked = 1;
}

static void on_line(char *line)
{
    line_typed = line;
    line_done = true;
    /* without this readline would show the next prompt at once */
    rl_callback_handler_remove();
}

struct line_reader *line_reader_create(void)
{
    struct line_reader *reader = calloc(1, sizeof *reader);
    if (reader == NULL)
        return NULL;
    reader->typed = isatty(STDIN_FILENO) && isatty(STDOUT_FILENO);
    end_asked = 0;
    sleep_asked = 0;
    window_changed = 0;

    /* blocked everywhere but inside pselect, so that none is lost between a look and a wait */
    struct sigaction action;
    sigset_t block;
    memset(&action, 0, sizeof action);
    action.sa_handler = on_signal;
    sigemptyset(&action.sa_mask);
    sigemptyset(&block);
    for (size_t i = 0; i < CAUGHT_COUNT; i++) {
        sigaction(caught_signals[i], &action, &reader->before[i]);
        if (reader->before[i].sa_handler == SIG_IGN)
            sigaction(caught_signals[i], &reader->before[i], NULL);
        sigaddset(&block, caught_signals[i]);
    }
    sigprocmask(SIG_BLOCK, &block, &reader->mask_before);

    if (reader->typed) {
        rl_catch_signals = 0;
        rl_catch_sigwinch = 0;
        rl_change_environment = 0;
        rl_readline_name = "perpend";
        /* before the person's own settings are read, which may say otherwise */
        rl_variable_bind("enable-bracketed-paste", "off");
        rl_bind_key('\t', rl_insert);
    }
    return reader;
}

void line_reader_destroy(struct line_reader *reader)
{
    if (reader == NULL)
        return;
    if (reader->typed)
        rl_callback_handler_remove();
    for (size_t i = 0; i < CAUGHT_COUNT; i++)
        sigaction(caught_signals[i], &reader->before[i], NULL);
    sigprocmask(SIG_SETMASK, &reader->mask_before, NULL);
    free(reader);
}

bool line_reader_typed(const struct line_reader *reader)
{
    return reader->typed;
}

/* Ctrl-Z: give the terminal back, sleep, take it again. */
static void sleep_awhile(const struct line_reader *reader)
{
    sleep_asked = 0;
    if (reader->typed)
        rl_deprep_terminal();
    /* not SIGSTOP: the system drops a SIGTSTP that nobody could wake the program from again */
    struct sigaction usual;
    struct sigaction ours;
    sigset_t one;
    sigset_t before;
    memset(&usual, 0, sizeof usual);
    usual.sa_handler = SIG_DFL;
    sigemptyset(&usual.sa_mask);
    sigemptyset(&one);
    sigaddset(&one, SIGTSTP);
    sigaction(SIGTSTP, &usual, &ours);
    raise(SIGTSTP);
    sigprocmask(SIG_UNBLOCK, &one, &before);
    sigprocmask(SIG_SETMASK, &before, NULL);
    sigaction(SIGTSTP, &ours, NULL);
    if (reader->typed) {
        rl_prep_terminal(1);
        screen_text("\n");
        rl_on_new_line();
        rl_redisplay();
    }
}

enum waited { WAITED_INPUT, WAITED_END_ASKED, WAITED_FAILED };

/* Until there is something to read. */
static enum waited wait_for_input(const struct line_reader *reader)
{
    for (;;) {
        fd_set set;
        FD_ZERO(&set);
        FD_SET(STDIN_FILENO, &set);
        int ready = pselect(STDIN_FILENO + 1, &set, NULL, NULL, NULL, &reader->mask_before);
        bool failed = ready < 0 && errno != EINTR;
        if (end_asked)
            return WAITED_END_ASKED;
        if (window_changed) {
            window_changed = 0;
            if (reader->typed)
                rl_resize_terminal();
        }
        if (sleep_asked)
            sleep_awhile(reader);
        if (ready > 0)
            return WAITED_INPUT;
        if (failed)
            return WAITED_FAILED;
    }
}

/* Copy a line without what a terminal would act on and without blanks around it; false when it is
   not UTF-8. */
static bool clean(const char *line, size_t length, char *answer)
{
    size_t out = 0;
    for (size_t i = 0; i < length;) {
        size_t count = utf8_sequence(line + i, length - i);
        if (count == 0)
            return false;
        bool blank = line[i] == ' ' || !text_is_printable(line + i, count);
        if (out + count >= ANSWER_SIZE)
            break;
        if (!blank) {
            memcpy(answer + out, line + i, count);
            out += count;
        } else if (out > 0) {
            answer[out++] = ' ';
        }
        i += count;
    }
    while (out > 0 && answer[out - 1] == ' ')
        out--;
    answer[out] = '\0';
    return true;
}

static void take(const char *line, size_t length, char *answer, char *complaint, size_t size)
{
    if (length >= ANSWER_SIZE) {
        snprintf(
            complaint, size, "That line is too long; type at most %d characters.", ANSWER_SIZE - 1);
    } else if (!clean(line, length, answer)) {
        snprintf(
            complaint, size, "That line has bytes that are no letters (not UTF-8); type it again.");
        answer[0] = '\0';
    }
}

static enum heard read_typed(
    struct line_reader *reader, const char *prompt, char *answer, char *complaint, size_t size)
{
    line_done = false;
    line_typed = NULL;
    rl_callback_handler_install(prompt, on_line);
    while (!line_done) {
        enum waited waited = wait_for_input(reader);
        if (waited == WAITED_INPUT) {
            rl_callback_read_char();
            continue;
        }
        rl_callback_handler_remove();
        screen_text("\n");
        screen_settle();
        return HEARD_STOP;
    }
    if (line_typed == NULL) {
        screen_text("\n");
        screen_settle();
        return HEARD_END;
    }
    take(line_typed, strlen(line_typed), answer, complaint, size);
    free(line_typed);
    line_typed = NULL;
    return HEARD_ANSWER;
}

/* A whole line out of what is held, if there is one; the rest moves up. */
static bool take_held(struct line_reader *reader, char *answer, char *complaint, size_t size)
{
    char *end = memchr(reader->held, '\n', reader->held_length);
    if (end == NULL && reader->held_length == sizeof reader->held) {
        reader->skipping = true;
        reader->held_length = 0;
        return false;
    }
    if (end == NULL && !(reader->ended && (reader->held_length > 0 || reader->skipping)))
        return false;
    size_t length = end != NULL ? (size_t)(end - reader->held) : reader->held_length;
    size_t used = end != NULL ? length + 1 : length;
    take(reader->held, reader->skipping ? ANSWER_SIZE : length, answer, complaint, size);
    if (reader->skipping)
        answer[0] = '\0';
    reader->skipping = false;
    memmove(reader->held, reader->held + used, reader->held_length - used);
    reader->held_length -= used;
    return true;
}

static enum heard read_plain(
    struct line_reader *reader, const char *prompt, char *answer, char *complaint, size_t size)
{
    screen_text(prompt);
    screen_settle();
    while (!take_held(reader, answer, complaint, size)) {
        if (reader->ended || wait_for_input(reader) == WAITED_FAILED) {
            screen_text("\n");
            return HEARD_END;
        }
        if (end_asked) {
            screen_text("\n");
            return HEARD_STOP;
        }
        ssize_t got = read(STDIN_FILENO, reader->held + reader->held_length,
            sizeof reader->held - reader->held_length);
        if (got > 0)
            reader->held_length += (size_t)got;
        else if (got == 0 || (errno != EINTR && errno != EAGAIN))
            reader->ended = true;
    }
    if (!isatty(STDIN_FILENO)) {
        /* the terminal that would have shown the typing is not there */
        screen_text(answer);
        screen_text("\n");
    }
    return HEARD_ANSWER;
}

enum heard line_reader_read(
    struct line_reader *reader, const char *prompt, char *answer, char *complaint, size_t size)
{
    answer[0] = '\0';
    if (end_asked)
        return HEARD_STOP;
    return reader->typed ? read_typed(reader, prompt, answer, complaint, size)
                         : read_plain(reader, prompt, answer, complaint, size);
}
