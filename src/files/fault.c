/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "files/fault.h"

/* Bytes of the UTF-8 sequence at `text`, or 0 when there is no valid one (RFC 3629, section 4). */
size_t utf8_sequence(const char *text, size_t length)
{
    const unsigned char *byte = (const unsigned char *)text;
    if (length == 0)
        return 0;
    if (byte[0] < 0x80)
        return 1;
    size_t count = byte[0] >= 0xF0 ? 4 : byte[0] >= 0xE0 ? 3 : 2;
    if (byte[0] < 0xC2 || byte[0] > 0xF4 || length < count)
        return 0;
    for (size_t i = 1; i < count; i++) {
        if ((byte[i] & 0xC0) != 0x80)
            return 0;
    }
    /* no overlong forms, no surrogates, nothing past U+10FFFF */
    if ((byte[0] == 0xE0 && byte[1] < 0xA0) || (byte[0] == 0xED && byte[1] > 0x9F) ||
        (byte[0] == 0xF0 && byte[1] < 0x90) || (byte[0] == 0xF4 && byte[1] > 0x8F))
        return 0;
    return count;
}

/* Characters that a terminal would act on or that would hide or reorder what stands beside them:
   C0, DEL, C1, the line and paragraph separators, bidirectional and zero-width controls. */
static bool harmful(const unsigned char *byte, size_t count)
{
    if (count == 1)
        return byte[0] < 0x20 || byte[0] == 0x7F;
    if (count == 2)
        return byte[0] == 0xC2 && byte[1] < 0xA0;
    if (count == 3 && byte[0] == 0xE2 && byte[1] == 0x80)
        return (byte[2] >= 0x8B && byte[2] <= 0x8F) || (byte[2] >= 0xA8 && byte[2] <= 0xAE);
    if (count == 3 && byte[0] == 0xE2 && byte[1] == 0x81)
        return byte[2] >= 0xA0 && byte[2] <= 0xAF;
    return count == 3 && byte[0] == 0xEF && byte[1] == 0xBB && byte[2] == 0xBF;
}

bool text_is_printable(const char *text, size_t length)
{
    for (size_t i = 0; i < length;) {
        size_t count = utf8_sequence(text + i, length - i);
        if (count == 0 || harmful((const unsigned char *)text + i, count))
            return false;
        i += count;
    }
    return true;
}

/* In place: whatever is harmful or not UTF-8 becomes a question mark. */
static void make_harmless(char *text)
{
    size_t length = strlen(text), to = 0;
    for (size_t from = 0; from < length;) {
        size_t count = utf8_sequence(text + from, length - from);
        if (count == 0 || harmful((const unsigned char *)text + from, count)) {
            text[to++] = '?';
            from += count == 0 ? 1 : count;
        } else {
            memmove(text + to, text + from, count);
            to += count;
            from += count;
        }
    }
    text[to] = '\0';
}

bool fault_set(struct fault *fault, int status, const char *format, ...)
{
    va_list arguments;
    fault->status = status;
    fault->is_job = false;
    va_start(arguments, format);
    vsnprintf(fault->text, sizeof fault->text, format, arguments);
    va_end(arguments);
    make_harmless(fault->text);
    return false;
}

bool fault_memory(struct fault *fault, const char *name)
{
    char shown[NAME_SHOWN];
    return fault_set(
        fault, 3, "%s: out of memory; close other programs and try again", name_shown(shown, name));
}

char *quote(char *buffer, const char *text, size_t length)
{
    const size_t most = QUOTED - sizeof "\"…\"";
    size_t taken = 0;
    while (taken < length && taken < most) {
        size_t count = utf8_sequence(text + taken, length - taken);
        count = count == 0 ? 1 : count;
        if (taken + count > most)
            break;
        taken += count;
    }
    snprintf(buffer, QUOTED, "\"%.*s%s\"", (int)taken, text, taken < length ? "…" : "");
    return buffer;
}

char *name_shown(char *buffer, const char *name)
{
    if (strcmp(name, "-") == 0)
        name = "standard input";
    size_t length = strlen(name);
    const size_t most = NAME_SHOWN - sizeof "…";
    if (length <= most) {
        snprintf(buffer, NAME_SHOWN, "%s", name);
        return buffer;
    }
    /* the end of a long path says more than its beginning; start on a whole character */
    const char *end = name + length - most;
    while (((unsigned char)*end & 0xC0) == 0x80)
        end++;
    snprintf(buffer, NAME_SHOWN, "…%s", end);
    return buffer;
}
