/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MOMENT_H
#define MOMENT_H

/** Days and times as people write them, and how long until the next sweep is due. */

#include <stdbool.h>

#include <perpend/job.h>
#include <perpend/machine.h>

#define MOMENT_TEXT 40 /* bytes */

/** "2026-11-28", "2026-11-28 19:12", "2026-11-28T19:12:05Z", "2026-11-28 19:12 +01:00"; seconds are
 *  dropped. False when it is no day of the calendar; then `moment` is untouched. */
bool moment_parse(const char *text, struct perpend_moment *moment);

/** The same as text that reads back; "" when nothing is stated. Value: text. */
char *moment_text(char text[MOMENT_TEXT], const struct perpend_moment *moment);

/** The day so many days later, without a time of day. */
struct perpend_moment moment_after(const struct perpend_moment *moment, unsigned days);

/** Days since 0000-03-01: their difference counts days, their remainder by 7 tells the day of the
 *  week, 0 being a Wednesday. */
long moment_days(const struct perpend_moment *moment);

/** "26 weeks", "1 week", "10 jobs"; false when it is not so. */
bool due_parse(const char *text, struct perpend_due *due);

#endif
