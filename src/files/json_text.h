/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JSON_TEXT_H
#define JSON_TEXT_H

#include <jansson.h>

#include <perpend/geometry.h>

/**
 * Set a key, or append to a list, and take the value over. When either is NULL or memory runs out
 * the object is released and becomes NULL, so that one look at the whole is enough at the end.
 */
void json_put(json_t **object, const char *key, json_t *value);
void json_add(json_t **array, json_t *value);

/** A number, without a sign on nothing; null for one that is not finite. */
json_t *json_number(double value);

json_t *json_text_or_null(const char *text);

/** {"right", "back"} in mm/m. */
json_t *json_slope(struct perpend_slope slope);

/** {"right", "back", "correlation"}: standard uncertainties in mm/m. */
json_t *json_uncertainty(const struct perpend_slope_covariance *covariance);

/** [right, back, up] in mm. */
json_t *json_point(struct perpend_point point);

/**
 * A JSON value as text, and its end.
 *
 * Given:    root    taken over; NULL is fine
 *           flags   of json_dumps
 *           ending  what follows it: a line end, or nothing
 * Value:    by malloc; NULL when memory is out
 */
char *json_text(json_t *root, size_t flags, const char *ending);

/** The same with numbers that read back to the last bit, each in the fewest digits that do, but 15
 *  at least where there are as many. */
char *json_text_exact(json_t *root, size_t flags, const char *ending);

#endif
