/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ESCAPE_H
#define ESCAPE_H

/** Free text made safe. */

#include <glib.h>

/** Append text for HTML, SVG or XML: the five special characters become entities, characters that
 *  XML cannot hold become U+FFFD. The text must be valid UTF-8. */
void escape_markup(GString *out, const char *text);

/**
 * Free text as it may enter a document: valid UTF-8, no control characters but line ends, none of
 * the characters that turn the writing direction of what follows. By g_malloc.
 */
char *clean_text(const char *text);

#endif
