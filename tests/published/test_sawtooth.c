/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sawtooth profile (from the definitions of ISO 21920-2, formerly ISO 4287): its arithmetic mean
   deviation is a quarter of its peak to valley. And its height is s tan(lean), by the drawing. */
#include "support/support.h"

#include <perpend/ridge.h>
#include <perpend/status.h>

static void mean_deviation_is_a_quarter(void **state)
{
    (void)state;
    for (double size = 1e-5; size < 0.3; size *= 3.0) {
        for (int share = 1; share <= 9; share++) {
            const struct perpend_cutter cutter = {22.0, 0.0};
            const struct perpend_facing facing = {2.2 * share, false, PERPEND_ALONG_X, NAN};
            struct perpend_ridge ridge;
            struct perpend_slope lean = {0.0, size};
            assert_int_equal(perpend_ridge_describe(lean, &cutter, &facing, &ridge), PERPEND_OK);
            assert_relative(ridge.height, facing.stepover * size, 1e-12);
            assert_relative(ridge.ra, ridge.height / 4.0, 1e-9);
        }
    }
}

/* An arc's hollow by comparison: chord s, mean deviation of a parabola, h times 2 / (3 √27) × 2. */
static void hollow_is_a_parabola(void **state)
{
    (void)state;
    const struct perpend_cutter cutter = {60.0, 0.0};
    const struct perpend_facing facing = {2.0, false, PERPEND_ALONG_Y, NAN};
    const struct perpend_slope lean = {0.0, 0.003};
    struct perpend_ridge ridge;
    assert_int_equal(perpend_ridge_describe(lean, &cutter, &facing, &ridge), PERPEND_OK);
    assert_relative(ridge.ra, ridge.height * 4.0 / (3.0 * sqrt(27.0)), 1e-3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mean_deviation_is_a_quarter),
        cmocka_unit_test(hollow_is_a_parabola),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
