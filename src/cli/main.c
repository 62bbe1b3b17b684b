/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <gsl/gsl_errno.h>

#include "cli/commands.h"
#include "cli/prompt/screen.h"

int main(int argc, char **argv)
{
    gsl_set_error_handler_off(); /* the library looks at what GSL returns; never abort */
    screen_begin();
    return screen_end(command_run(argc, argv));
}
