/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FAULT_H
#define FAULT_H

/**
 * What the readers share for their messages: text from outside is cut and made harmless before it
 * reaches a terminal.
 */

#include <stdint.h>

#include "files/files.h"

#define QUOTED 64      /* bytes: room for quote() */
#define NAME_SHOWN 120 /* bytes: room for name_shown() */

/** The character that a text begins with, and its bytes in UTF-8 (1 to 4); 0 when there is none. */
size_t utf8_at(const char *text, size_t length, int32_t *code);

/** Valid UTF-8 without control characters or invisible ones; the joiners within words, as Persian and
 *  pictures of people have them, may stand in it. */
bool text_is_printable(const char *text, size_t length);

/** Whether a printable text has nothing to see. */
bool text_is_blank(const char *text);

/** A text in double quotes, cut with "…" when it is long. Value: buffer. */
char *quote(char *buffer, const char *text, size_t length);

/** A file's name as messages show it: "-" is standard input, a long path loses its beginning. */
char *name_shown(char *buffer, const char *name);

/** Status 3, out of memory. Always returns false. */
bool fault_memory(struct fault *fault, const char *name);

/** Refuse what is not UTF-8 and what holds control characters other than tab and line feed, with
 *  the line. */
bool text_check(const char *text, size_t length, const char *name, struct fault *fault);

#endif
