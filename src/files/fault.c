/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <utf8proc.h>

#include "files/fault.h"

size_t utf8_at(const char *text, size_t length, int32_t *code)
{
    utf8proc_ssize_t count =
        utf8proc_iterate((const utf8proc_uint8_t *)text, (utf8proc_ssize_t)length, code);
    return count > 0 ? (size_t)count : 0;
}

#define IS_JOINER(code) ((code) == 0x200C || (code) == 0x200D)

/* Characters that Unicode keeps for no use. */
static bool is_none(int32_t code)
{
    return (code & 0xFFFE) == 0xFFFE || (code >= 0xFDD0 && code <= 0xFDEF);
}

/* Characters that a terminal would act on or that would hide or reorder what stands beside them. */
static bool harmful(int32_t code)
{
    switch (utf8proc_category(code)) {
    case UTF8PROC_CATEGORY_CC:
    case UTF8PROC_CATEGORY_CF:
    case UTF8PROC_CATEGORY_ZL:
    case UTF8PROC_CATEGORY_ZP:
        return !IS_JOINER(code);
    default:
        return is_none(code);
    }
}

bool text_is_printable(const char *text, size_t length)
{
    int32_t code;
    for (size_t i = 0; i < length;) {
        size_t count = utf8_at(text + i, length - i, &code);
        if (count == 0 || harmful(code))
            return false;
        i += count;
    }
    return true;
}

bool text_is_blank(const char *text)
{
    int32_t code;
    for (size_t count; (count = utf8_at(text, strlen(text), &code)) > 0 && code != 0; text += count)
        if (!IS_JOINER(code) && utf8proc_category(code) != UTF8PROC_CATEGORY_ZS)
            return false;
    return true;
}

/* In place: whatever is harmful or not UTF-8 becomes a question mark. */
static void make_harmless(char *text)
{
    size_t length = strlen(text), to = 0;
    for (size_t from = 0; from < length;) {
        int32_t code;
        size_t count = utf8_at(text + from, length - from, &code);
        if (count == 0 || harmful(code)) {
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
        int32_t code;
        size_t count = utf8_at(text + taken, length - taken, &code);
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

/* Tab and line feed may stand in a file. YAML takes no other control character, nor what is no
   character at all, and it would count lines at those that separate lines and paragraphs. */
static bool may_stand_in_file(int32_t code)
{
    utf8proc_category_t category = utf8proc_category(code);
    return code == '\t' || code == '\n' ||
           (category != UTF8PROC_CATEGORY_CC && category != UTF8PROC_CATEGORY_ZL &&
               category != UTF8PROC_CATEGORY_ZP && !is_none(code));
}

bool text_check(const char *text, size_t length, const char *name, struct fault *fault)
{
    char shown[NAME_SHOWN];
    size_t line = 1;
    name_shown(shown, name);
    for (size_t i = 0; i < length;) {
        int32_t code;
        size_t count = utf8_at(text + i, length - i, &code);
        if (count == 0)
            return fault_set(
                fault, 2, "%s:%zu: is not UTF-8 text; save the file as UTF-8", shown, line);
        if (code == 0)
            return fault_set(
                fault, 2, "%s:%zu: is binary, not text; give a YAML or CSV file", shown, line);
        if (!may_stand_in_file(code))
            return fault_set(fault, 2, "%s:%zu: has a %s (code %d); remove it", shown, line,
                is_none(code) ? "code that stands for no character" : "control character",
                (int)code);
        line += code == '\n';
        i += count;
    }
    return true;
}
