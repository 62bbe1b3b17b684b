/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/prompt/amounts.h"

#include <ctype.h>
#include <math.h>
#include <regex.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "files/names.h"
#include "text/words.h"

#define THICKEST 25.0 /* mm */
#define MOST_LEAVES 1000.0
#define MOST_MM 50.0
#define MOST_TURNS 50.0
#define PART 64 /* bytes: room for a part of a text */

static bool copy_part(char part[PART], const char *text, size_t length)
{
    if (length >= PART)
        return false;
    memcpy(part, text, length);
    part[length] = '\0';
    return true;
}

/* ---- leaves -------------------------------------------------------------------------------- */

/* Where the sign for "times" stands, and how many bytes it has; NULL when there is none. */
static const char *find_times(const char *text, size_t *bytes)
{
    static const char sign[] = "\303\227"; /* U+00D7 */
    const char *letter = strpbrk(text, "xX*");
    const char *cross = strstr(text, sign);
    bool first = cross != NULL && (letter == NULL || cross < letter);
    *bytes = first ? sizeof sign - 1 : 1;
    return first ? cross : letter;
}

/* The longest start of a text, up to a blank or its end, that is a length; 0 when none is. */
static size_t length_at_start(const char *text, enum perpend_unit unit, double *mm)
{
    char part[PART];
    size_t found = 0;
    for (size_t end = 1; end < PART && text[end - 1] != '\0'; end++) {
        double value;
        if ((text[end] == ' ' || text[end] == '\0') && copy_part(part, text, end) &&
            perpend_length_parse(part, unit, &value) == PERPEND_OK) {
            found = end;
            *mm = value;
        }
    }
    return found;
}

/* A whole number and nothing else. */
static bool is_whole(const char *text, size_t length, double *count)
{
    char part[PART];
    size_t digits = strspn(text, "0123456789");
    while (length > digits && text[length - 1] == ' ')
        length--;
    return digits > 0 && digits == length && copy_part(part, text, digits) &&
           perpend_number_parse(part, count) == PERPEND_OK;
}

bool leaves_parse(
    const char *text, enum perpend_unit unit, enum leaves_first first, struct leaves *leaves)
{
    char before[PART];
    size_t bytes;
    double thick[2], count[2]; /* of what stands before the sign and behind it */
    text += strspn(text, " ");
    const char *times = find_times(text, &bytes);
    if (times == NULL || !copy_part(before, text, (size_t)(times - text)))
        return false;
    const char *behind = times + bytes + strspn(times + bytes, " ");
    size_t length = length_at_start(behind, unit, &thick[1]);
    if (length == 0 || perpend_length_parse(before, unit, &thick[0]) != PERPEND_OK)
        return false;
    bool whole[2] = {
        is_whole(before, strlen(before), &count[0]), is_whole(behind, length, &count[1])};
    int counted = whole[0] && (!whole[1] || first == LEAVES_COUNT_FIRST) ? 0 : 1;
    if (!whole[counted] || fabs(thick[1 - counted]) > THICKEST || count[counted] < 1 ||
        count[counted] > MOST_LEAVES)
        return false;
    *leaves = (struct leaves){
        .thick = thick[1 - counted],
        .count = (unsigned)count[counted],
        .name = behind + length + strspn(behind + length, " "),
    };
    return true;
}

/* ---- what was done to a bolt --------------------------------------------------------------- */

/* "0.5", "4 x 0.05", "-4 × 0.05 mm brass": the last as the plan says it. */
static bool parse_stacked(const char *text, enum perpend_unit unit, double *mm)
{
    struct leaves leaves;
    size_t bytes;
    text += strspn(text, " ");
    if (find_times(text, &bytes) == NULL)
        return perpend_length_parse(text, unit, mm) == PERPEND_OK;
    double sign = text[0] == '-' ? -1 : 1;
    if (!leaves_parse(text + (sign < 0 ? 1 : 0), unit, LEAVES_COUNT_FIRST, &leaves))
        return false;
    *mm = sign * leaves.count * leaves.thick;
    return true;
}

static bool parse_stack(const char *text, enum perpend_unit unit, double *mm)
{
    char copy[2 * PART];
    double sum = 0;
    if (strlen(text) >= sizeof copy)
        return false;
    snprintf(copy, sizeof copy, "%s", text);
    for (char *part = copy, *next; part != NULL; part = next) {
        double one;
        next = strchr(part + 1, '+');
        if (next != NULL)
            *next++ = '\0';
        if (part[0] == '\0' || !parse_stacked(part, unit, &one))
            return false;
        sum += one;
    }
    *mm = round(sum * 1e9) / 1e9; /* 7 x 0.05 is 0.35 */
    return fabs(sum) <= MOST_MM;
}

