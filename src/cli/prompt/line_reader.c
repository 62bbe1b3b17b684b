/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/prompt/line_reader.h"

#include <assert.h>
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/select.h>
#include <unistd.h>

#include <readline/readline.h>

#include "cli/prompt/screen.h"
#include "files/fault.h"

enum { CAUGHT_SLEEP = 3, CAUGHT_COUNT = 5 };

static const int caught_signals[CAUGHT_COUNT] = {
    SIGINT, SIGTERM, SIGHUP, [CAUGHT_SLEEP] = SIGTSTP, SIGWINCH};

/* Signal handlers and readline's reading of a key can reach nothing else. */
static volatile sig_atomic_t end_asked;
static volatile sig_atomic_t sleep_asked;
static volatile sig_atomic_t window_changed;
static bool typed; /* on a terminal */
static bool ended; /* there is no more to read */
static struct sigaction actions_before[CAUGHT_COUNT];
static sigset_t mask_before;

static void on_signal(int number)
{
    if (number == SIGTSTP)
        sleep_asked = 1;
    else if (number == SIGWINCH)
        window_changed = 1;
    else
        end_asked = 1;
}

/* Ctrl-Z: give the terminal back, sleep, take it again. */
static void sleep_awhile(void)
{
    struct sigaction ours;
    sigset_t blocked;
    sleep_asked = 0;
    if (typed)
        rl_deprep_terminal();
    /* not SIGSTOP: the system drops a SIGTSTP that nobody could wake the program from again */
    sigaction(SIGTSTP, &actions_before[CAUGHT_SLEEP], &ours);
    raise(SIGTSTP);
    sigprocmask(SIG_SETMASK, &mask_before, &blocked);
    sigprocmask(SIG_SETMASK, &blocked, NULL);
    sigaction(SIGTSTP, &ours, NULL);
    if (typed) {
        rl_prep_terminal(1);
        screen_text("\n");
        rl_on_new_line();
        rl_redisplay();
    }
}

/* Wait until there is something to read; false when the program was asked to end, or cannot wait. */
static bool wait_for_input(void)
{
    for (;;) {
        fd_set set;
        FD_ZERO(&set);
        FD_SET(STDIN_FILENO, &set);
        int ready = pselect(STDIN_FILENO + 1, &set, NULL, NULL, NULL, &mask_before);
        bool failed = ready < 0 && errno != EINTR;
        if (end_asked)
            return false;
        if (window_changed) {
            window_changed = 0;
            if (typed)
                rl_resize_terminal();
        }
        if (sleep_asked)
            sleep_awhile();
        if (ready > 0 || failed)
            return !failed;
    }
}

static int next_key(FILE *stream)
{
    return wait_for_input() ? rl_getc(stream) : EOF;
}

void line_reader_begin(void)
{
    typed = isatty(STDIN_FILENO) && isatty(STDOUT_FILENO);
    ended = false;
    end_asked = sleep_asked = window_changed = 0;

    /* blocked everywhere but inside pselect, so that none is lost between a look and a wait */
    struct sigaction action;
    sigset_t block;
    memset(&action, 0, sizeof action);
    action.sa_handler = on_signal;
    sigemptyset(&action.sa_mask);
    sigemptyset(&block);
    for (size_t i = 0; i < CAUGHT_COUNT; i++) {
        sigaction(caught_signals[i], &action, &actions_before[i]);
        if (actions_before[i].sa_handler == SIG_IGN)
            sigaction(caught_signals[i], &actions_before[i], NULL);
        sigaddset(&block, caught_signals[i]);
    }
    sigprocmask(SIG_BLOCK, &block, &mask_before);

    if (typed) {
        rl_catch_signals = 0;
        rl_catch_sigwinch = 0;
        rl_change_environment = 0;
        rl_readline_name = "perpend";
        rl_getc_function = next_key;
        /* before the person's own settings are read, which may say otherwise */
        rl_variable_bind("enable-bracketed-paste", "off");
        rl_bind_key('\t', rl_insert);
    }
}

/* Read from a pipe or a file, and not yet asked for. */
static char ahead[4096];
static ssize_t ahead_from, ahead_to;

void line_reader_end(void)
{
    /* a file is left where the last line ended, for whoever reads it next */
    if (ahead_from < ahead_to && lseek(STDIN_FILENO, ahead_from - ahead_to, SEEK_CUR) >= 0)
        ahead_from = ahead_to;
    for (size_t i = 0; i < CAUGHT_COUNT; i++)
        sigaction(caught_signals[i], &actions_before[i], NULL);
    sigprocmask(SIG_SETMASK, &mask_before, NULL);
}

bool line_reader_typed(void)
{
    return typed;
}

/* A line without what a terminal would act on and without blanks around it; what is wrong with it,
   NULL for nothing. */
static const char *clean(const char *line, size_t length, char *answer)
{
    size_t out = 0;
    static_assert(ANSWER_SIZE == 4096, "the complaint says another number");
    if (length >= ANSWER_SIZE)
        return "That line is too long; type at most 4095 characters.";
    for (size_t i = 0; i < length;) {
        int32_t code;
        size_t count = utf8_at(line + i, length - i, &code);
        if (count == 0) {
            answer[0] = '\0';
            return "That line has bytes that are no letters (not UTF-8); type it again.";
        }
        if (line[i] != ' ' && text_is_printable(line + i, count)) {
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
    return NULL;
}

static enum heard read_typed(const char *prompt, char *answer, const char **complaint)
{
    char *line = readline(prompt);
    if (line != NULL && !end_asked)
        *complaint = clean(line, strlen(line), answer);
    else if (line == NULL)
        screen_text("\n");
    enum heard heard = end_asked ? HEARD_STOP : line == NULL ? HEARD_END : HEARD_ANSWER;
    free(line);
    return heard;
}

/* The next byte: of what was read ahead, else as soon as there is more. Value: as read(2) of one byte;
 * what stands behind a line is kept for the next. */
static ssize_t next_byte(char *byte)
{
    if (ahead_from == ahead_to) {
        ssize_t got = wait_for_input() ? read(STDIN_FILENO, ahead, sizeof ahead) : 0;
        if (got <= 0)
            return got;
        ahead_from = 0;
        ahead_to = got;
    }
    *byte = ahead[ahead_from++];
    return 1;
}

static enum heard read_plain(const char *prompt, char *answer, const char **complaint)
{
    char line[ANSWER_SIZE];
    size_t length = 0;
    char byte = '\0';
    screen_text(prompt);
    screen_settle();
    while (!ended && byte != '\n') {
        ssize_t got = next_byte(&byte);
        if (end_asked) {
            screen_text("\n");
            return HEARD_STOP;
        }
        if (got < 0 && (errno == EINTR || errno == EAGAIN))
            continue;
        ended = got <= 0;
        if (got > 0 && byte != '\n' && length++ < sizeof line)
            line[length - 1] = byte;
    }
    if (ended && length == 0) {
        screen_text("\n");
        return HEARD_END;
    }
    *complaint = clean(line, length, answer);
    if (!isatty(STDIN_FILENO)) {
        /* the terminal that would have shown the typing is not there */
        screen_text(answer);
        screen_text("\n");
    }
    return HEARD_ANSWER;
}

enum heard line_reader_read(const char *prompt, char *answer, const char **complaint)
{
    answer[0] = '\0';
    *complaint = NULL;
    if (end_asked)
        return HEARD_STOP;
    return typed ? read_typed(prompt, answer, complaint) : read_plain(prompt, answer, complaint);
}
