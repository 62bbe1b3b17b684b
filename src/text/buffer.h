/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef BUFFER_H
#define BUFFER_H

/**
 * Text that grows. A zeroed buffer is empty and ready. When memory runs out the buffer turns
 * `failed` and takes no more; check it once, at the end.
 */

#include <stdbool.h>
#include <stddef.h>

struct buffer {
    char *bytes;   /* NUL-terminated; NULL while nothing was added: see buffer_text */
    size_t length; /* without the NUL */
    size_t room;
    bool failed;
};

/** Add a string, `length` bytes, or what a printf format makes. Do not print numbers with a
 *  fraction this way: perpend_number_format does not depend on the locale, printf does. */
void buffer_add(struct buffer *buffer, const char *text);
void buffer_add_bytes(struct buffer *buffer, const char *bytes, size_t length);
void buffer_addf(struct buffer *buffer, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/** Add a number with a fixed count of decimals and a point, whatever the locale. */
void buffer_add_number(struct buffer *buffer, double value, int decimals);

/**
 * The text so far, never NULL; gone when the buffer is added to. A failed buffer gives an empty
 * text that makes every buffer fail which it is added to, so that a phrase lost on the way is
 * noticed at the end.
 */
const char *buffer_text(const struct buffer *buffer);

/** Is this the text of a buffer that failed? */
bool buffer_text_is_lost(const char *text);

/** Empty it and keep its memory; or release all it owns. */
void buffer_clear(struct buffer *buffer);
void buffer_finish(struct buffer *buffer);

#endif
