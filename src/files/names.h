/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef NAMES_H
#define NAMES_H

/**
 * Lists of names for messages, and the guess at what a mistyped one was meant to be.
 */

#include <stdbool.h>
#include <stddef.h>

#define WORDS 240 /* bytes: room for a list of names */

/** "a, b and c", "a, b or c"; cut with "…" when there are too many. Value: buffer (WORDS bytes). */
char *words_and(char *buffer, const char *const *names, size_t count);
char *words_or(char *buffer, const char *const *names, size_t count);

/** Equal but for letter case; a blank, a hyphen and an underscore are the same. */
bool same_word(const char *a, const char *b);

/** The name nearest to a mistyped one (letter case ignored), or NULL when none is near. */
const char *nearest_name(const char *text, const char *const *names, size_t count);

/** "; did you mean length?" of the nearest one, "" when none is near. Value: buffer (WORDS bytes). */
char *name_guess(char *buffer, const char *text, const char *const *names, size_t count);

#endif