/* Whether an expression is found in a text, and where. */
static bool find(const char *form, const char *text, regmatch_t *found, size_t groups)
{
    regex_t expression;
    if (regcomp(&expression, form, REG_EXTENDED | REG_ICASE) != 0)
        return false;
    bool good = regexec(&expression, text, groups, found, 0) == 0;
    regfree(&expression);
    return good;
}

static bool parse_shift(const char *text, enum perpend_unit unit, struct perpend_point *slide)
{
    static const char form[] = "(right|left|back|front|forward|up|down)[ ,]*";
    static const char ways[] = "rlbfud"; /* how they begin: along an axis, and against it */
    struct perpend_point sum = {0, 0, 0};
    double *const axes[] = {&sum.right, &sum.back, &sum.up};
    const char *at = text;
    double mm;
    if (perpend_length_parse(text, unit, &mm) == PERPEND_OK && mm == 0)
        at += strlen(at);
    while (*at != '\0') {
        char part[PART];
        regmatch_t found[1];
        if (!find(form, at, found, 1) || !copy_part(part, at, (size_t)found[0].rm_so) ||
            perpend_length_parse(part, unit, &mm) != PERPEND_OK || fabs(mm) > MOST_MM)
            return false;
        long way = strchr(ways, tolower((unsigned char)at[found[0].rm_so])) - ways;
        *axes[way / 2] += way % 2 == 0 ? mm : -mm;
        at += found[0].rm_eo;
    }
    *slide = sum;
    return text[0] != '\0';
}

/* "1/4", "90°", "0.5 out", and "0.86 turn in (308°)" as the plan says it: the same in brackets. */
static bool parse_turns(const char *text, double *turns)
{
    enum { NUMBER = 1, UNIT, WAY = 4, INSIDE = 6, GROUPS };
    static const char form[] = "^(.*[0-9.]) *(turns?|(deg|degrees|°))? *(in|out)? *"
                               "(\\(([^()]*)\\))? *$";
    regmatch_t found[GROUPS];
    char part[PART];
    double again;
    if (!find(form, text, found, GROUPS) || !copy_part(part, text, (size_t)found[NUMBER].rm_eo) ||
        perpend_number_parse(part, turns) != PERPEND_OK)
        return false;
    if (found[UNIT + 1].rm_so >= 0)
        *turns /= 360;
    if (found[WAY].rm_eo - found[WAY].rm_so == 3) /* "out" */
        *turns = -*turns;
    /* one figure put right and the other forgotten is no answer */
    if (found[INSIDE].rm_so >= 0 &&
        (!copy_part(part, text + found[INSIDE].rm_so,
             (size_t)(found[INSIDE].rm_eo - found[INSIDE].rm_so)) ||
            !parse_turns(part, &again) || fabs(fabs(again) - fabs(*turns)) > 0.01))
        return false;
    return fabs(*turns) <= MOST_TURNS;
}

/* "0.35", "-0.35 deg", "0.35° anticlockwise" */
static bool parse_degrees(const char *text, double *angle)
{
    enum { NUMBER = 1, WAY = 3, GROUPS };
    static const char form[] = "^(.*[0-9.]) *(deg|degrees|°)? *(clockwise|anticlockwise)? *$";
    regmatch_t found[GROUPS + 1];
    char part[PART];
    if (!find(form, text, found, GROUPS + 1) ||
        !copy_part(part, text, (size_t)found[NUMBER].rm_eo) ||
        perpend_number_parse(part, angle) != PERPEND_OK || !(fabs(*angle) <= 180.0))
        return false;
    bool back = found[WAY].rm_so >= 0 && tolower((unsigned char)text[found[WAY].rm_so]) == 'a';
    *angle = perpend_radians(back ? -*angle : *angle);
    return true;
}

bool amount_parse(const char *text, enum perpend_amount_kind kind, enum perpend_unit unit,
    struct perpend_amount *amount)
{
    *amount = (struct perpend_amount){.value = 0};
    switch (kind) {
    case PERPEND_AMOUNT_THICKNESS:
        return parse_stack(text, unit, &amount->value);
    case PERPEND_AMOUNT_DISPLACEMENT:
        return parse_shift(text, unit, &amount->shift);
    case PERPEND_AMOUNT_TURNS:
        return parse_turns(text, &amount->value);
    case PERPEND_AMOUNT_ANGLE:
        break;
    }
    return parse_degrees(text, &amount->value);
}
