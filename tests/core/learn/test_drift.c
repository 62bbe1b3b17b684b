/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drift between two measurements of one lean. */
#include <gsl/gsl_cdf.h>

#include <perpend/drift.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "support/support.h"

#define CASES 2000

/* A covariance with axes of any direction and lengths a hundredfold apart at most. */
static struct perpend_slope_covariance any_covariance(struct test_random *random)
{
    double large = pow(10, test_uniform(random, -9, -5));
    double small = large * pow(10, test_uniform(random, -4, 0));
    double turn = test_uniform(random, 0, PERPEND_PI);
    double c = cos(turn), s = sin(turn);
    return (struct perpend_slope_covariance){
        .right_right = large * c * c + small * s * s,
        .right_back = (large - small) * c * s,
        .back_back = large * s * s + small * c * c,
    };
}

static struct perpend_slope any_slope(struct test_random *random, double size)
{
    return (struct perpend_slope){
        test_uniform(random, -size, size), test_uniform(random, -size, size)};
}

static void print_case(int round, struct perpend_slope left, struct perpend_slope found,
    const struct perpend_slope_covariance *a, const struct perpend_slope_covariance *b)
{
    printf("# case %d: left %.17g %.17g found %.17g %.17g covariances %.17g %.17g %.17g, %.17g "
           "%.17g %.17g\n",
        round, left.right, left.back, found.right, found.back, a->right_right, a->right_back,
        a->back_back, b->right_right, b->right_back, b->back_back);
}

/* Against the inverse by Cramer's rule and GSL's χ² tail. */
static void it_is_the_chi_square_of_the_difference(void **state)
{
    (void)state;
    struct test_random random = test_random_start("chi square of the difference", 61);
    for (int round = 0; round < CASES; round++) {
        struct perpend_drift drift;
        struct perpend_slope_covariance a = any_covariance(&random), b = any_covariance(&random);
        struct perpend_slope left = any_slope(&random, 0.01);
        struct perpend_slope found = any_slope(&random, 0.01);
        assert_int_equal(perpend_drift_between(left, a, found, b, &drift), PERPEND_OK);
        double rr = a.right_right + b.right_right, rb = a.right_back + b.right_back,
               bb = a.back_back + b.back_back;
        double r = found.right - left.right, k = found.back - left.back;
        double chi2 = (bb * r * r - 2 * rb * r * k + rr * k * k) / (rr * bb - rb * rb);
        double p = gsl_cdf_chisq_Q(drift.chi2, 2);
        if (fabs(drift.chi2 - chi2) > 1e-7 * chi2 || fabs(drift.p - p) > 1e-12 ||
            drift.beyond != (p < 0.05)) {
            print_case(round, left, found, &a, &b);
            printf("# chi2 %.17g and %.17g, p %.17g and %.17g\n", drift.chi2, chi2, drift.p, p);
            fail();
        }
        assert_near(drift.size, hypot(r, k), 1e-15);
    }
}

/* A change just as large as what is said to be explained stands at the 5 % level. */
static void what_is_explained_ends_at_the_level(void **state)
{
    (void)state;
    struct test_random random = test_random_start("explained", 62);
    for (int round = 0; round < CASES; round++) {
        struct perpend_drift drift, edge;
        struct perpend_slope_covariance a = any_covariance(&random), b = any_covariance(&random);
        struct perpend_slope none = {0, 0}, change = any_slope(&random, 0.01);
        assert_int_equal(perpend_drift_between(none, a, change, b, &drift), PERPEND_OK);
        double scale = drift.explained / drift.size;
        change = (struct perpend_slope){change.right * scale, change.back * scale};
        assert_int_equal(perpend_drift_between(none, a, change, b, &edge), PERPEND_OK);
        if (fabs(edge.p - PERPEND_DRIFT_LEVEL) > 1e-9) {
            print_case(round, none, change, &a, &b);
            fail();
        }
        assert_int_equal(drift.beyond, drift.size > drift.explained);
    }
}

static struct perpend_slope turned(struct perpend_slope slope)
{
    return (struct perpend_slope){slope.back, -slope.right};
}

static struct perpend_slope_covariance turned_covariance(struct perpend_slope_covariance c)
{
    return (struct perpend_slope_covariance){c.back_back, -c.right_back, c.right_right};
}

static void a_turned_world_drifts_alike(void **state)
{
    (void)state;
    struct test_random random = test_random_start("turned world", 63);
    for (int round = 0; round < CASES; round++) {
        struct perpend_drift drift, other, back;
        struct perpend_slope_covariance a = any_covariance(&random), b = any_covariance(&random);
        struct perpend_slope left = any_slope(&random, 0.005), found = any_slope(&random, 0.005);
        assert_int_equal(perpend_drift_between(left, a, found, b, &drift), PERPEND_OK);
        assert_int_equal(perpend_drift_between(turned(left), turned_covariance(a), turned(found),
                             turned_covariance(b), &other),
            PERPEND_OK);
        assert_int_equal(perpend_drift_between(found, b, left, a, &back), PERPEND_OK);
        assert_relative(other.chi2, drift.chi2, 1e-9);
        assert_relative(back.chi2, drift.chi2, 1e-9);
        assert_relative(other.explained, drift.explained, 1e-9);
        double quarter = fmod(other.toward - drift.toward + 2 * PERPEND_PI, 2 * PERPEND_PI);
        if (fabs(quarter - PERPEND_PI / 2) > 1e-9) {
            print_case(round, left, found, &a, &b);
            fail();
        }
    }
}

