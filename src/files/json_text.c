/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <locale.h>
#include <stdlib.h>
#include <string.h>

#include "json_text.h"

/* Measured first: jansson's own growing text drops a key without a word when it cannot grow. */
static char *dumped(json_t *root, size_t flags, const char *ending)
{
    size_t length = json_dumpb(root, NULL, 0, flags);
    char *text = length > 0 ? malloc(length + strlen(ending) + 1) : NULL;
    if (text && json_dumpb(root, text, length, flags) == length) {
        strcpy(text + length, ending);
        return text;
    }
    free(text);
    return NULL;
}

char *json_text(json_t *root, size_t flags, const char *ending)
{
    /* jansson puts a point for the locale's decimal sign, but only where that is one byte: in this
       thread no locale is in force while it prints */
    locale_t plain = root ? newlocale(LC_NUMERIC_MASK, "C", (locale_t)0) : (locale_t)0;
    char *text = NULL;
    if (plain != (locale_t)0) {
        locale_t before = uselocale(plain);
        text = dumped(root, flags, ending);
        uselocale(before);
        freelocale(plain);
    }
    json_decref(root);
    return text;
}
