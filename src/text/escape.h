/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ESCAPE_H
#define ESCAPE_H

/** Free text made safe. */

#include <stdbool.h>

#include <glib.h>

/** Append text for HTML, SVG or XML: the five special characters become entities, characters that
 *  XML cannot hold become U+FFFD. The text must be valid UTF-8. */
void escape_markup(GString *out, const char *text);

/** Whether a character would move the cursor, end the line or turn its writing direction. */
bool turns_line(gunichar c);

/**
 * Free text as it may enter a document: valid UTF-8, no control characters but line ends, none of
 * the characters that turn the writing direction of what follows. By g_malloc.
 */
char *clean_text(const char *text);

/** A name that somebody gave: as above, on one line. NULL is "". By g_malloc. */
char *clean_name(const char *name);

#define ISOLATE_FIRST "\xe2\x81\xa8" /* U+2068 */
#define ISOLATE_END "\xe2\x81\xa9"   /* U+2069 */

/** The same between isolate marks, to stand within a sentence and keep its writing direction to
 *  itself. By g_malloc. */
char *isolated_name(const char *name);

#endif
