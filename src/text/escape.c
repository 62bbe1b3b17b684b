/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/escape.h"

void escape_markup(GString *out, const char *text)
{
    for (const char *at = text; *at != '\0'; at = g_utf8_next_char(at)) {
        const gunichar c = g_utf8_get_char(at);
        if (c == '<')
            g_string_append(out, "&lt;");
        else if (c == '>')
            g_string_append(out, "&gt;");
        else if (c == '&')
            g_string_append(out, "&amp;");
        else if (c == '"')
            g_string_append(out, "&quot;");
        else if (c == '\'')
            g_string_append(out, "&#39;");
        else if ((c < 0x20 && c != '\n' && c != '\t') || (c >= 0x7f && c < 0xa0) ||
                 (c & 0xfffe) == 0xfffe)
            g_string_append(out, "\xef\xbf\xbd");
        else
            g_string_append_unichar(out, c);
    }
}

/* Embeddings, overrides, isolates and marks of writing direction. */
static bool turns_direction(gunichar c)
{
    return c == 0x061c || c == 0x200e || c == 0x200f || (c >= 0x202a && c <= 0x202e) ||
           (c >= 0x2066 && c <= 0x2069);
}

static bool ends_line(gunichar c)
{
    return c == '\n' || c == 0x2028 || c == 0x2029;
}

bool turns_line(gunichar c)
{
    return g_unichar_iscntrl(c) || ends_line(c) || turns_direction(c);
}

char *clean_text(const char *text)
{
    char *valid = g_utf8_make_valid(text, -1);
    GString *clean = g_string_new(NULL);
    for (const char *at = valid; *at != '\0'; at = g_utf8_next_char(at)) {
        const gunichar c = g_utf8_get_char(at);
        if (ends_line(c))
            g_string_append_c(clean, '\n');
        else if (g_unichar_iscntrl(c))
            g_string_append_c(clean, ' ');
        else if (!turns_direction(c))
            g_string_append_unichar(clean, c);
    }
    g_free(valid);
    return g_string_free(clean, FALSE);
}

char *clean_name(const char *name)
{
    char *clean = clean_text(name == NULL ? "" : name);
    for (char *c = clean; *c != '\0'; c++)
        if (*c == '\n')
            *c = ' ';
    return g_strstrip(clean);
}

char *isolated_name(const char *name)
{
    char *clean = clean_name(name);
    if (*clean == '\0')
        return clean;
    char *isolated = g_strconcat(ISOLATE_FIRST, clean, ISOLATE_END, NULL);
    g_free(clean);
    return isolated;
}
