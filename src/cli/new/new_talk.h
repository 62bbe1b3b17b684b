/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_TALK_H
#define CLI_NEW_TALK_H

#include <stdbool.h>

/** The conversation of `perpend new`; `path` may be NULL. Value: the exit status. */
int new_machine(const char *path, bool ascii);

#endif
