/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/commands.h"
#include "cli/options.h"
#include "cli/sweep/session.h"

const char help_sweep[] =
#include "cli/sweep/help.inc"
    ;

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
