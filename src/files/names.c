/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "files/names.h"

#define NAME_COMPARED 32 /* bytes; a longer name is not guessed at */

static char *words(char *buffer, const char *const *names, size_t count, const char *last)
{
    size_t used = 0;
    buffer[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        const char *between = i == 0 ? "" : i + 1 == count ? last : ", ";
        /* room for this name and a sign that there are more */
        if (used + strlen(between) + strlen(names[i]) + sizeof " …" > WORDS) {
            snprintf(buffer + used, WORDS - used, " …");
            break;
        }
        used += (size_t)snprintf(buffer + used, WORDS - used, "%s%s", between, names[i]);
    }
    return buffer;
}

char *words_and(char *buffer, const char *const *names, size_t count)
{
    return words(buffer, names, count, " and ");
}

char *words_or(char *buffer, const char *const *names, size_t count)
{
    return words(buffer, names, count, " or ");
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* ASCII only, as in perpend/units.h: where people write a dotless i the C library's tolower makes
   no "dial" of "DIAL". */
static int lower(char letter)
{
    return letter >= 'A' && letter <= 'Z' ? letter - 'A' + 'a' : letter;
}

static bool same_letter(char a, char b)
{
    return lower(a) == lower(b);
}

/* Edits (a letter put in, left out, changed; two exchanged) from one text to the other: the optimal
   string alignment distance, three rows at a time. */
static size_t edits(const char *a, size_t a_length, const char *b, size_t b_length)
{
    size_t rows[3][NAME_COMPARED + 1];
    for (size_t j = 0; j <= b_length; j++)
        rows[0][j] = j;
    for (size_t i = 1; i <= a_length; i++) {
        const size_t *two_up = rows[(i + 1) % 3], *up = rows[(i + 2) % 3];
        size_t *row = rows[i % 3];
        row[0] = i;
        for (size_t j = 1; j <= b_length; j++) {
            size_t changed = up[j - 1] + (same_letter(a[i - 1], b[j - 1]) ? 0 : 1);
            row[j] = least(changed, least(up[j], row[j - 1]) + 1);
            if (i > 1 && j > 1 && same_letter(a[i - 1], b[j - 2]) &&
                same_letter(a[i - 2], b[j - 1]))
                row[j] = least(row[j], two_up[j - 2] + 1);
        }
    }
    return rows[a_length % 3][b_length];
}

const char *nearest_name(const char *text, const char *const *names, size_t count)
{
    const char *nearest = NULL;
    size_t length = strlen(text), fewest = 3;
    if (length > NAME_COMPARED)
        return NULL;
    for (size_t i = 0; i < count; i++) {
        size_t name_length = strlen(names[i]);
        if (name_length > NAME_COMPARED)
            continue;
        size_t needed = edits(text, length, names[i], name_length);
        /* more than half the letters wrong is another word, not a slip */
        if (needed < fewest && 2 * needed < (length > name_length ? length : name_length)) {
            fewest = needed;
            nearest = names[i];
        }
    }
    return nearest;
}

char *name_guess(char *buffer, const char *text, const char *const *names, size_t count)
{
    const char *near = nearest_name(text, names, count);
    buffer[0] = '\0';
    if (near != NULL)
        snprintf(buffer, WORDS, "; did you mean %s?", near);
    return buffer;
}

static int folded(char letter)
{
    return letter == '-' || letter == '_' ? ' ' : lower(letter);
}

bool same_word(const char *a, const char *b)
{
    for (; *a != '\0' && *b != '\0'; a++, b++) {
        if (folded(*a) != folded(*b))
            return false;
    }
    return *a == *b;
}
