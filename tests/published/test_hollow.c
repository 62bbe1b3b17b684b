/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Hollow left by a face cutter that leans along its feed (machining handbooks, from memory): for a
   cutter of diameter D leaning by θ over a width e, f = tan θ (D − √(D² − e²)) / 2. */
#include "support/support.h"

#include <perpend/ridge.h>
#include <perpend/status.h>

static double handbook(double diameter, double width, double lean)
{
    return lean * (diameter - sqrt(diameter * diameter - width * width)) / 2.0;
}

/* The handbook's f holds for small leans; the exact one is less by the lean's cosine. */
static void hollow_is_the_handbooks(void **state)
{
    (void)state;
    const double diameters[] = {20.0, 22.0, 50.0, 100.0}, leans[] = {1e-5, 1e-4, 1e-3, 5e-3};
    for (size_t i = 0; i < 4; i++) {
        for (size_t j = 0; j < 4; j++) {
            for (int share = 1; share < 10; share++) {
                const struct perpend_cutter cutter = {diameters[i], 0.0};
                struct perpend_slope lean = {leans[j], 0.0};
                double width = diameters[i] * share / 10.0, height;
                assert_int_equal(
                    perpend_ridge_height(lean, &cutter, width, PERPEND_ALONG_X, &height),
                    PERPEND_OK);
                double f = handbook(diameters[i], width, leans[j]);
                assert_relative(height, f, leans[j] * leans[j]);
                assert_relative(height, f * cos(atan(leans[j])), 1e-12);
            }
        }
    }
}

/* D 22 mm, s 10 mm, 1 mm over 150 mm along the feed: 0.0080 mm. */
static void hollow_of_the_demo(void **state)
{
    (void)state;
    const struct perpend_cutter cutter = {22.0, 0.0};
    const struct perpend_slope lean = {0.0, 1.0 / 150.0};
    double height;
    assert_int_equal(
        perpend_ridge_height(lean, &cutter, 10.0, PERPEND_ALONG_Y, &height), PERPEND_OK);
    assert_near(height, handbook(22.0, 10.0, 1.0 / 150.0), 1e-6);
    assert_near(height, 0.0080, 0.00005);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hollow_is_the_handbooks),
        cmocka_unit_test(hollow_of_the_demo),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
