/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/prompt/leaves.h"

#include <math.h>
#include <string.h>

#include <perpend/status.h>

#define THICKEST 25.0 /* mm */
#define MOST_LEAVES 1000.0
#define DIGITS "0123456789"

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

bool leaves_has_times(const char *text)
{
    size_t bytes;
    return find_times(text, &bytes) != NULL;
}

static bool copy_part(char *part, size_t size, const char *text, size_t length)
{
    if (length >= size)
        return false;
    memcpy(part, text, length);
    part[length] = '\0';
    return true;
}

/* The longest start of a text, up to a blank or its end, that is a length; 0 when none is. */
static size_t length_at_start(const char *text, enum perpend_unit unit, double *mm)
{
    char part[64];
    size_t found = 0;
    for (size_t end = 1; end < sizeof part && text[end - 1] != '\0'; end++) {
        double value;
        if ((text[end] == ' ' || text[end] == '\0') && copy_part(part, sizeof part, text, end) &&
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
    char part[16];
    size_t digits = strspn(text, DIGITS);
    while (length > digits && text[length - 1] == ' ')
        length--;
    return digits > 0 && digits == length && copy_part(part, sizeof part, text, digits) &&
           perpend_number_parse(part, count) == PERPEND_OK;
}

bool leaves_parse(
    const char *text, enum perpend_unit unit, enum leaves_first first, struct leaves *leaves)
{
    char before[64];
    size_t bytes;
    double thick_before;
    double thick_behind;
    double count_before;
    double count_behind;
    text += strspn(text, " ");
    const char *times = find_times(text, &bytes);
    if (times == NULL || !copy_part(before, sizeof before, text, (size_t)(times - text)))
        return false;
    const char *behind = times + bytes + strspn(times + bytes, " ");
    size_t length = length_at_start(behind, unit, &thick_behind);
    if (length == 0 || perpend_length_parse(before, unit, &thick_before) != PERPEND_OK)
        return false;
    bool whole_before = is_whole(before, strlen(before), &count_before);
    bool whole_behind = is_whole(behind, length, &count_behind);
    if (!whole_before && !whole_behind)
        return false;
    bool counted_first = whole_before && (!whole_behind || first == LEAVES_COUNT_FIRST);
    double thick = counted_first ? thick_behind : thick_before;
    double count = counted_first ? count_before : count_behind;
    if (fabs(thick) > THICKEST || count < 1 || count > MOST_LEAVES)
        return false;
    *leaves = (struct leaves){
        .thick = thick,
        .count = (unsigned)count,
        .name = behind + length + strspn(behind + length, " "),
    };
    return true;
}
