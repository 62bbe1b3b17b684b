/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SCREEN_H
#define SCREEN_H

/**
 * What the words go to: standard output, its width and what it can show.
 */

#include <stdbool.h>

#include "text/words.h"

/** Open what a caller left closed of the first three descriptors, so that no file of ours lands on
 *  them; a write to one of them then fails and is noticed. Take the locale's characters (only
 *  these), and have a broken pipe, or a file grown beyond what is allowed, reported instead of
 *  killing the program. Call first. */
void screen_begin(void);

/** Words for standard output: COLUMNS or the terminal's width from 60 to 80 columns, UTF-8 when
 *  the locale says so and `ascii` does not forbid it. */
struct words screen_words(enum perpend_unit unit, bool ascii);

/** Write text, or bytes, to standard output. What fails is kept in mind for screen_end. */
void screen_text(const char *text);
void screen_bytes(const char *bytes, size_t length);

/** Write out what is held back; whether all so far could be written. */
bool screen_settle(void);

/** Write and release the words; 0, or 3 when memory was out. */
int screen_print(struct words *words);

/** Write out what standard output still holds and close it; `status`, or 3 with one line when not
 *  everything could be written and nothing else was complained of. Call last. */
int screen_end(int status);

#endif
