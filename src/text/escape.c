/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include <utf8proc.h>

#include "text/escape.h"

#define REPLACEMENT 0xfffd

struct character character_at(const char *text)
{
    utf8proc_int32_t code = 0;
    if (*text == '\0')
        return (struct character){0, 0};
    utf8proc_ssize_t bytes = utf8proc_iterate((const utf8proc_uint8_t *)text, -1, &code);
    if (bytes < 1)
        return (struct character){CHARACTER_BROKEN, 1};
    return (struct character){code, (size_t)bytes};
}

size_t character_columns(int32_t code)
{
    const utf8proc_property_t *property = utf8proc_get_property(code);
    /* vowels and ends that join a Korean syllable sit on it, as terminals set them */
    if (property->boundclass == UTF8PROC_BOUNDCLASS_V ||
        property->boundclass == UTF8PROC_BOUNDCLASS_T)
        return 0;
    switch (property->category) {
    case UTF8PROC_CATEGORY_MN:
    case UTF8PROC_CATEGORY_ME:
    case UTF8PROC_CATEGORY_CF:
        return (size_t)property->charwidth;
    default:
        return property->charwidth == 2 ? 2 : 1;
    }
}

void escape_markup(struct buffer *out, const char *text)
{
    static const struct {
        int32_t code;
        const char *entity;
    } special[] = {{'<', "&lt;"}, {'>', "&gt;"}, {'&', "&amp;"}, {'"', "&quot;"}, {'\'', "&#39;"}};
    for (struct character c; (c = character_at(text)).bytes > 0; text += c.bytes) {
        const char *entity = NULL;
        for (size_t i = 0; i < sizeof special / sizeof special[0]; i++)
            if (special[i].code == c.code)
                entity = special[i].entity;
        if (entity != NULL)
            buffer_add(out, entity);
        else if ((c.code < 0x20 && c.code != '\n' && c.code != '\t') ||
                 (c.code >= 0x7f && c.code < 0xa0) || (c.code & 0xfffe) == 0xfffe)
            buffer_add_character(out, REPLACEMENT);
        else
            buffer_add_bytes(out, text, c.bytes);
    }
}

/* Embeddings, overrides, isolates and marks of writing direction. */
static bool turns_direction(int32_t code)
{
    return code == 0x061c || code == 0x200e || code == 0x200f ||
           (code >= 0x202a && code <= 0x202e) || (code >= 0x2066 && code <= 0x2069);
}

static bool ends_line(int32_t code)
{
    return code == '\n' || code == 0x2028 || code == 0x2029;
}

static bool is_control(int32_t code)
{
    return (code >= 0 && code < 0x20) || (code >= 0x7f && code < 0xa0);
}

bool turns_line(int32_t code)
{
    return is_control(code) || ends_line(code) || turns_direction(code);
}

/* Clean text without blanks and line ends round it; on one line when `line_end` is a blank. */
static void add_clean(struct buffer *out, const char *text, char line_end)
{
    for (struct character c; (c = character_at(text)).bytes > 0; text += c.bytes) {
        if (c.code == CHARACTER_BROKEN)
            buffer_add_character(out, REPLACEMENT);
        else if (ends_line(c.code) || is_control(c.code))
            buffer_add_character(out, ends_line(c.code) ? line_end : ' ');
        else if (!turns_direction(c.code))
            buffer_add_bytes(out, text, c.bytes);
    }
}

static char *stripped(struct buffer *text)
{
    const char *all = buffer_text(text);
    const char *first = all + strspn(all, " \n");
    size_t length = strlen(first);
    while (length > 0 && (first[length - 1] == ' ' || first[length - 1] == '\n'))
        length--;
    struct buffer only = {.failed = text->failed};
    buffer_add_bytes(&only, first, length);
    buffer_finish(text);
    return buffer_take(&only);
}

char *clean_text(const char *text)
{
    struct buffer clean = {0};
    add_clean(&clean, text, '\n');
    return stripped(&clean);
}

char *clean_name(const char *name)
{
    struct buffer clean = {0};
    add_clean(&clean, name == NULL ? "" : name, ' ');
    return stripped(&clean);
}

char *isolated_name(const char *name)
{
    char *clean = clean_name(name);
    if (clean == NULL || *clean == '\0')
        return clean;
    struct buffer isolated = {0};
    buffer_add(&isolated, ISOLATE_FIRST);
    buffer_add(&isolated, clean);
    buffer_add(&isolated, ISOLATE_END);
    free(clean);
    return buffer_take(&isolated);
}
