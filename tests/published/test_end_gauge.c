/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Expanded uncertainties by Student's t, from memory: the end gauge of JCGM 100:2008, example H.1 (standard
   uncertainty 32 nm with 16 degrees of freedom, U99 = 2.92 * 32 nm = 93 nm), and t95 of its table G.2. As
   a ridge: for lean square to the feed, sure but for that, the ridge s tan(lean) follows the lean in a line. */
#include "support/support.h"

#include <perpend/distribution.h>
#include <perpend/status.h>

#define STEPOVER 10.0 /* mm */
#define LEAN 0.005    /* far from none */

/* The covariance of a t is its scale's, times ν/(ν − 2). */
static struct perpend_distribution distribution_of(double scale, double dof, double ridge)
{
    const struct perpend_uncertain_lean lean = {
        {0.0, LEAN}, {0.0, 0.0, scale * scale * dof / (dof - 2.0)}, dof};
    const struct perpend_cutter cutter = {22.0, 0.0};
    const struct perpend_facing facing = {STEPOVER, false, PERPEND_ALONG_X, NAN};
    const struct perpend_goal goal = {ridge, NAN};
    struct perpend_distribution d;
    assert_int_equal(perpend_ridge_distribution(&lean, &cutter, &facing, &goal, &d), PERPEND_OK);
    return d;
}

static void the_end_gauge(void **state)
{
    (void)state;
    const double u = 32e-6 / STEPOVER, expanded = 93e-6, found = STEPOVER * tan(LEAN);
    double above = distribution_of(u, 16.0, found + expanded).chance;
    double below = distribution_of(u, 16.0, found - expanded).chance;
    printf("# within U99: %.4f\n", above - below);
    assert_near(above, 0.995, 0.0005);
    assert_near(below, 0.005, 0.0005);
}

static void half_widths(void **state)
{
    (void)state;
    static const struct {
        double dof, t95;
    } table[] = {{4, 2.78}, {5, 2.57}, {6, 2.45}, {8, 2.31}, {10, 2.23}, {20, 2.09}, {50, 2.01}};
    const double u = 1e-5;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        struct perpend_distribution d = distribution_of(u, table[i].dof, 1.0);
        double half = (d.high - d.low) / 2.0 / (STEPOVER * u);
        printf("# %2.0f degrees of freedom: %.3f\n", table[i].dof, half);
        assert_near(half, table[i].t95, 0.005 * table[i].t95 + 0.005);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_end_gauge),
        cmocka_unit_test(half_widths),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
