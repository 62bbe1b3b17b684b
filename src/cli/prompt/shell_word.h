/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_SHELL_WORD_H
#define CLI_SHELL_WORD_H

/**
 * A file's name within a command that people may type as it stands.
 */

#include "files/buffer.h"

/** Add the name as one word of a shell's command, in quotes where it needs them, for a paragraph of
 *  words.h: its blanks do not end a line. */
void shell_word_add(struct buffer *command, const char *name);

#endif
