/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Grooving with a leaning end mill (a rule of home-shop machinists, printed in a model-engineering
   magazine in 1988 and as a published worked example on a web page of workshop calculations, both
   from memory): an end mill of radius r that leans by θ along its feed cuts a groove whose bottom
   has the radius R = r / sin θ. */
#include "support/support.h"

#include <perpend/ridge.h>
#include <perpend/status.h>

static void bottom_radius_is_the_rules(void **state)
{
    (void)state;
    for (double degrees = 0.1; degrees < 45.0; degrees *= 1.5) {
        const struct perpend_cutter cutter = {12.0, 0.0};
        const struct perpend_facing facing = {6.0, false, PERPEND_ALONG_Y, NAN};
        double theta = degrees * acos(-1.0) / 180.0;
        struct perpend_ridge ridge;
        struct perpend_slope lean = {0.0, tan(theta)};
        assert_int_equal(perpend_ridge_describe(lean, &cutter, &facing, &ridge), PERPEND_OK);
        assert_relative(ridge.bottom_radius, 6.0 / sin(theta), 1e-12);
    }
}

/* The same from the drawn floor: three points round the bottom lie on a circle of that radius. */
static void drawn_floor_has_that_radius(void **state)
{
    (void)state;
    const struct perpend_cutter cutter = {12.0, 0.0};
    for (double degrees = 0.5; degrees < 45.0; degrees *= 2.0) {
        double theta = degrees * acos(-1.0) / 180.0, bottom, side;
        struct perpend_slope lean = {0.0, tan(theta)};
        const double p = 0.01;
        perpend_floor_height(lean, &cutter, 6.0, PERPEND_ALONG_Y, 0.0, &bottom);
        perpend_floor_height(lean, &cutter, 6.0, PERPEND_ALONG_Y, p, &side);
        /* sagitta h of a chord 2 p: R = (p² + h²) / (2 h) */
        double h = side - bottom;
        assert_relative((p * p + h * h) / (2.0 * h), 6.0 / sin(theta), 1e-5);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bottom_radius_is_the_rules),
        cmocka_unit_test(drawn_floor_has_that_radius),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
