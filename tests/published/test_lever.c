/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lever indicators read too much by the angle of the stylus. Machine-builders' table of cosine
   corrections, two figures, from memory: said to be cut rather than rounded, which holds for all
   but 20° (cos 20° = 0.9397), so each is taken to the last place. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <perpend/sweep.h>
#include <perpend/units.h>

static void the_stylus_correction_is_the_tabulated_one(void **state)
{
    (void)state;
    static const struct {
        double degrees, factor;
    } table[] = {{10, 0.98}, {20, 0.94}, {30, 0.86}, {40, 0.76}, {50, 0.64}, {60, 0.50}};
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        struct perpend_gauge gauge = {.kind = PERPEND_GAUGE_LEVER,
            .angle = perpend_radians(table[i].degrees),
            .step = 0.01,
            .spread = NAN};
        double factor = perpend_gauge_gap_per_reading(&gauge);
        assert_true(fabs(-factor - table[i].factor) < 0.01);
        gauge.rises_away = true;
        assert_true(perpend_gauge_gap_per_reading(&gauge) == -factor);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_stylus_correction_is_the_tabulated_one),
    };
    return cmocka_run_group_tests_name("lever", tests, NULL, NULL);
}
