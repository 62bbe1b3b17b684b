/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/commands.h"
#include "cli/options.h"
#include "cli/sweep/session.h"

const char help_sweep[] =
    "perpend sweep [MACHINE] [options]\n"
    "\n"
    "At the machine: type one reading a line, see the answer and what to do, adjust,\n"
    "and sweep again, until the goal is met. Each reading is in the log before it is\n"
    "said to be kept; after a stop of any kind the same command goes on from there.\n"
    "Without MACHINE it takes the only machine file in this folder, or the last one\n"
    "used.\n"
    "\n"
    "help at any question tells its words: undo, skip, again, plan, more, print FILE,\n"
    "bit 20, note TEXT, stop; left 0.45 takes or corrects the reading at the left.\n"
    "\n"
    "  --log FILE  the log to keep, instead of the usual one\n"
    "  --who NAME  who does the job, for the record\n"
    "  --resume    go on with the unfinished job without asking\n"
    "  --fresh     begin a new job without asking; the unfinished one is given up\n"
    "  --ascii     no characters beyond ASCII\n"
    "  --help      this\n"
    "\n"
    "Exit status: 0 goal met, or none set; 1 not met, too close to call, or stopped;\n"
    "2 the command line or a file is wrong; 3 the computer failed (disk,\n"
    "permissions).\n"
    "\n"
    "Example: perpend sweep tern.yaml\n";

int command_sweep(int argc, char **argv)
{
    struct sweep_wishes wishes = {.machine = NULL};
    const struct option_row rows[] = {
        {"log", NULL, &wishes.log},
        {"who", NULL, &wishes.who},
        {"resume", &wishes.resume, NULL},
        {"fresh", &wishes.fresh, NULL},
        {"ascii", &wishes.ascii, NULL},
    };
    struct options options = {"sweep", help_sweep, rows, sizeof rows / sizeof rows[0], NULL, 0};
    int status;
    if (!options_parse(&options, argc, argv, &status))
        return status;
    if (options.operand_count > 1)
        return complain(2, "sweep: one machine file at most; 'perpend sweep --help' says more");
    if (wishes.resume && wishes.fresh)
        return complain(2, "sweep: --resume and --fresh say opposite things; leave one out");
    wishes.machine = options.operand_count > 0 ? options.operands[0] : NULL;
    return session_run(&wishes);
}
