/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Conformity (JCGM 106:2012, worked example of a voltage below a limit, from memory): estimate
   −5.47, u 0.05, upper limit −5.40: the chance of conformity is Φ(1.40) = 0.92. The same as a ridge:
   for lean square to the feed, sure but for that, the ridge s tan(lean) follows the lean in a line. */
#include "support/support.h"

#include <perpend/distribution.h>
#include <perpend/status.h>
#include <perpend/verdict.h>

static void below_a_limit(void **state)
{
    (void)state;
    const double mm = 1e-3, stepover = 10.0, estimate = 10.0 - 5.47, limit = 10.0 - 5.40, u = 0.05;
    const struct perpend_uncertain_lean lean = {
        {0.0, estimate * mm}, {0.0, 0.0, u * u * mm * mm}, INFINITY};
    const struct perpend_cutter cutter = {22.0, 0.0};
    const struct perpend_facing facing = {stepover, false, PERPEND_ALONG_X, NAN};
    const struct perpend_goal goal = {stepover * limit * mm, NAN};
    struct perpend_distribution d;
    assert_int_equal(perpend_ridge_distribution(&lean, &cutter, &facing, &goal, &d), PERPEND_OK);
    printf("# chance %.5f\n", d.chance);
    assert_near(d.chance, 0.92, 0.005);
    assert_near(d.chance, 0.9192433407662289, 1e-3); /* Φ(1.4), tables of the normal distribution */
    assert_int_equal(perpend_verdict_for(d.chance), PERPEND_VERDICT_TOO_CLOSE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(below_a_limit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
