/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include <perpend/units.h>

#include "files/fault.h"
#include "files/json.h"
#include "files/number.h"

/* What stands before a value: the comma, the line, the key. */
static void begin(struct json *json, const char *key)
{
    if (json->begun)
        buffer_add(&json->text, ",");
    if (!json->compact && json->depth > 0)
        buffer_addf(&json->text, "\n%*s", (int)(2 * json->depth), "");
    json->begun = true;
    if (key != NULL)
        buffer_addf(&json->text, json->compact ? "\"%s\":" : "\"%s\": ", key);
}

void json_open(struct json *json, const char *key, char bracket)
{
    begin(json, key);
    buffer_add_bytes(&json->text, &bracket, 1);
    json->depth++;
    json->begun = false;
}

void json_close(struct json *json, char bracket)
{
    json->depth--;
    if (json->begun && !json->compact)
        buffer_addf(&json->text, "\n%*s", (int)(2 * json->depth), "");
    buffer_add_bytes(&json->text, &bracket, 1);
    json->begun = true;
}

void json_put_null(struct json *json, const char *key)
{
    begin(json, key);
    buffer_add(&json->text, "null");
}

void json_put_bool(struct json *json, const char *key, bool value)
{
    begin(json, key);
    buffer_add(&json->text, value ? "true" : "false");
}

void json_put_integer(struct json *json, const char *key, long long value)
{
    begin(json, key);
    buffer_addf(&json->text, "%lld", value);
}

void json_put_number(struct json *json, const char *key, double value)
{
    char number[NUMBER_SHOWN];
    if (!isfinite(value)) {
        json_put_null(json, key);
        return;
    }
    if (json->exact)
        number_exact(number, value, reads_as_number, value, PERPEND_UNIT_MM);
    else
        number_digits(number, value, 15);
    /* "1e-05" is written as "1e-5", and a whole number with the point that shows it is measured */
    char *exponent = strchr(number, 'e');
    if (exponent != NULL && exponent[2] == '0')
        memmove(exponent + 2, exponent + 3, strlen(exponent + 2));
    if (exponent != NULL && exponent[1] == '+')
        memmove(exponent + 1, exponent + 2, strlen(exponent + 1));
    begin(json, key);
    buffer_add(&json->text, number);
    if (strpbrk(number, ".e") == NULL)
        buffer_add(&json->text, ".0");
}

void json_put_text(struct json *json, const char *key, const char *text)
{
    static const char escaped[] = "\"\\\b\f\n\r\t", letters[] = "\"\\bfnrt";
    int32_t code;
    if (text == NULL) {
        json_put_null(json, key);
        return;
    }
    begin(json, key);
    buffer_add(&json->text, "\"");
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

void json_put_slope(struct json *json, const char *key, struct perpend_slope slope)
{
    json_open(json, key, '{');
    json_put_number(json, "right", PERPEND_MM_PER_METRE * slope.right);
    json_put_number(json, "back", PERPEND_MM_PER_METRE * slope.back);
    json_close(json, '}');
}

void json_put_uncertainty(
    struct json *json, const char *key, const struct perpend_slope_covariance *covariance)
{
    double right = sqrt(covariance->right_right), back = sqrt(covariance->back_back);
    json_open(json, key, '{');
    json_put_number(json, "right", PERPEND_MM_PER_METRE * right);
    json_put_number(json, "back", PERPEND_MM_PER_METRE * back);
    json_put_number(json, "correlation", covariance->right_back / (right * back));
    json_close(json, '}');
}

void json_put_point(struct json *json, const char *key, struct perpend_point point)
{
    json_open(json, key, '[');
    json_put_number(json, NULL, point.right);
    json_put_number(json, NULL, point.back);
    json_put_number(json, NULL, point.up);
    json_close(json, ']');
}

char *json_take(struct json *json)
{
    if (!json->compact)
        buffer_add(&json->text, "\n");
    return buffer_take(&json->text);
}
