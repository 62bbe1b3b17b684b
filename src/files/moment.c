/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "files/moment.h"
#include "files/names.h"

/* Days of the Gregorian calendar counted from a year that begins in March, so that the leap day is
   the last of its year (from memory; the test counts every day of 1200 years). */
long moment_days(const struct perpend_moment *moment)
{
    const long year = moment->year - (moment->month < 3);
    const long month = (moment->month + 9) % 12;
    return 365 * year + year / 4 - year / 100 + year / 400 + (153 * month + 2) / 5 + moment->day -
           1;
}

struct perpend_moment moment_after(const struct perpend_moment *moment, unsigned days)
{
    const long wanted = moment_days(moment) + (long)days;
    struct perpend_moment day = {.year = (int)(wanted / 366), .month = 3, .day = 1};
    while (
        moment_days(&(struct perpend_moment){.year = day.year + 1, .month = 3, .day = 1}) <= wanted)
        day.year++;
    long left = wanted - moment_days(&day);
    const long month = (5 * left + 2) / 153;
    day.day = (int)(left - (153 * month + 2) / 5) + 1;
    day.month = (int)(month + 2) % 12 + 1;
    day.year += day.month < 3;
    return day;
}

/* So many digits; false when there are fewer. */
static bool take_number(const char **text, size_t digits, int *number)
{
    *number = 0;
    for (size_t i = 0; i < digits; i++, (*text)++) {
        if (**text < '0' || **text > '9')
            return false;
        *number = 10 * *number + (**text - '0');
    }
    return true;
}

static bool take_sign(const char **text, char sign)
{
    const bool there = **text == sign;
    *text += there;
    return there;
}

static bool take_day(const char **text, struct perpend_moment *moment)
{
    static const int days[] = {31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (!take_number(text, 4, &moment->year) || !take_sign(text, '-') ||
        !take_number(text, 2, &moment->month) || !take_sign(text, '-') ||
        !take_number(text, 2, &moment->day))
        return false;
    const int year = moment->year;
    const bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    return year > 0 && moment->month >= 1 && moment->month <= 12 && moment->day >= 1 &&
           moment->day <= days[moment->month - 1] &&
           (leap || moment->month != 2 || moment->day < 29);
}

static bool take_clock(const char **text, struct perpend_moment *moment)
{
    int seconds = 0;
    moment->timed = take_number(text, 2, &moment->hour) && take_sign(text, ':') &&
                    take_number(text, 2, &moment->minute) &&
                    (!take_sign(text, ':') || take_number(text, 2, &seconds));
    return moment->timed && moment->hour < 24 && moment->minute < 60 && seconds < 60;
}

/* "Z", "UTC", "+01:00", "UTC+1", "-3:30" */
static bool take_zone(const char **text, struct perpend_moment *moment)
{
    const bool utc = strncmp(*text, "UTC", 3) == 0;
    int hours = 0, minutes = 0;
    moment->zoned = true;
    *text += utc ? 3 : 0;
    if (take_sign(text, 'Z') || (utc && **text == '\0'))
        return true;
    const bool behind = take_sign(text, '-');
    if (!behind && !take_sign(text, '+'))
        return false;
    if (!take_number(
            text, (*text)[0] != '\0' && (*text)[1] >= '0' && (*text)[1] <= '9' ? 2 : 1, &hours) ||
        (take_sign(text, ':') && !take_number(text, 2, &minutes)))
        return false;
    moment->zone = (behind ? -1 : 1) * (60 * hours + minutes);
    return hours <= 14 && minutes < 60;
}

bool moment_parse(const char *text, struct perpend_moment *moment)
{
    struct perpend_moment read = {0};
    if (!take_day(&text, &read))
        return false;
    if (*text != '\0' && ((*text != ' ' && *text != 'T') || (text++, !take_clock(&text, &read))))
        return false;
    (void)take_sign(&text, ' ');
    if (*text != '\0' && !take_zone(&text, &read))
        return false;
    if (*text != '\0' || (read.zoned && !read.timed))
        return false;
    *moment = read;
    return true;
}

char *moment_text(char text[MOMENT_TEXT], const struct perpend_moment *moment)
{
    const int zone = abs(moment->zone);
    size_t used = 0;
    text[0] = '\0';
    if (moment->year != 0)
        used = (size_t)snprintf(
            text, MOMENT_TEXT, "%04d-%02d-%02d", moment->year, moment->month, moment->day);
    if (moment->year != 0 && moment->timed)
        used += (size_t)snprintf(
            text + used, MOMENT_TEXT - used, " %02d:%02d", moment->hour, moment->minute);
    if (moment->year != 0 && moment->timed && moment->zoned)
        snprintf(text + used, MOMENT_TEXT - used, " %c%02d:%02d", moment->zone < 0 ? '-' : '+',
            zone / 60, zone % 60);
    return text;
}

bool due_parse(const char *text, struct perpend_due *due)
{
    char *end;
    if (*text < '0' || *text > '9')
        return false;
    const unsigned long count = strtoul(text, &end, 10);
    end += *end == ' ';
    const bool weeks = same_word(end, "weeks") || same_word(end, "week");
    if (count < 1 || count > 1000 || (!weeks && !same_word(end, "jobs") && !same_word(end, "job")))
        return false;
    *due = (struct perpend_due){
        .weeks = weeks ? (unsigned)count : 0, .jobs = weeks ? 0 : (unsigned)count};
    return true;
}
