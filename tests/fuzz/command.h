/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COMMAND_H
#define COMMAND_H

/**
 * The commands called from within a target, in a folder of their own, with what they say caught and
 * held to the laws that hold for all of them.
 */

#include <dirent.h>
#include <fcntl.h>
#include <gsl/gsl_errno.h>
#include <locale.h>
#include <signal.h>
#include <stdbool.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli/commands.h"
#include "fuzz.h"

#define COMMAND_WORDS_MOST 10

static char command_folder[64];
static FILE *command_typed; /* what standard input reads */

struct command_path {
    char text[512];
};

/* Where a file of that folder is. */
static struct command_path command_file(const char *name)
{
    struct command_path path;
    snprintf(path.text, sizeof path.text, "%s/%s", command_folder, name);
    return path;
}

static void command_empty(void)
{
    DIR *folder = opendir(command_folder);
    must(folder != NULL);
    for (struct dirent *entry = readdir(folder); entry != NULL; entry = readdir(folder))
        if (entry->d_name[0] != '.' || entry->d_name[1] > '.')
            unlink(command_file(entry->d_name).text);
    closedir(folder);
}

static void command_leave(void)
{
    command_empty();
    rmdir(command_folder);
}

/* Once: a folder of its own, in memory where the machine has such a place. */
static void command_start(void)
{
    if (command_folder[0] != '\0')
        return;
    snprintf(command_folder, sizeof command_folder, "%s/perpend-fuzz-XXXXXX",
        access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    must(mkdtemp(command_folder) != NULL);
    must(atexit(command_leave) == 0);
    must((command_typed = tmpfile()) != NULL);
    must(dup2(fileno(command_typed), STDIN_FILENO) == STDIN_FILENO);
    must(setenv("COLUMNS", "80", 1) == 0);
    must(setlocale(LC_CTYPE, "C.UTF-8") != NULL);
    gsl_set_error_handler_off();
}

static void command_write(const char *name, const void *bytes, size_t size)
{
    FILE *file = fopen(command_file(name).text, "wb");
    must(file != NULL);
    must(size == 0 || fwrite(bytes, size, 1, file) == 1);
    must(fclose(file) == 0);
}

/* Nothing that a terminal acts on, whatever came in. */
static void command_check_text(const char *text, size_t size)
{
    while (size > 0) {
        const char *end = memchr(text, '\n', size);
        size_t length = end ? (size_t)(end - text) : size;
        must(text_is_printable(text, length));
        text += length + (end ? 1 : 0);
        size -= length + (end ? 1 : 0);
    }
}

/* Status 2 and 3 come with a line that says why, and before it at most what was found until then;
   0 without any. */
static void command_check_errors(int status, const char *text)
{
    size_t lines = 0;
    must(status >= 0 && status <= 3);
    for (const char *at = text; *at != '\0'; lines++) {
        const char *end = strchr(at, '\n');
        must(end != NULL);
        must(strncmp(at, "perpend: ", 9) == 0);
        at = end + 1;
    }
    must(status != 0 || lines == 0);
    must(status < 2 || lines > 0);
}

/**
 * Run a command with what is typed.
 *
 * Given:    typed, size  what standard input holds
 *           words        of the command line; ends with NULL
 * Value:    exit status
 */
static int command_run_typed(const char *typed, size_t size, const char *const *words)
{
    char *line[COMMAND_WORDS_MOST + 2] = {NULL}, *said = NULL, *errors = NULL;
    size_t said_size = 0, errors_size = 0;
    int count = 0;
    bool exports = strcmp(words[0], "log") == 0 && strcmp(words[1], "export") == 0;
    line[count++] = fuzz_text((const uint8_t *)"perpend", 7);
    for (; *words != NULL; words++) {
        must(count <= COMMAND_WORDS_MOST);
        line[count++] = fuzz_text((const uint8_t *)*words, strlen(*words));
    }
    must(ftruncate(STDIN_FILENO, 0) == 0);
    must(size == 0 || pwrite(STDIN_FILENO, typed, size, 0) == (ssize_t)size);
    must(lseek(STDIN_FILENO, 0, SEEK_SET) == 0);
    FILE *screen = stdout, *complaints = stderr;
    FILE *out = open_memstream(&said, &said_size), *err = open_memstream(&errors, &errors_size);
    must(out != NULL && err != NULL);
    stdout = out;
    stderr = err;
    /* names of files that the input makes up stay in the folder */
    int here = open(".", O_RDONLY | O_DIRECTORY);
    must(here >= 0 && chdir(command_folder) == 0);
    int status = command_run(count, line);
    must(fchdir(here) == 0 && close(here) == 0);
    stdout = screen;
    stderr = complaints;
    must(fclose(out) == 0 && fclose(err) == 0);
    if (getenv("PERPEND_FUZZ_SHOW"))
        printf("%s%s-- status %d\n", said, errors, status);
    if (!exports) /* what is for programs is as it is in the log */
        command_check_text(said, said_size);
    command_check_text(errors, errors_size);
    command_check_errors(status, errors);
    free(said);
    free(errors);
    while (count > 0)
        free(line[--count]);
    return status;
}

#define command_says(...) command_run_typed("", 0, (const char *const[]){__VA_ARGS__, NULL})

#endif
