/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Days, times and dues: the calendar day by day, what is taken and what is refused. */
#include "support/support.h"

#include "files/moment.h"
#include "support/locales.h"

static void days_of_the_calendar(void **state)
{
    (void)state;
    struct perpend_moment day = {.year = 1899, .month = 12, .day = 31};
    for (long count = 0; count < 147000; count++) { /* 400 years, one after the other */
        char text[MOMENT_TEXT];
        struct perpend_moment back;
        const struct perpend_moment next = moment_after(&day, 1);
        assert_int_equal(moment_days(&next), moment_days(&day) + 1);
        assert_true(next.day == day.day + 1 || (next.day == 1 && day.day >= 28));
        assert_true(moment_parse(moment_text(text, &next), &back));
        assert_int_equal(moment_days(&back), moment_days(&next));
        day = next;
    }
    assert_int_equal(day.year, 2302);
    const struct perpend_moment known = {.year = 2026, .month = 11, .day = 28}; /* a Saturday */
    assert_int_equal(moment_days(&known) % 7, 3);
    const struct perpend_moment later = moment_after(&known, 182);
    assert_true(later.year == 2027 && later.month == 5 && later.day == 29);
}

static void dates_and_dues(void **state)
{
    (void)state;
    static const char *const good[][2] = {{"2026-11-28", "2026-11-28"},
        {"2026-11-28T19:12:59", "2026-11-28 19:12"},
        {"2026-11-28 19:12Z", "2026-11-28 19:12 +00:00"},
        {"2026-11-28 19:12 UTC", "2026-11-28 19:12 +00:00"},
        {"2026-11-28 19:12 UTC-3:30", "2026-11-28 19:12 -03:30"},
        {"2024-02-29 00:00 +14:00", "2024-02-29 00:00 +14:00"}};
    static const char *const bad[] = {"", "28.11.2026", "2026-11-31", "2025-02-29", "1900-02-29",
        "2026-13-01", "0000-01-01", "2026-11-28 24:00", "2026-11-28 9:00", "2026-11-28 19:60",
        "2026-11-28x", "2026-11-28 +01:00", "2026-11-28 19:12 CET", "2026-11-28 19:12 +15:00",
        "2026-11-28 19:12 +01:60", "2026-11-28 19:12 +", "2026-11-28 19:12:60",
        "2026-11-28 19:12 Z."};
    struct perpend_moment moment;
    struct perpend_due due;
    char text[MOMENT_TEXT];
    for (size_t i = 0; i < COUNT(good); i++) {
        assert_true(moment_parse(good[i][0], &moment));
        assert_string_equal(moment_text(text, &moment), good[i][1]);
    }
    for (size_t i = 0; i < COUNT(bad); i++)
        assert_false(moment_parse(bad[i], &moment));
    assert_true(due_parse("26 weeks", &due) && due.weeks == 26 && due.jobs == 0);
    assert_true(due_parse("1 Job", &due) && due.weeks == 0 && due.jobs == 1);
    static const char *const undue[] = {"", "weeks", "0 weeks", "1001 jobs", "-1 jobs", "3 days",
        "3", "2.5 weeks", "99999999999999999999 jobs"};
    for (size_t i = 0; i < COUNT(undue); i++)
        assert_false(due_parse(undue[i], &due));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_of_the_calendar),
        cmocka_unit_test(dates_and_dues),
    };
    return cmocka_run_group_tests_name("moment", tests, NULL, NULL);
}
