/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef BUFFER_H
#define BUFFER_H

/**
 * Text that grows: the one way in which every part puts texts together.
 *
 * A zeroed buffer is empty and ready. When memory runs out the buffer turns `failed` and takes no
 * more, so that nothing need be checked on the way: check it once, at the end.
 *
 * A text that somebody else is to own is taken out of its buffer by buffer_take: a plain string,
 * released by free(), NULL when memory ran out. A text that is NULL counts as lost: what it is added
 * to fails too. So do all functions that return a `char *` here (escape.h, say.h).
 */

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct buffer {
    char *bytes;   /* NUL-terminated; NULL while nothing was added: see buffer_text */
    size_t length; /* without the NUL */
    size_t room;
    bool failed;
};

/** Add a string, NULL being a lost one; `length` bytes, or what a printf format makes. Do not print
 *  numbers with a fraction this way: perpend_number_format does not depend on the locale, printf
 *  does. */
void buffer_add(struct buffer *buffer, const char *text);
void buffer_add_bytes(struct buffer *buffer, const char *bytes, size_t length);
void buffer_addf(struct buffer *buffer, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/** Add one character, a valid code point of Unicode, in UTF-8. */
void buffer_add_character(struct buffer *buffer, int32_t code);

/** Add a number with a fixed count of decimals and a point, whatever the locale. */
void buffer_add_number(struct buffer *buffer, double value, int decimals);

/**
 * The text so far, never NULL; gone when the buffer is added to. A failed buffer gives an empty
 * text that makes every buffer fail which it is added to, so that a phrase lost on the way is
 * noticed at the end.
 */
const char *buffer_text(const struct buffer *buffer);

/** The text as a string of its own, by malloc; NULL when memory ran out. The buffer is empty again. */
char *buffer_take(struct buffer *buffer);

/** Is this the text of a buffer that failed? */
bool buffer_text_is_lost(const char *text);

/** Empty it and keep its memory; or release all it owns. */
void buffer_clear(struct buffer *buffer);
void buffer_finish(struct buffer *buffer);

#endif
