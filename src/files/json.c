/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <perpend/units.h>

#include "files/fault.h"
#include "files/json.h"
#include "files/number.h"

/* Numbers for programs are rounded to so many parts of a millimetre, so that they are the same from every
   C library, whose sines and roots may round their last digit either way. */
#define SAME 1e9

/* What stands before a value: the comma, the line, the key. */
static void begin(struct json *json)
{
    if (json->begun)
        buffer_add(&json->text, ",");
    if (!json->compact && json->depth > 0)
        buffer_addf(&json->text, "\n%*s", (int)(2 * json->depth), "");
    json->begun = true;
    if (json->key != NULL)
        buffer_addf(&json->text, json->compact ? "\"%.*s\":" : "\"%.*s\": ", (int)json->key_length,
            json->key);
    json->key = NULL;
}

static void add_word(struct json *json, const char *word, size_t length)
{
    begin(json);
    buffer_add_bytes(&json->text, word, length);
}

static void add_bracket(struct json *json, const char *bracket)
{
    if (*bracket == '{' || *bracket == '[') {
        add_word(json, bracket, 1);
        json->depth++;
        json->begun = false;
        return;
    }
    json->depth--;
    if (json->begun && !json->compact)
        buffer_addf(&json->text, "\n%*s", (int)(2 * json->depth), "");
    buffer_add_bytes(&json->text, bracket, 1);
    json->begun = true;
}

static void add_number(struct json *json, double value)
{
    char number[NUMBER_SHOWN] = "null";
    if (isfinite(value) && json->exact)
        number_exact(number, value, reads_as_number, value, PERPEND_UNIT_MM);
    else if (isfinite(value))
        number_digits(number, fabs(value) < 1e6 ? rint(value * SAME) / SAME : value, 12);
    /* "1e-05" is written as "1e-5", and a whole number with the point that shows it is measured */
    char *exponent = strchr(number, 'e');
    if (exponent != NULL && exponent[2] == '0')
        memmove(exponent + 2, exponent + 3, strlen(exponent + 2));
    if (exponent != NULL && exponent[1] == '+')
        memmove(exponent + 1, exponent + 2, strlen(exponent + 1));
    add_word(json, number, strlen(number));
    if (isfinite(value) && strpbrk(number, ".e") == NULL)
        buffer_add(&json->text, ".0");
}

static void add_text(struct json *json, const char *text)
{
    static const char escaped[] = "\"\\\b\f\n\r\t", letters[] = "\"\\bfnrt";
    int32_t code;
    if (text == NULL) {
        add_word(json, "null", 4);
        return;
    }
    add_word(json, "\"", 1);
    for (size_t left = strlen(text), count; left > 0; text += count, left -= count) {
        count = utf8_at(text, left, &code);
        const char *special = count == 1 ? strchr(escaped, *text) : NULL;
        if (special != NULL)
            buffer_addf(&json->text, "\\%c", letters[special - escaped]);
        else if (count == 1 && code < 0x20)
            buffer_addf(&json->text, "\\u%04X", (unsigned)code);
        else if (count > 0)
            buffer_add_bytes(&json->text, text, count);
        else
            buffer_add(&json->text, "?");
        count += count == 0;
    }
    buffer_add(&json->text, "\"");
}

/* A key, when a colon follows; value: what follows. */
static const char *take_key(struct json *json, const char *key, size_t length, const char *next)
{
    json->key = key;
    json->key_length = length;
    return next + 1;
}

void json_add(struct json *json, const char *sketch, ...)
{
    va_list arguments;
    va_start(arguments, sketch);
    for (const char *at = sketch; *at != '\0';) {
        size_t word = strcspn(at, " ,:{}[]%");
        if (word > 0 && at[word] == ':') {
            at = take_key(json, at, word, at + word);
        } else if (word > 0) {
            add_word(json, at, word);
            at += word;
        } else if (strncmp(at, "%g", 2) == 0) {
            add_number(json, va_arg(arguments, double));
            at += 2;
        } else if (strncmp(at, "%i", 2) == 0) {
            const char *said = va_arg(arguments, int) != 0 ? "true" : "false";
            add_word(json, said, strlen(said));
            at += 2;
        } else if (strncmp(at, "%s:", 3) == 0) {
            const char *key = va_arg(arguments, const char *);
            at = take_key(json, key, key != NULL ? strlen(key) : 0, at + 2);
        } else if (strncmp(at, "%s", 2) == 0) {
            add_text(json, va_arg(arguments, const char *));
            at += 2;
        } else if (*at == '%') { /* %lld */
            char number[24];
            add_word(json, number,
                (size_t)snprintf(number, sizeof number, "%lld", va_arg(arguments, long long)));
            at += 4;
        } else {
            if (strchr("{}[]", *at) != NULL)
                add_bracket(json, at);
            at++;
        }
    }
    va_end(arguments);
}

void json_put_json(struct json *json, const char *key, const char *value)
{
    size_t length = value != NULL ? strlen(value) : 0;
    json->text.failed = json->text.failed || value == NULL;
    json->key = key;
    json->key_length = strlen(key);
    add_word(json, value, length > 0 && value[length - 1] == '\n' ? length - 1 : length);
}

void json_put_slope(struct json *json, const char *key, struct perpend_slope slope)
{
    json_add(json, "%s: {right: %g, back: %g}", key, PERPEND_MM_PER_METRE * slope.right,
        PERPEND_MM_PER_METRE * slope.back);
}

void json_put_uncertainty(
    struct json *json, const char *key, const struct perpend_slope_covariance *covariance)
{
    double right = sqrt(covariance->right_right), back = sqrt(covariance->back_back);
    json_add(json, "%s: {right: %g, back: %g, correlation: %g}", key, PERPEND_MM_PER_METRE * right,
        PERPEND_MM_PER_METRE * back, covariance->right_back / (right * back));
}

void json_put_point(struct json *json, const char *key, struct perpend_point point)
{
    json_add(json, "%s: [%g, %g, %g]", key, point.right, point.back, point.up);
}

char *json_take(struct json *json)
{
    if (!json->compact)
        buffer_add(&json->text, "\n");
    return buffer_take(&json->text);
}
