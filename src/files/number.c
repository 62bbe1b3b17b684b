/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "files/names.h"
#include "files/number.h"

/* The locale's decimal separator may be any text; whatever is not part of a number in the C locale
   is it. */
static void point_for_separator(char *text)
{
    char *end = text + strspn(text, "+-0123456789");
    size_t separator = strcspn(end, "+-0123456789e");
    if (separator == 0)
        return;
    *end = '.';
    memmove(end + 1, end + separator, strlen(end + separator) + 1);
}

char *number_digits(char *buffer, double value, int digits)
{
    if (value == 0.0)
        value = 0.0; /* no sign on nothing */
    snprintf(buffer, NUMBER_SHOWN, "%.*g", digits, value);
    point_for_separator(buffer);
    return buffer;
}

bool reads_as_number(const char *text, double original, enum perpend_unit unit)
{
    double back = 0.0;
    (void)unit;
    return perpend_number_parse(text, &back) == PERPEND_OK && back == original;
}

bool reads_as_length(const char *text, double original, enum perpend_unit unit)
{
    double back = 0.0;
    return perpend_length_parse(text, unit, &back) == PERPEND_OK && back == original;
}

bool reads_as_degrees(const char *text, double original, enum perpend_unit unit)
{
    double back = 0.0;
    (void)unit;
    return perpend_bearing_parse(text, &back) == PERPEND_OK && back == original;
}

bool number_exact(
    char *buffer, double value, number_check *check, double original, enum perpend_unit unit)
{
    for (int digits = 15; digits <= 17; digits++) {
        if (check(number_digits(buffer, value, digits), original, unit))
            return true;
    }
    double up = value, down = value;
    for (int step = 0; step < 3; step++) {
        up = nextafter(up, INFINITY);
        down = nextafter(down, -INFINITY);
        if (check(number_digits(buffer, up, 17), original, unit) ||
            check(number_digits(buffer, down, 17), original, unit))
            return true;
    }
    number_digits(buffer, value, 17);
    return false;
}

char *number_shown(char *buffer, double value)
{
    return number_digits(buffer, value, 6);
}

char *length_shown(char *buffer, double mm, enum perpend_unit unit)
{
    char number[NUMBER_SHOWN];
    bool inch = unit == PERPEND_UNIT_INCH;
    snprintf(buffer, LENGTH_SHOWN, "%s %s",
        number_digits(number, inch ? mm / PERPEND_MM_PER_INCH : mm, inch ? 4 : 6),
        inch ? "in" : "mm");
    return buffer;
}

bool share_parse(const char *text, double *share)
{
    char number[64];
    size_t length = strlen(text);
    double value = 0.0;
    if (length < 2 || length > sizeof number || text[length - 1] != '%')
        return false;
    memcpy(number, text, length - 1);
    number[length - 1] = '\0';
    if (perpend_number_parse(number, &value) != PERPEND_OK)
        return false;
    *share = value / 100.0;
    return true;
}

bool over_parse(const char *text, enum perpend_unit bare, double *slope)
{
    char height[64];
    const char *over = strstr(text, " over ");
    double rise = 0.0, run = 0.0;
    if (over == NULL || (size_t)(over - text) >= sizeof height)
        return false;
    memcpy(height, text, (size_t)(over - text));
    height[over - text] = '\0';
    if (perpend_length_parse(height, bare, &rise) != PERPEND_OK ||
        perpend_length_parse(over + strlen(" over "), bare, &run) != PERPEND_OK || !(run > 0.0))
        return false;
    *slope = rise / run;
    return true;
}

bool feed_parse(const char *text, struct perpend_facing *facing)
{
    bool both = same_word(text, "both");
    double along = PERPEND_ALONG_X;
    if (same_word(text, "Y"))
        along = PERPEND_ALONG_Y;
    else if (!both && !same_word(text, "X") && perpend_bearing_parse(text, &along) != PERPEND_OK)
        return false;
    facing->both_ways = both;
    facing->along = along;
    return true;
}
