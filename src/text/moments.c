/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>

#include "files/moment.h"
#include "text/moments.h"
#include "text/words.h"

static void add_day(struct buffer *phrase, const struct perpend_moment *moment)
{
    static const char *const days[] = {
        "Wednesday", "Thursday", "Friday", "Saturday", "Sunday", "Monday", "Tuesday"};
    static const char *const months[] = {"January", "February", "March", "April", "May", "June",
        "July", "August", "September", "October", "November", "December"};
    buffer_addf(phrase,
        "%s "
        "%d" WORDS_GLUE "%s" WORDS_GLUE "%d",
        days[moment_days(moment) % 7], moment->day, months[moment->month - 1], moment->year);
}

static void add_clock(struct buffer *phrase, const struct perpend_moment *moment)
{
    buffer_addf(phrase, "%02d:%02d", moment->hour, moment->minute);
}

static void add_zone(struct buffer *phrase, int zone)
{
    buffer_add(phrase, ", UTC");
    if (zone != 0)
        buffer_addf(phrase, "%s%d", zone < 0 ? "−" : "+", abs(zone) / 60);
    if (zone % 60 != 0)
        buffer_addf(phrase, ":%02d", abs(zone) % 60);
}

void words_moments(
    struct buffer *phrase, const struct perpend_moment *first, const struct perpend_moment *last)
{
    if (first->year == 0)
        return;
    const bool other_day = last->year != 0 && moment_days(first) != moment_days(last);
    add_day(phrase, first);
    if (first->timed) {
        buffer_add(phrase, ", ");
        add_clock(phrase, first);
    }
    if (other_day) {
        buffer_add(phrase, " to ");
        add_day(phrase, last);
        buffer_add(phrase, last->timed ? ", " : "");
    }
    const bool later =
        last->year != 0 && last->timed &&
        (other_day || !first->timed || last->hour != first->hour || last->minute != first->minute);
    if (later && !other_day)
        buffer_add(phrase, first->timed ? " to " : ", ");
    if (later)
        add_clock(phrase, last);
    if (first->zoned)
        add_zone(phrase, first->zone);
}
