/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JSON_H
#define JSON_H

/**
 * JSON, put together in the order in which it is read. A zeroed one is empty and ready; memory that
 * runs out is noticed at the end.
 *
 * `key` is NULL for an entry of a list, and for the root.
 */

#include <stdbool.h>

#include <perpend/geometry.h>

#include "files/buffer.h"

struct json {
    struct buffer text;
    bool compact; /* one line without blanks; else indented by two */
    bool exact;   /* numbers read back to the last bit; else they have 15 digits */
    unsigned depth;
    bool begun; /* something stands in the innermost object or list */
};

/** Begin an object or a list, by its bracket, and end it. */
void json_open(struct json *json, const char *key, char bracket);
void json_close(struct json *json, char bracket);

/** A number, without a sign on nothing; null for one that is not finite. */
void json_put_number(struct json *json, const char *key, double value);
void json_put_integer(struct json *json, const char *key, long long value);
void json_put_bool(struct json *json, const char *key, bool value);
void json_put_null(struct json *json, const char *key);

/** A text; null for NULL. Bytes that are no UTF-8 become question marks. */
void json_put_text(struct json *json, const char *key, const char *text);

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
