/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <locale.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>
#include <perpend/units.h>

#include "files/json_text.h"
#include "files/number.h"

static void drop_unless(int done, json_t **whole)
{
    if (done == 0)
        return;
    json_decref(*whole);
    *whole = NULL;
}

void json_put(json_t **object, const char *key, json_t *value)
{
    drop_unless(json_object_set_new(*object, key, value), object);
}

void json_add(json_t **array, json_t *value)
{
    drop_unless(json_array_append_new(*array, value), array);
}

json_t *json_number(double value)
{
    if (!isfinite(value))
        return json_null();
    return json_real(value == 0.0 ? 0.0 : value);
}

json_t *json_text_or_null(const char *text)
{
    return text == NULL ? json_null() : json_string(text);
}

json_t *json_slope(struct perpend_slope slope)
{
    json_t *object = json_object();
    json_put(&object, "right", json_number(PERPEND_MM_PER_METRE * slope.right));
    json_put(&object, "back", json_number(PERPEND_MM_PER_METRE * slope.back));
    return object;
}

json_t *json_uncertainty(const struct perpend_slope_covariance *covariance)
{
    double right = sqrt(covariance->right_right), back = sqrt(covariance->back_back);
    json_t *object = json_object();
    json_put(&object, "right", json_number(PERPEND_MM_PER_METRE * right));
    json_put(&object, "back", json_number(PERPEND_MM_PER_METRE * back));
    json_put(&object, "correlation", json_number(covariance->right_back / (right * back)));
    return object;
}

json_t *json_point(struct perpend_point point)
{
    json_t *array = json_array();
    json_add(&array, json_number(point.right));
    json_add(&array, json_number(point.back));
    json_add(&array, json_number(point.up));
    return array;
}

/* Measured first: jansson's own growing text drops a key without a word when it cannot grow. */
static char *dumped(json_t *root, size_t flags, const char *ending)
{
    size_t length = json_dumpb(root, NULL, 0, flags);
    char *text = length > 0 ? malloc(length + strlen(ending) + 1) : NULL;
    if (text && json_dumpb(root, text, length, flags) == length) {
        memcpy(text + length, ending, strlen(ending) + 1);
        return text;
    }
    free(text);
    return NULL;
}

/* "1e-05" as jansson writes it: "1e-5". */
static void shorten_exponent(char *number)
{
    char *digits = strpbrk(number, "e");
    if (digits == NULL)
        return;
    digits += 1 + strspn(digits + 1, "+-");
    size_t idle = strspn(digits, "0");
    if (digits[idle] != '\0')
        memmove(digits, digits + idle, strlen(digits + idle) + 1);
}

/* A number that is not whole, as short as it goes; false when it is so already. */
static bool shorter_number(const char *number, char *shorter)
{
    double value;
    if (strpbrk(number, ".eE") == NULL || perpend_number_parse(number, &value) != PERPEND_OK ||
        !number_exact(shorter, value, reads_as_number, value, PERPEND_UNIT_MM))
        return false;
    shorten_exponent(shorter);
    return strpbrk(shorter, ".e") != NULL && strlen(shorter) < strlen(number);
}

/* Each number that is not whole with as many digits as read back the same, 15 at least; in place. */
static void shorten_numbers(char *text)
{
    char *out = text;
    bool quoted = false;
    while (*text != '\0') {
        char number[64];
        char shorter[NUMBER_SHOWN];
        size_t length = quoted ? 0 : strspn(text, "+-0123456789.eE");
        if (*text == '"')
            quoted = !quoted;
        if (quoted && *text == '\\')
            *out++ = *text++; /* and what stands behind it, a quote perhaps */
        if (length > 0 && length < sizeof number) {
            memcpy(number, text, length);
            number[length] = '\0';
            const char *chosen = shorter_number(number, shorter) ? shorter : number;
            memcpy(out, chosen, strlen(chosen));
            out += strlen(chosen);
            text += length;
        } else {
            *out++ = *text++;
        }
    }
    *out = '\0';
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

char *json_text_exact(json_t *root, size_t flags, const char *ending)
{
    char *text = json_text(root, flags | JSON_REAL_PRECISION(17), ending);
    if (text != NULL)
        shorten_numbers(text);
    return text;
}
