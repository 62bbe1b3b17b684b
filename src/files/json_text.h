/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JSON_TEXT_H
#define JSON_TEXT_H

#include <jansson.h>

/**
 * A JSON value as text, and its end.
 *
 * Given:    root    taken over; NULL is fine
 *           flags   of json_dumps
 *           ending  what follows it: a line end, or nothing
 * Value:    by malloc; NULL when memory is out
 */
char *json_text(json_t *root, size_t flags, const char *ending);

#endif
