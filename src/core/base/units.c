/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <float.h>
#include <limits.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>
#include <perpend/units.h>

/* More digits than this in one number is a mistake, not a measurement; it also bounds the work. */
#define LONGEST_NUMBER 100
/* Whole, numerator and denominator of a fraction: nine digits each fit 64 bits when multiplied. */
#define LONGEST_FRACTION_PART 9

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static const char *skip_blanks(const char *text)
{
    while (is_blank(*text))
        text++;
    return text;
}

/* ASCII only: the C library's tolower would follow the locale. */
static char lower(char c)
{
    return (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

/* `text` with the blanks around it left out equals `word`, letter case ignored; a blank or an
   underscore may stand for a hyphen. */
static bool matches(const char *text, const char *word)
{
    text = skip_blanks(text);
    for (; *word != '\0'; text++, word++)
        if (lower(*text) != *word && !(*word == '-' && (*text == ' ' || *text == '_')))
            return false;
    return *skip_blanks(text) == '\0';
}

static const char *skip_sign(const char *text, bool *negative)
{
    static const char typographic_minus[] = "\xE2\x88\x92"; /* U+2212 */
    const size_t length = sizeof typographic_minus - 1;
    bool long_minus = strncmp(text, typographic_minus, length) == 0;
    *negative = long_minus || *text == '-';
    return long_minus ? text + length : *negative || *text == '+' ? text + 1 : text;
}

/* Digits only, at most LONGEST_FRACTION_PART of them; NULL when there are none or too many. */
static const char *scan_whole(const char *text, uint64_t *value)
{
    size_t digits = 0;
    *value = 0;
    for (; is_digit(text[digits]); digits++) {
        if (digits == LONGEST_FRACTION_PART)
            return NULL;
        *value = *value * 10 + (uint64_t)(text[digits] - '0');
    }
    return digits > 0 ? text + digits : NULL;
}

/* "1/4" or "1 1/2", no sign. NULL when the text does not begin with one; a fraction that cannot be
   meant ("1/0", "1 3/2") sets `wrong`. */
static const char *scan_fraction(const char *text, double *value, bool *wrong)
{
    uint64_t whole = 0, over, under;
    bool mixed = false;
    const char *end = scan_whole(text, &over);
    if (end == NULL)
        return NULL;
    if (is_blank(*end)) {
        mixed = true;
        whole = over;
        end = scan_whole(skip_blanks(end), &over);
    }
    if (end == NULL || *end != '/')
        return NULL;
    end = scan_whole(end + 1, &under);
    *wrong = end == NULL || under == 0 || (mixed && over >= under);
    if (*wrong)
        return NULL;
    *value = (double)(whole * under + over) / (double)under;
    return end;
}

/* An exponent ("e-3"), or nothing. Anything beyond what a double can hold is held at ±99999. */
static const char *scan_exponent(const char *text, long *exponent)
{
    *exponent = 0;
    if (*text != 'e' && *text != 'E')
        return text;
    const char *digit = text + 1;
    bool negative = *digit == '-';
    if (*digit == '-' || *digit == '+')
        digit++;
    if (!is_digit(*digit))
        return text;
    for (; is_digit(*digit); digit++) {
        if (*exponent < 10000)
            *exponent = *exponent * 10 + (*digit - '0');
    }
    if (negative)
        *exponent = -*exponent;
    return digit;
}

/* "1,000": a thousand to some and one to others. "0,500" and "1,00" can only be decimals. */
static bool may_be_thousands(const char *text)
{
    size_t before = strspn(text, "0123456789");
    return text[0] != '0' && before >= 1 && before <= 3 && text[before] == ',' &&
           strspn(text + before + 1, "0123456789") == 3;
}

/*
 * Digits with at most one decimal point or comma, and an exponent; no sign. The point is taken out
 * and paid for in the exponent, so that strtod, which rounds correctly, never meets the decimal
 * sign that the locale decides. NULL when the text does not begin with a number.
 */
static const char *scan_decimal(const char *text, double *value, enum perpend_status *status)
{
    char plain[LONGEST_NUMBER + 32];
    size_t digits = 0;
    long exponent, fraction_digits = 0;
    bool fraction = false, doubtful = may_be_thousands(text);
    for (;; text++) {
        if (is_digit(*text)) {
            if (digits == LONGEST_NUMBER)
                return NULL;
            plain[digits++] = *text;
            fraction_digits += fraction;
        } else if ((*text == '.' || *text == ',') && !fraction) {
            fraction = true;
        } else {
            break;
        }
    }
    if (digits == 0)
        return NULL;
    text = scan_exponent(text, &exponent);
    snprintf(plain + digits, sizeof plain - digits, "e%ld", exponent - fraction_digits);
    *value = strtod(plain, NULL);
    *status = doubtful ? PERPEND_ERR_COMMA : *value <= DBL_MAX ? PERPEND_OK : PERPEND_ERR_RANGE;
    return text;
}

/*
 * A number at the beginning of the text, blanks before it skipped. `rest` is what follows it. What
 * cannot stand behind a number because it could have been meant as part of it ("1.2.3", "1 2",
 * "1/0") is an error here already.
 */
static enum perpend_status scan_number(const char *text, double *value, const char **rest)
{
    bool negative, wrong = false;
    enum perpend_status status = PERPEND_OK;
    text = skip_blanks(text);
    if (*text == '\0')
        return PERPEND_ERR_EMPTY;
    text = skip_sign(text, &negative);
    const char *end = scan_fraction(text, value, &wrong);
    if (end == NULL && !wrong)
        end = scan_decimal(text, value, &status);
    if (end == NULL)
        return PERPEND_ERR_NUMBER;
    *rest = skip_blanks(end);
    if (**rest != '\0' && (is_digit(**rest) || strchr(".,/+-", **rest) != NULL))
        return PERPEND_ERR_NUMBER;
    if (negative)
        *value = -*value;
    return status;
}

enum perpend_status perpend_number_parse(const char *text, double *value)
{
    double number;
    const char *rest;
    enum perpend_status status = scan_number(text, &number, &rest);
    if (status == PERPEND_OK && *rest != '\0')
        return PERPEND_ERR_NUMBER;
    if (status == PERPEND_OK)
        *value = number;
    return status;
}

/* mm per unit as a product and a quotient, both exact where the definition is. */
static const struct {
    const char *name;
    double times;
    double over;
} length_units[] = {
    {"mm", 1.0, 1.0},
    {"cm", 10.0, 1.0},
    {"um", 1.0, 1000.0},
    {"\xC2\xB5m", 1.0, 1000.0}, /* U+00B5 micro sign */
    {"\xCE\xBCm", 1.0, 1000.0}, /* U+03BC Greek mu */
    {"in", PERPEND_MM_PER_INCH, 1.0},
    {"\"", PERPEND_MM_PER_INCH, 1.0},
    {"\xE2\x80\xB3", PERPEND_MM_PER_INCH, 1.0}, /* U+2033 double prime */
    {"thou", PERPEND_MM_PER_INCH, 1000.0},
};

enum perpend_status perpend_length_parse(const char *text, enum perpend_unit bare, double *mm)
{
    double number;
    const char *rest;
    enum perpend_status status = scan_number(text, &number, &rest);
    if (status != PERPEND_OK)
        return status;
    if (*rest == '\0')
        rest = bare == PERPEND_UNIT_INCH ? "in" : "mm";
    for (size_t i = 0; i < sizeof length_units / sizeof length_units[0]; i++) {
        if (!matches(rest, length_units[i].name))
            continue;
        double length = number * length_units[i].times / length_units[i].over;
        if (!(fabs(length) <= DBL_MAX))
            return PERPEND_ERR_RANGE;
        *mm = length;
        return PERPEND_OK;
    }
    return PERPEND_ERR_UNIT;
}

/* Clockwise from the back, an eighth of a turn apart. */
static const char *const bearing_names[8] = {
    "back", "back-right", "right", "front-right", "front", "front-left", "left", "back-left"};
static const char *const compass_letters[8] = {"n", "ne", "e", "se", "s", "sw", "w", "nw"};

/* Bring a bearing into [0, 2π). */
static double reduced(double bearing)
{
    bearing = fmod(bearing, 2.0 * PERPEND_PI);
    if (bearing < 0.0)
        bearing += 2.0 * PERPEND_PI;
    /* a hair under 0 comes out as 2π itself; the sum also clears the sign of -0 */
    return bearing < 2.0 * PERPEND_PI ? bearing + 0.0 : 0.0;
}

enum perpend_status perpend_bearing_parse(const char *text, double *bearing)
{
    double degrees;
    const char *rest;
    for (int i = 0; i < 8; i++) {
        if (matches(text, compass_letters[i]) || matches(text, bearing_names[i])) {
            *bearing = perpend_radians(45.0 * i);
            return PERPEND_OK;
        }
    }
    enum perpend_status status = scan_number(text, &degrees, &rest);
    if (status == PERPEND_ERR_NUMBER)
        return PERPEND_ERR_NAME;
    if (status != PERPEND_OK)
        return status;
    if (*rest != '\0' && !matches(rest, "\xC2\xB0") && !matches(rest, "deg"))
        return PERPEND_ERR_NAME;
    if (fabs(degrees) > 360.0)
        return PERPEND_ERR_RANGE;
    /* in degrees, where a whole turn is exact: -90 and 270 are then the same bearing to the bit */
    *bearing = reduced(perpend_radians(degrees < 0.0 ? degrees + 360.0 : degrees));
    return PERPEND_OK;
}

/* The nearest of the eight, and how far off it is, rad. */
static int nearest_named(double bearing, double *off)
{
    double eighths = reduced(bearing) / (PERPEND_PI / 4.0);
    double nearest = floor(eighths + 0.5);
    *off = fabs(eighths - nearest) * (PERPEND_PI / 4.0);
    return (int)nearest % 8;
}

const char *perpend_bearing_name(double bearing)
{
    double off;
    if (!isfinite(bearing))
        return NULL;
    int named = nearest_named(bearing, &off);
    return off <= 1e-6 ? bearing_names[named] : NULL;
}

const char *perpend_bearing_nearest(double bearing)
{
    double off;
    return bearing_names[isfinite(bearing) ? nearest_named(bearing, &off) : 0];
}

char *perpend_number_format(char *buffer, size_t size, double value, int decimals)
{
    /* sign, 309 digits, the locale's decimal sign (several bytes), 17 decimals */
    char text[DBL_MAX_10_EXP + 64];
    size_t length = 0, skip = 0;
    if (size == 0)
        return buffer;
    decimals = decimals < 0 ? 0 : decimals > 17 ? 17 : decimals;
    /* a half that is one but for what C libraries round differently goes the same way everywhere */
    if (decimals <= 6 && fabs(value) < 1e6)
        value = rint(value * 1e9) / 1e9;
    snprintf(text, sizeof text, "%.*f", decimals, value);
    bool zero = strpbrk(text, "123456789") == NULL && isfinite(value);
    if (zero && text[0] == '-')
        skip = 1;
    for (const char *from = text + skip; *from != '\0' && length < size - 1; from++) {
        if (is_digit(*from) || *from == '-' || !isfinite(value))
            buffer[length++] = *from;
        else if (is_digit(from[1])) /* the last byte of the locale's decimal sign */
            buffer[length++] = '.';
    }
    buffer[length] = '\0';
    return buffer;
}

double perpend_degrees(double radians)
{
    return radians * (180.0 / PERPEND_PI);
}

double perpend_radians(double degrees)
{
    return degrees * PERPEND_PI / 180.0;
}
