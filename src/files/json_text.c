/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include "json_text.h"

/* Measured first: jansson's own growing text drops a key without a word when it cannot grow. */
char *json_text(json_t *root, size_t flags, const char *ending)
{
    size_t length = root ? json_dumpb(root, NULL, 0, flags) : 0;
    char *text = length > 0 ? malloc(length + strlen(ending) + 1) : NULL;
    if (text && json_dumpb(root, text, length, flags) == length)
        strcpy(text + length, ending);
    else {
        free(text);
        text = NULL;
    }
    json_decref(root);
    return text;
}
