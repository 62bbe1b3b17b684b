/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JSON_H
#define JSON_H

/**
 * JSON, put together in the order in which it is read. A zeroed one is empty and ready; memory that
 * runs out is noticed at the end.
 */

#include <stdbool.h>

#include <perpend/geometry.h>

#include "files/buffer.h"

struct json {
    struct buffer text;
    bool compact; /* one line without blanks; else indented by two */
    bool exact;   /* numbers read back to the last bit; else to a billionth, 12 digits */
    unsigned depth;
    bool begun;      /* something stands in the innermost object or list */
    const char *key; /* of the value that comes next; NULL for an entry of a list */
    size_t key_length;
};

/**
 * Add what a sketch of it says, keys without their quotes: "{right: %g, at: [%g, null]". An object or
 * list stays open until a later call closes it. What is filled in:
 *
 *     %g    a number, without a sign on nothing; null for one that is not finite
 *     %lld  a whole number
 *     %i    true or false, of a bool
 *     %s    a text, bytes that are no UTF-8 as question marks; null for NULL
 *     %s:   a key; NULL for none
 */
void json_add(struct json *json, const char *sketch, ...) __attribute__((format(printf, 2, 3)));

/** What is JSON already, but for a line end at its end; NULL counts as lost. */
void json_put_json(struct json *json, const char *key, const char *value);

/** {"right", "back"} in mm/m. */
void json_put_slope(struct json *json, const char *key, struct perpend_slope slope);

/** {"right", "back", "correlation"}: standard uncertainties in mm/m. */
void json_put_uncertainty(
    struct json *json, const char *key, const struct perpend_slope_covariance *covariance);

/** [right, back, up] in mm. */
void json_put_point(struct json *json, const char *key, struct perpend_point point);

/** The whole, with a line end unless it is compact; by malloc, NULL when memory is out. */
char *json_take(struct json *json);

#endif
