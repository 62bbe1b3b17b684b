/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COMMANDS_H
#define COMMANDS_H

/**
 * The one table of commands. A command NAME is a file with
 *
 *     int command_NAME(int argc, char **argv);    argv[0] is the command's own name; returns the
 *                                                 exit status: perpend(1)
 *     const char help_NAME[];                     what --help prints
 *
 * and one line here, in the order in which people need them.
 */
#define COMMANDS(ENTRY)                                                                            \
    ENTRY(new, "asks about the machine and writes its file")                                       \
    ENTRY(sweep, "at the machine: readings, answer, adjust, again, until it is good")              \
    ENTRY(solve, "readings in a file to the answer: lean, ridge, what to do")                      \
    ENTRY(ridge, "what a lean, bit, stepover and feed leave; back from a goal")                    \
    ENTRY(board, "the board on the bed: is it flat, how deep to face it, which way")               \
    ENTRY(log, "what was done when, on which machine; corrections, copies")                        \
    ENTRY(report, "one job as a document to attach: HTML, PDF, text")                              \
    ENTRY(page, "perpend for any browser: writes the page, or hands it out")                       \
    ENTRY(help, "more about one command")

#define COMMAND_DECLARE(name, summary)                                                             \
    int command_##name(int argc, char **argv);                                                     \
    extern const char help_##name[];
COMMANDS(COMMAND_DECLARE)
#undef COMMAND_DECLARE

/** Run what the words of the command line ask for; the exit status. */
int command_run(int argc, char **argv);

#endif