/* Two measurements of one and the same lean are called drift one time in twenty. */
static void without_drift_one_in_twenty_is_called(void **state)
{
    (void)state;
    struct test_random random = test_random_start("false alarms", 64);
    const int draws = 40000;
    int called = 0;
    struct perpend_slope_covariance a = {4e-8, 1.5e-8, 1e-8}, b = {1e-8, -0.5e-8, 9e-8};
    double la = sqrt(a.right_right), ma = a.right_back / la, na = sqrt(a.back_back - ma * ma);
    double lb = sqrt(b.right_right), mb = b.right_back / lb, nb = sqrt(b.back_back - mb * mb);
    for (int i = 0; i < draws; i++) {
        double z[4];
        for (int k = 0; k < 4; k++)
            z[k] = test_normal(&random);
        struct perpend_slope left = {0.001 + la * z[0], -0.002 + ma * z[0] + na * z[1]};
        struct perpend_slope found = {0.001 + lb * z[2], -0.002 + mb * z[2] + nb * z[3]};
        struct perpend_drift drift;
        assert_int_equal(perpend_drift_between(left, a, found, b, &drift), PERPEND_OK);
        called += drift.beyond;
    }
    double share = (double)called / draws;
    printf("# called %.4f of %d\n", share, draws);
    assert_near(share, 0.05, 4 * sqrt(0.05 * 0.95 / draws));
}

static void degenerate_cases_have_answers(void **state)
{
    (void)state;
    struct perpend_drift drift;
    struct perpend_slope left = {0.001, 0.002}, found = {0.001, 0.003};
    struct perpend_slope_covariance none = {0, 0, 0}, one_way = {1e-8, 0, 0};
    struct perpend_slope_covariance slanting = {1e-8, 1e-8, 1e-8}, round = {1e-8, 0, 1e-8};

    assert_int_equal(perpend_drift_between(left, round, left, round, &drift), PERPEND_OK);
    assert_true(drift.p == 1 && drift.chi2 == 0 && !drift.beyond && drift.size == 0);
    /* σ√2 in each direction; 5.991 is the 95 % point of χ² with two degrees of freedom (tables) */
    assert_relative(drift.explained, sqrt(2e-8 * 5.991), 5e-5);

    assert_int_equal(perpend_drift_between(left, none, left, none, &drift), PERPEND_OK);
    assert_true(drift.p == 1 && !drift.beyond);
    assert_int_equal(perpend_drift_between(left, none, found, none, &drift), PERPEND_OK);
    assert_true(drift.p == 0 && drift.beyond && drift.explained == 0);
    assert_int_equal(perpend_drift_between(left, one_way, found, none, &drift), PERPEND_OK);
    assert_true(drift.p == 0 && drift.beyond);
    found = (struct perpend_slope){0.00101, 0.002};
    assert_int_equal(perpend_drift_between(left, one_way, found, none, &drift), PERPEND_OK);
    assert_true(!drift.beyond);
    found = (struct perpend_slope){0.00101, 0.00201};
    assert_int_equal(perpend_drift_between(left, slanting, found, none, &drift), PERPEND_OK);
    assert_true(!drift.beyond);
}

static void what_is_no_measurement_is_refused(void **state)
{
    (void)state;
    struct perpend_drift drift;
    struct perpend_slope slope = {0.001, 0.002}, odd = {NAN, 0};
    struct perpend_slope_covariance good = {1e-8, 0, 1e-8}, negative = {-1e-8, 0, 1e-8},
                                    impossible = {1e-8, 2e-8, 1e-8}, endless = {INFINITY, 0, 1};
    assert_int_equal(perpend_drift_between(odd, good, slope, good, &drift), PERPEND_ERR_VALUE);
    assert_int_equal(perpend_drift_between(slope, good, odd, good, &drift), PERPEND_ERR_VALUE);
    assert_int_equal(
        perpend_drift_between(slope, negative, slope, good, &drift), PERPEND_ERR_VALUE);
    assert_int_equal(
        perpend_drift_between(slope, good, slope, impossible, &drift), PERPEND_ERR_VALUE);
    assert_int_equal(perpend_drift_between(slope, endless, slope, good, &drift), PERPEND_ERR_VALUE);
    const struct perpend_slope_covariance unknown[] = {
        {NAN, 0, 1e-8}, {1e-8, NAN, 1e-8}, {1e-8, 0, NAN}};
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++)
        assert_int_equal(
            perpend_drift_between(slope, good, slope, unknown[i], &drift), PERPEND_ERR_VALUE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_the_chi_square_of_the_difference),
        cmocka_unit_test(what_is_explained_ends_at_the_level),
        cmocka_unit_test(a_turned_world_drifts_alike),
        cmocka_unit_test(without_drift_one_in_twenty_is_called),
        cmocka_unit_test(degenerate_cases_have_answers),
        cmocka_unit_test(what_is_no_measurement_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
