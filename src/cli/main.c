/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/commands.h"
#include "cli/prompt/screen.h"

int main(int argc, char **argv)
{
    screen_begin();
    return screen_end(command_run(argc, argv));
}
