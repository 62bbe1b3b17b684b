/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <utf8proc.h>

#include <perpend/units.h>

#include "files/buffer.h"

/* The text of every failed buffer, known by its address. Not constant, lest a compiler lay it and
   an empty literal in one place; nothing writes to it. */
static char lost[1];

bool buffer_text_is_lost(const char *text)
{
    return text == lost;
}

/* Room for `more` bytes and the NUL. */
static bool buffer_reserve(struct buffer *buffer, size_t more)
{
    if (buffer->failed)
        return false;
    if (more < buffer->room - buffer->length)
        return true;
    size_t room = buffer->room ? buffer->room : 256;
    while (room - buffer->length <= more) {
        if (room > (size_t)-1 / 2)
            goto failed;
        room *= 2;
    }
    char *bytes = realloc(buffer->bytes, room);
    if (!bytes)
        goto failed;
    buffer->bytes = bytes;
    buffer->room = room;
    return true;
failed:
    buffer->failed = true;
    return false;
}

void buffer_add_bytes(struct buffer *buffer, const char *bytes, size_t length)
{
    if (length == 0 || !buffer_reserve(buffer, length))
        return;
    memcpy(buffer->bytes + buffer->length, bytes, length);
    buffer->length += length;
    buffer->bytes[buffer->length] = '\0';
}

void buffer_add(struct buffer *buffer, const char *text)
{
    if (text == NULL || buffer_text_is_lost(text)) {
        buffer->failed = true;
        return;
    }
    buffer_add_bytes(buffer, text, strlen(text));
}

void buffer_addf(struct buffer *buffer, const char *format, ...)
{
    va_list arguments, again;
    va_start(arguments, format);
    va_copy(again, arguments);
    int length = vsnprintf(NULL, 0, format, arguments);
    if (length < 0)
        buffer->failed = true;
    else if (buffer_reserve(buffer, (size_t)length)) {
        vsnprintf(buffer->bytes + buffer->length, (size_t)length + 1, format, again);
        buffer->length += (size_t)length;
    }
    va_end(again);
    va_end(arguments);
}

void buffer_add_character(struct buffer *buffer, int32_t code)
{
    utf8proc_uint8_t bytes[4] = {0};
    buffer_add_bytes(buffer, (const char *)bytes, (size_t)utf8proc_encode_char(code, bytes));
}

void buffer_add_number(struct buffer *buffer, double value, int decimals)
{
    char text[400]; /* the largest double has 309 digits before the point */
    buffer_add(buffer, perpend_number_format(text, sizeof text, value, decimals));
}

const char *buffer_text(const struct buffer *buffer)
{
    if (buffer->failed)
        return lost;
    return buffer->bytes ? buffer->bytes : "";
}

char *buffer_take(struct buffer *buffer)
{
    buffer_reserve(buffer, 0);
    char *text = buffer->failed ? NULL : buffer->bytes;
    if (text != NULL)
        text[buffer->length] = '\0';
    else
        free(buffer->bytes);
    *buffer = (struct buffer){0};
    return text;
}

void buffer_clear(struct buffer *buffer)
{
    buffer->length = 0;
    if (buffer->bytes)
        buffer->bytes[0] = '\0';
}

void buffer_finish(struct buffer *buffer)
{
    if (!buffer)
        return;
    free(buffer->bytes);
    *buffer = (struct buffer){0};
}
