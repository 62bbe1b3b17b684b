/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clearance holes and pitches against the standards' tables. */
#include "support/support.h"

#include <perpend/mount.h>
#include <perpend/shims.h>
#include <perpend/status.h>

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
        cmocka_unit_test(common_shims),
    };
    return cmocka_run_group_tests_name("fasteners", tests, NULL, NULL);
}
