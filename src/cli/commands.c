/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include "cli/commands.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"

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
    for (size_t i = 0; i < command_count; i++)
        names[i] = commands[i].name;
    const char *meant = name_meant(name, names, command_count);
    if (meant)
        return complain(2, "there is no command '%s'; did you mean '%s'?", name, meant);
    if (strchr(name, '.') || strchr(name, '/'))
        return complain(
            2, "'%s' is no command; for files type 'perpend solve MACHINE READINGS'", name);
    return complain(2, "there is no command '%s'; 'perpend help' lists them", name);
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

int command_run(int argc, char **argv)
{
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
        return complain(2, "unknown option '%s'; 'perpend help' lists the commands", word);
    const struct command *command = find_command(word);
    return command ? command->run(argc - 1, argv + 1) : no_such_command(word);
}
