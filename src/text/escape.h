/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ESCAPE_H
#define ESCAPE_H

/** Free text made safe. */

#include <stdbool.h>

#include "files/buffer.h"

/** One character at the head of a text and the bytes it takes. Broken UTF-8 gives one byte and
 *  CHARACTER_BROKEN, the end of the text no byte and 0. */
struct character {
    int32_t code;
    size_t bytes;
};
#define CHARACTER_BROKEN (-1)
struct character character_at(const char *text);

/** Columns of a screen that one character takes: marks that sit on the one before take none, the
 *  wide scripts two. Broken UTF-8 takes one. */
size_t character_columns(int32_t code);

/** Append text for HTML, SVG or XML: the five special characters become entities, characters that
 *  XML cannot hold, and broken UTF-8, become U+FFFD. */
void escape_markup(struct buffer *out, const char *text);

/** Whether a character would move the cursor, end the line or turn its writing direction. */
bool turns_line(int32_t code);

/**
 * Free text as it may enter a document: valid UTF-8, no control characters but line ends, none of
 * the characters that turn the writing direction of what follows. By malloc; NULL when memory ran
 * out.
 */
char *clean_text(const char *text);

/** A name that somebody gave: as above, on one line. NULL is "". By malloc; NULL when memory ran out. */
char *clean_name(const char *name);

#define ISOLATE_FIRST "\xe2\x81\xa8" /* U+2068 */
#define ISOLATE_END "\xe2\x81\xa9"   /* U+2069 */

/** The same between isolate marks, to stand within a sentence and keep its writing direction to
 *  itself. By malloc; NULL when memory ran out. */
char *isolated_name(const char *name);

#endif
