/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "log/log.h"

#define LEAP_YEAR 2000 /* a day that some year has will do to look from */

/* So many digits as a number; -1 when they are not all digits. */
static int digits(const char *text, int count)
{
    int number = 0;
    for (int i = 0; i < count; i++) {
        if (text[i] < '0' || text[i] > '9')
            return -1;
        number = number * 10 + (text[i] - '0');
    }
    return number;
}

/* Minutes east of UTC from "+0200", as strftime prints it. */
static int offset_minutes(const char *text)
{
    int hours = strlen(text) == 5 ? digits(text + 1, 2) : -1;
    int minutes = hours >= 0 ? digits(text + 3, 2) : -1;
    if (minutes < 0)
        return 0;
    return (text[0] == '-' ? -1 : 1) * (hours * 60 + minutes);
}

struct log_time log_time_now(void)
{
    struct log_time now = {.utc = "", .offset = 0};
    time_t seconds = time(NULL);
    struct tm utc;
    struct tm local;
    char offset[8];
    if (!gmtime_r(&seconds, &utc))
        return now;
    strftime(now.utc, sizeof now.utc, "%Y-%m-%dT%H:%M:%SZ", &utc);
    tzset(); /* localtime_r need not */
    if (localtime_r(&seconds, &local) && strftime(offset, sizeof offset, "%z", &local) > 0)
        now.offset = offset_minutes(offset);
    return now;
}

/* Only a carry over one day is needed. */
static int days_in_month(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return month == 2 && leap ? 29 : days[month - 1];
}

struct parts {
    int year, month, day, hour, minute, second;
};

static bool local_parts(const struct log_time *time, struct parts *at)
{
    if (strlen(time->utc) != strlen("2026-05-06T07:08:09Z"))
        return false;
    *at = (struct parts){digits(time->utc, 4), digits(time->utc + 5, 2), digits(time->utc + 8, 2),
        digits(time->utc + 11, 2), digits(time->utc + 14, 2), digits(time->utc + 17, 2)};
    if (at->year < 0 || at->month < 1 || at->month > 12 || at->day < 1 || at->hour < 0 ||
        at->minute < 0 || at->second < 0 || abs(time->offset) > 1440)
        return false;
    int minutes = at->hour * 60 + at->minute + time->offset;
    int day = minutes < 0 ? -1 : minutes >= 1440 ? 1 : 0;
    minutes -= day * 1440;
    at->hour = minutes / 60;
    at->minute = minutes % 60;
    at->day += day;
    if (at->day < 1) {
        at->year -= at->month == 1;
        at->month = at->month == 1 ? 12 : at->month - 1;
        at->day = days_in_month(at->year, at->month);
    } else if (at->day > days_in_month(at->year, at->month)) {
        at->year += at->month == 12;
        at->month = at->month == 12 ? 1 : at->month + 1;
        at->day = 1;
    }
    return true;
}

char *log_time_text(char buffer[LOG_TIME_TEXT], const struct log_time *time)
{
    struct parts at;
    char whole[80] = "-";
    if (local_parts(time, &at))
        snprintf(whole, sizeof whole, "%04d-%02d-%02d %02d:%02d", at.year, at.month, at.day,
            at.hour, at.minute);
    memcpy(buffer, whole, LOG_TIME_TEXT);
    buffer[LOG_TIME_TEXT - 1] = '\0';
    return buffer;
}

char *log_day_text(char buffer[LOG_TIME_TEXT], const struct log_time *time)
{
    log_time_text(buffer, time);
    buffer[strcspn(buffer, " ")] = '\0';
    return buffer;
}

char *log_time_iso(char buffer[LOG_TIME_ISO], const struct log_time *time)
{
    struct parts at;
    char whole[96] = "";
    int size = abs(time->offset);
    if (local_parts(time, &at))
        snprintf(whole, sizeof whole, "%04d-%02d-%02dT%02d:%02d:%02d%c%02d:%02d", at.year, at.month,
            at.day, at.hour, at.minute, at.second, time->offset < 0 ? '-' : '+', size / 60,
            size % 60);
    memcpy(buffer, whole, LOG_TIME_ISO);
    buffer[LOG_TIME_ISO - 1] = '\0';
    return buffer;
}

bool log_is_date(const char *text)
{
    size_t length = strlen(text);
    if ((length != 4 && length != 7 && length != 10) || digits(text, 4) < 0)
        return false;
    if (length > 4 && (text[4] != '-' || digits(text + 5, 2) < 1 || digits(text + 5, 2) > 12))
        return false;
    if (length < 10)
        return true;
    int day = digits(text + 8, 2);
    return text[7] == '-' && day >= 1 && day <= days_in_month(LEAP_YEAR, digits(text + 5, 2));
}
