/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bearings as people write and say them, under locales with other decimal signs as well. */
#include <perpend/status.h>
#include <perpend/units.h>

#include "support/support.h"

#include "support/locales.h"

#define UNTOUCHED (-1.23456789123e-7)

static const struct {
    const char *text;
    double degrees;
} good_bearings[] = {
    {"back", 0},
    {"N", 0},
    {"n", 0},
    {"0", 0},
    {"-0", 0},
    {"360", 0},
    {"-360", 0},
    {"Back-Right", 45},
    {"back right", 45},
    {"back_right", 45},
    {"ne", 45},
    {"RIGHT", 90},
    {" right ", 90},
    {"E", 90},
    {"90", 90},
    {"90\xC2\xB0", 90},
    {"90 deg", 90},
    {"90 DEG", 90},
    {"-270", 90},
    {"front-right", 135},
    {"SE", 135},
    {"front", 180},
    {"s", 180},
    {"-180", 180},
    {"FRONT_LEFT", 225},
    {"sw", 225},
    {"left", 270},
    {"w", 270},
    {"-90", 270},
    {"back-left", 315},
    {"Nw", 315},
    {"22.5", 22.5},
    {"22,5", 22.5},
    {"22 1/2", 22.5},
    {"359.5", 359.5},
    {"-0.5", 359.5},
};

static const struct {
    const char *text;
    int status;
} bad_bearings[] = {
    {"", PERPEND_ERR_EMPTY},
    {"  ", PERPEND_ERR_EMPTY},
    {"up", PERPEND_ERR_NAME},
    {"north", PERPEND_ERR_NAME},
    {"back-", PERPEND_ERR_NAME},
    {"back--right", PERPEND_ERR_NAME},
    {"back right left", PERPEND_ERR_NAME},
    {"nan", PERPEND_ERR_NAME},
    {"inf", PERPEND_ERR_NAME},
    {"90 rad", PERPEND_ERR_NAME},
    {"1.2.3", PERPEND_ERR_NAME},
    {"ns", PERPEND_ERR_NAME},
    {"backbackbackbackbackback", PERPEND_ERR_NAME},
    {"361", PERPEND_ERR_RANGE},
    {"-360.5", PERPEND_ERR_RANGE},
    {"1e999", PERPEND_ERR_RANGE},
};

static void check_bearings(void)
{
    for (size_t i = 0; i < COUNT(good_bearings); i++) {
        double bearing = UNTOUCHED;
        int status = perpend_bearing_parse(good_bearings[i].text, &bearing);
        if (status != PERPEND_OK || signbit(bearing) || bearing >= 2.0 * PERPEND_PI ||
            fabs(perpend_degrees(bearing) - good_bearings[i].degrees) > 1e-12) {
            printf("# \"%s\": status %d, %.17g rad\n", good_bearings[i].text, status, bearing);
            fail();
        }
    }
    for (size_t i = 0; i < COUNT(bad_bearings); i++) {
        double bearing = UNTOUCHED;
        int status = perpend_bearing_parse(bad_bearings[i].text, &bearing);
        if (status != bad_bearings[i].status || bearing != UNTOUCHED) {
            printf("# \"%s\": status %d, %.17g rad\n", bad_bearings[i].text, status, bearing);
            fail();
        }
    }
}

static void bearings_are_read(void **state)
{
    (void)state;
    under_every_locale(check_bearings);
}

static void bearings_are_named(void **state)
{
    (void)state;
    static const char *const names[] = {
        "back", "back-right", "right", "front-right", "front", "front-left", "left", "back-left"};
    for (int i = -16; i < 24; i++) {
        double bearing = i * PERPEND_PI / 4.0;
        const char *name = names[(i + 16) % 8];
        double back;
        assert_string_equal(perpend_bearing_name(bearing), name);
        assert_string_equal(perpend_bearing_name(bearing + 9e-7), name);
        assert_string_equal(perpend_bearing_name(bearing - 9e-7), name);
        assert_null(perpend_bearing_name(bearing + 2e-6));
        assert_null(perpend_bearing_name(bearing - 2e-6));
        assert_string_equal(perpend_bearing_nearest(bearing + 0.39), name);
        assert_string_equal(perpend_bearing_nearest(bearing - 0.39), name);
        assert_int_equal(perpend_bearing_parse(name, &back), PERPEND_OK);
        assert_near(remainder(back - bearing, 2.0 * PERPEND_PI), 0.0, 1e-12);
    }
    assert_null(perpend_bearing_name(NAN));
    assert_non_null(perpend_bearing_nearest(INFINITY));
}

static void degrees_and_radians_invert(void **state)
{
    (void)state;
    struct test_random random = test_random_start("degrees and radians invert", 5);
    for (int trial = 0; trial < 10000; trial++) {
        double degrees = test_uniform(&random, -720.0, 720.0);
        assert_near(perpend_degrees(perpend_radians(degrees)), degrees, 1e-12);
    }
    assert_true(perpend_radians(180.0) == PERPEND_PI);
    assert_true(perpend_radians(90.0) == PERPEND_PI / 2.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bearings_are_read),
        cmocka_unit_test(bearings_are_named),
        cmocka_unit_test(degrees_and_radians_invert),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
