/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clearance holes and pitches against the standards' tables. */
#include "support/support.h"

#include <perpend/mount.h>
#include <perpend/shims.h>
#include <perpend/status.h>

#include "files/mount_file.h"

/* ISO 273, medium series, and ISO 261, coarse pitches (the pitches from memory), mm. */
static const struct {
    double thread, medium, pitch;
} table[] = {
    {3, 3.4, 0.5},
    {4, 4.5, 0.7},
    {5, 5.5, 0.8},
    {6, 6.6, 1.0},
    {8, 9.0, 1.25},
    {10, 11.0, 1.5},
    {12, 13.5, 1.75},
};

/* ASME B18.2.8, normal fit, inches; ASME B1.1, coarse: threads to the inch; both from memory. */
static const struct {
    const char *name;
    double diameter, hole, threads;
} inch_table[] = {
    {"2-56", 0.086, 0.102, 56},
    {"4-40", 0.112, 0.128, 40},
    {"5-40", 0.125, 0.156, 40},
    {"#6-32", 0.138, 0.170, 32},
    {"8-32", 0.164, 0.196, 32},
    {"#10-24", 0.190, 0.221, 24},
    {"1/4-20", 0.250, 0.28125, 20},
    {"5/16-18", 0.3125, 0.34375, 18},
    {"3/8-16", 0.375, 0.40625, 16},
    {"7/16-14", 0.4375, 0.46875, 14},
    {"1/2-13", 0.5, 0.5625, 13},
    {"5/8-11", 0.625, 0.6875, 11},
};

static void inch_threads(void **state)
{
    (void)state;
    struct perpend_bolt bolt;
    for (size_t i = 0; i < sizeof inch_table / sizeof inch_table[0]; i++) {
        double hole = NAN, pitch = NAN;
        bolt = (struct perpend_bolt){.thread = 0};
        assert_true(thread_parse(inch_table[i].name, &bolt));
        assert_near(bolt.thread, inch_table[i].diameter * 25.4, 1e-9);
        assert_near(bolt.pitch, 25.4 / inch_table[i].threads, 1e-12);
        assert_int_equal(perpend_clearance_hole(bolt.thread, &hole), PERPEND_OK);
        assert_near(hole, inch_table[i].hole * 25.4, 1e-9);
        assert_int_equal(perpend_coarse_pitch(bolt.thread, &pitch), PERPEND_OK);
        assert_near(pitch, bolt.pitch, 1e-12);
        assert_near(perpend_bolt_slack(&bolt), (hole - bolt.thread) / 2, 1e-9);
    }
    /* fine threads have the same holes; what is whole inches stays that */
    assert_true(thread_parse("10-32", &bolt));
    assert_near(bolt.thread, 0.190 * 25.4, 1e-9);
    assert_true(thread_parse("1/4-28", &bolt));
    assert_near(bolt.thread, 6.35, 1e-9);
    assert_true(thread_parse("1-8", &bolt));
    assert_near(bolt.thread, 25.4, 1e-9);
}

static void clearance_holes(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        double hole = NAN;
        assert_int_equal(perpend_clearance_hole(table[i].thread, &hole), PERPEND_OK);
        assert_true(hole == table[i].medium);
        struct perpend_bolt bolt = {.thread = table[i].thread};
        assert_near(perpend_bolt_slack(&bolt), (table[i].medium - table[i].thread) / 2, 1e-12);
    }
    double hole;
    assert_int_equal(perpend_clearance_hole(5.25, &hole), PERPEND_ERR_NAME);
}

static void coarse_pitches(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        double pitch = NAN;
        assert_int_equal(perpend_coarse_pitch(table[i].thread, &pitch), PERPEND_OK);
        assert_true(pitch == table[i].pitch);
    }
    double pitch;
    assert_int_equal(perpend_coarse_pitch(9.9, &pitch), PERPEND_ERR_NAME);
}

/* Shims and leaves at hand (common practice, no source): foil 0.016, heavy foil 0.024, drink-can
   wall and office paper 0.10, feeler leaves 0.05 to 1.00 by 0.05, washers 0.1 0.2 0.3 0.5 1.0. */
static void common_shims(void **state)
{
    (void)state;
    static const double pieces[] = {
        0.016, 0.024, 0.10, 0.05, 0.15, 0.55, 0.95, 1.00, 0.2, 0.3, 0.5};
    for (size_t i = 0; i < sizeof pieces / sizeof pieces[0]; i++)
        assert_near(perpend_common_thickness(pieces[i]), pieces[i], 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(clearance_holes),
        cmocka_unit_test(coarse_pitches),
        cmocka_unit_test(inch_threads),
        cmocka_unit_test(common_shims),
    };
    return cmocka_run_group_tests_name("fasteners", tests, NULL, NULL);
}
