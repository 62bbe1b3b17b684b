/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <glob.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/commands.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"
#include "files/buffer.h"
#include "log/log.h"

static const struct command {
    const char *name, *summary, *help;
    int (*run)(int argc, char **argv);
} commands[] = {
#define COMMAND_ROW(name, summary) {#name, summary, help_##name, command_##name},
    COMMANDS(COMMAND_ROW)
#undef COMMAND_ROW
};
static const size_t command_count = sizeof commands / sizeof commands[0];

const char help_help[] = "perpend help [COMMAND]\n"
                         "\n"
                         "Say what a command does and which options it takes, or list the "
                         "commands.\n";

/* The program's own help: what it is, what to type first, the commands. */
static void help_program(void)
{
    screen_text("perpend squares the spindle of a small router or mill to its bed. Give it the\n"
                "readings of a sweep arm: it says which way the spindle leans, and how sure that\n"
                "is, what ridge a surfacing bit will leave, and which bolt gets what.\n"
                "\n"
                "Type first:\n"
                "\n"
                "  perpend new      once, to describe your machine\n"
                "  perpend sweep    then at the machine, as often as you like\n"
                "\n"
                "With a machine file and readings in files, for scripts:\n"
                "\n"
                "  perpend solve MACHINE READINGS\n"
                "\n"
                "Commands:\n");
    for (size_t i = 0; i < command_count; i++) {
        char line[100];
        snprintf(line, sizeof line, "  %-8s %s\n", commands[i].name, commands[i].summary);
        screen_text(line);
    }
    screen_text("\n"
                "'perpend COMMAND --help' says more, 'perpend --version' which perpend this is.\n");
}

static const struct command *find_command(const char *name)
{
    for (size_t i = 0; i < command_count; i++)
        if (strcmp(name, commands[i].name) == 0)
            return &commands[i];
    return NULL;
}

static int no_such_command(const char *name)
{
    const char *names[sizeof commands / sizeof commands[0]];
    struct buffer line = {0};
    if (strpbrk(name, "./"))
        return complain(
            2, "'%s' is no command; for files type 'perpend solve MACHINE READINGS'", name);
    for (size_t i = 0; i < command_count; i++)
        names[i] = commands[i].name;
    buffer_addf(&line, "there is no command '%s'", name);
    int status = complain_unknown(buffer_text(&line), name, "", names, command_count);
    buffer_finish(&line);
    return status;
}

int command_help(int argc, char **argv)
{
    struct options options = {.command = "help", .help = help_help};
    int status;
    if (!options_parse(&options, argc, argv, &status))
        return status;
    if (options.operand_count > 1)
        return complain(2, "help: one command at a time, please");
    if (options.operand_count == 0) {
        help_program();
        return 0;
    }
    const struct command *command = find_command(options.operands[0]);
    if (!command)
        return no_such_command(options.operands[0]);
    screen_text(command->help);
    return 0;
}

/* What it takes, and off: to the machine that there is, or to describe one. */
static int begin(void)
{
    struct fault fault;
    glob_t files = {0};
    char *log = log_default_path(&fault), *words[] = {"", NULL};
    bool there =
        glob("*.[yY]*[mM][lL]", 0, NULL, &files) == 0 || (log != NULL && access(log, F_OK) == 0);
    globfree(&files);
    free(log);
    screen_text("perpend squares the spindle of a small router or mill to its bed. You need:\n"
                "- an arm: a rod or wire in the spindle that reaches out to the side\n"
                "- a gauge for the height of its tip: feeler leaves, a dial, or the machine's Z\n"
                "- half an hour, the spindle unplugged; for a new machine a ruler first\n"
                "help works at every question, stop ends; perpend --help lists the commands.\n\n");
    words[0] = there ? "sweep" : "new";
    return there ? command_sweep(1, words) : command_new(1, words);
}

int command_run(int argc, char **argv)
{
    if (argc < 2 && isatty(STDIN_FILENO) && isatty(STDOUT_FILENO))
        return begin();
    const char *word = argc > 1 ? argv[1] : "--help";
    if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0) {
        help_program();
        return 0;
    }
    if (strcmp(word, "--version") == 0) {
        screen_text("perpend " PERPEND_VERSION "\n"
                    "Free software under the GNU General Public License, version 3 or later.\n"
                    "It comes without any warranty.\n");
        return 0;
    }
    if (word[0] == '-' && word[1] != '\0')
        return complain(2,
            "unknown option '%s'; there are --help and --version; options of a command go behind "
            "it",
            word);
    const struct command *command = find_command(word);
    return command ? command->run(argc - 1, argv + 1) : no_such_command(word);
}
