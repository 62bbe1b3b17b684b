/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/commands.h"
#include "cli/new/new_talk.h"
#include "cli/options.h"

const char help_new[] =
    "perpend new [FILE] [options]\n"
    "\n"
    "Asks about the machine, one question at a time, each with how to find the\n"
    "answer with a ruler, and writes a machine file: FILE, or the name it asks for\n"
    "at the end. At each question: help explains it, undo goes back to the one\n"
    "before, stop ends, Enter alone takes the answer in [brackets]. Nothing is\n"
    "written before the end, and no file is replaced without asking.\n"
    "\n"
    "  --ascii  no characters beyond ASCII\n"
    "  --help   this\n"
    "\n"
    "Exit status: 0 written; 1 stopped, nothing written; 2 the command line is\n"
    "wrong, or the answers ended early; 3 the computer failed (disk, permissions).\n"
    "\n"
    "Example: perpend new tern.yaml\n";

int command_new(int argc, char **argv)
{
    bool ascii = false;
    const struct option_row rows[] = {{"ascii", &ascii, NULL}};
    struct options options = {"new", help_new, rows, sizeof rows / sizeof rows[0], NULL, 0};
    int status;
    if (!options_parse(&options, argc, argv, &status))
        return status;
    if (options.operand_count > 1)
        return complain(2, "new: one file at most; 'perpend new --help' says more");
    return new_machine(options.operand_count > 0 ? options.operands[0] : NULL, ascii);
}
