/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Learning the mount's response: against the same update by precisions, against simulated truth, and
   in words. */
#include "support/support.h"

#include <string.h>

#include <gsl/gsl_cdf.h>

#include <perpend/response.h>
#include <perpend/status.h>

#define CASES 2000

static struct perpend_slope random_slope(struct test_random *random, double most)
{
    return (struct perpend_slope){
        test_uniform(random, -most, most), test_uniform(random, -most, most)};
}

static struct perpend_slope_covariance random_covariance(struct test_random *random)
{
    double a = test_uniform(random, 1e-5, 3e-4), b = test_uniform(random, 1e-5, 3e-4);
    return (struct perpend_slope_covariance){a * a, a * b * test_uniform(random, -0.8, 0.8), b * b};
}

/* Solve the symmetric n × n system in place by elimination with pivots. */
static void solve(double a[4][4], double b[4])
{
    for (int k = 0; k < 4; k++) {
        int pivot = k;
        for (int i = k + 1; i < 4; i++)
            if (fabs(a[i][k]) > fabs(a[pivot][k]))
                pivot = i;
        for (int j = 0; j < 4; j++) {
            double swap = a[k][j];
            a[k][j] = a[pivot][j];
            a[pivot][j] = swap;
        }
        double swap = b[k];
        b[k] = b[pivot];
        b[pivot] = swap;
        for (int i = k + 1; i < 4; i++) {
            double factor = a[i][k] / a[k][k];
            for (int j = k; j < 4; j++)
                a[i][j] -= factor * a[k][j];
            b[i] -= factor * b[k];
        }
    }
    for (int k = 3; k >= 0; k--) {
        for (int j = k + 1; j < 4; j++)
            b[k] -= a[k][j] * b[j];
        b[k] /= a[k][k];
    }
}

static void the_first_ask_is_the_lean_itself(void **state)
{
    (void)state;
    struct perpend_response response = perpend_response_start();
    assert_true(response.gain[0][0] == 1 && response.gain[0][1] == 0);
    assert_near(sqrt(response.covariance[3][3]), 0.2, 1e-15);
    assert_true(response.covariance[3][2] == 0);
    struct perpend_slope ask =
        perpend_response_ask(&response, (struct perpend_slope){0.002, -0.007});
    assert_true(ask.right == -0.002 && ask.back == 0.007);
}

/* A response as some adjustments leave it. */
static struct perpend_response random_response(struct test_random *random)
{
    struct perpend_response response = perpend_response_start();
    for (size_t k = test_pick(random, 4); k > 0; k--) {
        struct perpend_slope asked = random_slope(random, 0.015);
        struct perpend_slope obtained = {
            asked.right * test_uniform(random, 0.6, 1.3), asked.back * 0.9};
        assert_int_equal(perpend_response_learn(&response, asked, obtained,
                             random_covariance(random), test_pick(random, 2) == 0, NULL),
            PERPEND_OK);
    }
    return response;
}

static void fading_goes_home(void **state)
{
    (void)state;
    struct test_random random = test_random_start("fading goes home", 60);
    const struct perpend_response start = perpend_response_start();
    for (int n = 0; n < CASES; n++) {
        const struct perpend_response response = random_response(&random);
        struct perpend_response same = response, gone = response, twice = response, once = response;
        double a = test_uniform(&random, 0, 1), b = test_uniform(&random, 0, 1);
        perpend_response_fade(&same, 1.0);
        perpend_response_fade(&gone, 0.0);
        perpend_response_fade(&twice, a);
        perpend_response_fade(&twice, b);
        perpend_response_fade(&once, a * b);
        for (size_t i = 0; i < 4; i++) {
            assert_near(same.gain[i / 2][i % 2], response.gain[i / 2][i % 2], 1e-15);
            assert_near(gone.gain[i / 2][i % 2], start.gain[i / 2][i % 2], 1e-15);
            assert_near(twice.gain[i / 2][i % 2], once.gain[i / 2][i % 2], 1e-15);
            for (size_t j = 0; j < 4; j++) {
                assert_near(same.covariance[i][j], response.covariance[i][j], 1e-15);
                assert_near(gone.covariance[i][j], start.covariance[i][j], 1e-15);
                assert_near(twice.covariance[i][j], once.covariance[i][j], 1e-15);
            }
            assert_true(response.covariance[i][i] <= 0.2 * 0.2 + 1e-15);
        }
    }
}

/* Prior precision plus H' R⁻¹ H, with R as much larger as Student's t has it; then it fades. */
static void learning_adds_precision(void **state)
{
    (void)state;
    struct test_random random = test_random_start("learning adds precision", 61);
    int surprises = 0;
    for (int n = 0; n < CASES; n++) {
        struct perpend_response response = random_response(&random), before = response;
        struct perpend_slope asked = random_slope(&random, 0.015),
                             obtained = random_slope(&random, 0.01);
        if (test_pick(&random, 4) != 0)
            obtained =
                (struct perpend_slope){asked.right * test_uniform(&random, 0.5, 1.4), asked.back};
        struct perpend_slope_covariance c = random_covariance(&random);
        struct perpend_adjustment seen;
        bool sure = test_pick(&random, 4) == 0;
        assert_int_equal(
            perpend_response_learn(&response, asked, obtained, c, sure, &seen), PERPEND_OK);

        const double a[2] = {asked.right, asked.back};
        double expected[2] = {0, 0}, off[2], s[2][2] = {{0}}, precision[4][4] = {{0}}, sum[4] = {0};
        for (int i = 0; i < 4; i++)
            expected[i / 2] += before.gain[i / 2][i % 2] * a[i % 2];
        off[0] = obtained.right - expected[0];
        off[1] = obtained.back - expected[1];
        double tightening = 0.0225 * (expected[0] * expected[0] + expected[1] * expected[1]);
        double r[2][2] = {
            {c.right_right + tightening, c.right_back}, {c.right_back, c.back_back + tightening}};
        for (int i = 0; i < 2; i++)
            for (int j = 0; j < 2; j++) {
                s[i][j] = r[i][j];
                for (int k = 0; k < 4; k++)
                    s[i][j] +=
                        a[k / 2] * before.covariance[2 * i + k / 2][2 * j + k % 2] * a[k % 2];
            }
        double chi2 = (s[1][1] * off[0] * off[0] - 2 * s[0][1] * off[0] * off[1] +
                          s[0][0] * off[1] * off[1]) /
                      (s[0][0] * s[1][1] - s[0][1] * s[0][1]);
        assert_near(seen.chance, gsl_cdf_chisq_Q(chi2, 2), 1e-9);
        bool surprise = chi2 > gsl_cdf_chisq_Pinv(0.99, 2) && !sure;
        assert_int_equal(seen.outcome == PERPEND_OUTCOME_SURPRISE, surprise);
        surprises += surprise;
        if (surprise) {
            assert_memory_equal(&response, &before, sizeof response);
            continue;
        }
        double wider = (4 + chi2) / 6, det = r[0][0] * r[1][1] - r[0][1] * r[0][1];
        const double inverse[2][2] = {{r[1][1] / det / wider, -r[0][1] / det / wider},
            {-r[0][1] / det / wider, r[0][0] / det / wider}};
        double column[4][4], prior[4][4];
        for (int k = 0; k < 4; k++) {
            double unit[4] = {k == 0, k == 1, k == 2, k == 3};
            memcpy(prior, before.covariance, sizeof prior);
            solve(prior, unit);
            for (int i = 0; i < 4; i++)
                precision[i][k] = unit[i] + a[i % 2] * inverse[i / 2][k / 2] * a[k % 2];
        }
        for (int i = 0; i < 4; i++)
            sum[i] = a[i % 2] * (inverse[i / 2][0] * off[0] + inverse[i / 2][1] * off[1]);
        memcpy(column, precision, sizeof column);
        double first[4] = {1, 0, 0, 0};
        solve(column, first);
        solve(precision, sum);
        for (int i = 0; i < 4; i++) {
            double gain = (i == 0 || i == 3) +
                          0.95 * (before.gain[i / 2][i % 2] + sum[i] - (i == 0 || i == 3));
            assert_near(response.gain[i / 2][i % 2], gain, 1e-8);
            assert_near(
                response.covariance[i][0], 0.9025 * first[i] + (i == 0) * 0.0975 * 0.04, 1e-9);
        }
    }
    printf("# %d surprises of %d\n", surprises, CASES);
    assert_true(surprises > CASES / 20 && surprises < CASES / 2);
}

/* Gains, tightening and sweeps as they are taken to be: one adjustment in a hundred surprises, and
   the gains are known better afterwards. */
static void an_honest_mount_seldom_surprises(void **state)
{
    (void)state;
    struct test_random random = test_random_start("an honest mount seldom surprises", 62);
    const int cases = 10 * CASES;
    double before = 0, after = 0;
    int surprises = 0;
    for (int n = 0; n < cases; n++) {
        struct perpend_response response = perpend_response_start();
        struct perpend_slope asked = random_slope(&random, 0.015);
        double u = test_uniform(&random, 1e-5, 3e-4),
               noise = hypot(u, 0.15 * perpend_slope_size(asked));
        double truth[4];
        for (int i = 0; i < 4; i++)
            truth[i] = (i == 0 || i == 3) + 0.2 * test_normal(&random);
        struct perpend_slope obtained = {
            truth[0] * asked.right + truth[1] * asked.back + noise * test_normal(&random),
            truth[2] * asked.right + truth[3] * asked.back + noise * test_normal(&random)};
        struct perpend_adjustment seen;
        perpend_response_learn(&response, asked, obtained,
            (struct perpend_slope_covariance){u * u, 0, u * u}, false, &seen);
        surprises += seen.outcome == PERPEND_OUTCOME_SURPRISE;
        for (int i = 0; i < 4; i++) {
            before += pow(truth[i] - (i == 0 || i == 3), 2);
            after += pow(truth[i] - response.gain[i / 2][i % 2], 2);
        }
    }
    printf("# %d surprises of %d; error %.3f before, %.3f after one adjustment\n", surprises, cases,
        sqrt(before / cases / 4), sqrt(after / cases / 4));
    assert_near(surprises, 0.01 * cases, 4 * sqrt(0.01 * cases));
    assert_true(after < 0.8 * before);
}

static void asking_undoes_the_response(void **state)
{
    (void)state;
    struct test_random random = test_random_start("asking undoes the response", 63);
    for (int n = 0; n < CASES; n++) {
        struct perpend_response response = perpend_response_start();
        for (int i = 0; i < 2; i++)
            for (int j = 0; j < 2; j++)
                response.gain[i][j] =
                    i == j ? test_uniform(&random, 0.9, 1.6) : test_uniform(&random, -0.2, 0.2);
        struct perpend_slope lean = random_slope(&random, 0.02);
        struct perpend_slope left =
            perpend_response_expect(&response, perpend_response_ask(&response, lean));
        assert_near(left.right, -lean.right, 1e-15);
        assert_near(left.back, -lean.back, 1e-15);
        /* whatever the response, no more than 1.6 times the lean is asked */
        for (int i = 0; i < 2; i++)
            for (int j = 0; j < 2; j++)
                response.gain[i][j] = test_pick(&random, 5) ? test_uniform(&random, -1, 1.5) : 0.0;
        struct perpend_slope ask = perpend_response_ask(&response, lean);
        if (!(perpend_slope_size(ask) <= 1.6 * perpend_slope_size(lean) * (1 + 1e-9))) {
            printf("# case %d: asks %.3g for %.3g\n", n, perpend_slope_size(ask),
                perpend_slope_size(lean));
            fail();
        }
    }
}

/* Turn the world a quarter: right becomes front, back becomes right. */
static void a_turned_world_turns_the_response(void **state)
{
    (void)state;
    struct test_random random = test_random_start("a turned world turns the response", 64);
    for (int n = 0; n < CASES; n++) {
        struct perpend_response one = perpend_response_start(), other = one;
        for (int k = 0; k < 2; k++) {
            struct perpend_slope asked = random_slope(&random, 0.01);
            struct perpend_slope got = {0.8 * asked.right, 0.7 * asked.back};
            struct perpend_slope_covariance c = random_covariance(&random);
            struct perpend_slope_covariance turned = {c.back_back, -c.right_back, c.right_right};
            struct perpend_adjustment a, b;
            perpend_response_learn(&one, asked, got, c, false, &a);
            perpend_response_learn(&other, (struct perpend_slope){asked.back, -asked.right},
                (struct perpend_slope){got.back, -got.right}, turned, false, &b);
            assert_near(a.along, b.along, 1e-12);
            assert_near(a.across, b.across, 1e-12);
            assert_near(a.chance, b.chance, 1e-12);
            assert_int_equal(a.outcome, b.outcome);
        }
        assert_near(one.gain[0][0], other.gain[1][1], 1e-12);
        assert_near(one.gain[0][1], -other.gain[1][0], 1e-12);
        assert_near(one.gain[1][0], -other.gain[0][1], 1e-12);
    }
}

static void outcomes_are_named_when_they_are_sure(void **state)
{
    (void)state;
    static const struct {
        double right, back, u; /* obtained of 10 mm/m asked to the back, mm/m */
        enum perpend_outcome outcome, when_sure;
    } cases[] = {
        {0, 10, 0.1, PERPEND_OUTCOME_AS_ASKED, PERPEND_OUTCOME_AS_ASKED},
        {0, 9.2, 0.1, PERPEND_OUTCOME_AS_ASKED,
            PERPEND_OUTCOME_AS_ASKED}, /* a twelfth is nothing */
        {0, 6, 0.1, PERPEND_OUTCOME_PART, PERPEND_OUTCOME_PART},
        {0, 6, 3.0, PERPEND_OUTCOME_AS_ASKED, PERPEND_OUTCOME_AS_ASKED}, /* nobody could tell */
        {0, 13, 0.1, PERPEND_OUTCOME_OVER, PERPEND_OUTCOME_OVER},
        {0.1, 0.2, 0.1, PERPEND_OUTCOME_SURPRISE, PERPEND_OUTCOME_PART},
        {0, 0.2, 3.0, PERPEND_OUTCOME_PART,
            PERPEND_OUTCOME_PART}, /* not so far off for such sweeps */
        {0, -9, 0.1, PERPEND_OUTCOME_SURPRISE, PERPEND_OUTCOME_PART},
        {0, 20, 0.1, PERPEND_OUTCOME_SURPRISE, PERPEND_OUTCOME_OVER},
        {4, 9, 0.1, PERPEND_OUTCOME_SIDEWAYS, PERPEND_OUTCOME_SIDEWAYS},
        {-3, 6, 0.1, PERPEND_OUTCOME_PART, PERPEND_OUTCOME_PART},
        {-5, 6, 0.1, PERPEND_OUTCOME_SIDEWAYS, PERPEND_OUTCOME_SIDEWAYS},
        {12, 9, 0.1, PERPEND_OUTCOME_SURPRISE, PERPEND_OUTCOME_SIDEWAYS},
    };
    for (size_t i = 0; i < 2 * sizeof cases / sizeof cases[0]; i++) {
        const size_t k = i / 2;
        const bool sure = i % 2 == 1;
        struct perpend_response response = perpend_response_start(), fresh = response;
        struct perpend_slope asked = {0, 0.01};
        struct perpend_slope got = {cases[k].right * 1e-3, cases[k].back * 1e-3};
        double variance = pow(cases[k].u * 1e-3, 2);
        struct perpend_slope_covariance c = {variance, 0, variance};
        struct perpend_adjustment seen;
        assert_int_equal(perpend_response_learn(&response, asked, got, c, sure, &seen), PERPEND_OK);
        if (seen.outcome != (sure ? cases[k].when_sure : cases[k].outcome)) {
            printf("# case %zu: outcome %d\n", k, (int)seen.outcome);
            fail();
        }
        assert_near(seen.along, cases[k].back / 10, 1e-12);
        /* + is clockwise from above: from the back to the right */
        assert_near(seen.across, cases[k].right / 10, 1e-12);
        bool same = memcmp(&response, &fresh, sizeof fresh) == 0;
        assert_int_equal(same, seen.outcome == PERPEND_OUTCOME_SURPRISE);
    }
}

/* The example of docs/method.md, "Learning". */
static void the_worked_example(void **state)
{
    (void)state;
    struct perpend_response response = perpend_response_start();
    struct perpend_slope asked = {0, -0.02 / 3}, then = {0, 0.008 / 3},
                         got = {0, 0.012 / 3 - 0.008};
    double u = 0.25e-3;
    struct perpend_slope_covariance c = {2 * u * u, 0, 2 * u * u};
    struct perpend_adjustment seen;
    assert_int_equal(perpend_response_learn(&response, asked, got, c, false, &seen), PERPEND_OK);
    assert_int_equal(seen.outcome, PERPEND_OUTCOME_PART);
    assert_near(seen.along, 0.6, 1e-12);
    struct perpend_slope ask = perpend_response_ask(&response, then);
    assert_near(seen.chance, exp(-2.45 / 2), 1e-3);
    assert_near(response.gain[1][1], 0.7738, 5e-5);
    assert_near(ask.back, -3.446e-3, 1e-6);
    assert_near(-ask.back * 80, 0.276, 5e-4);
}

static void nothing_asked_teaches_nothing(void **state)
{
    (void)state;
    struct perpend_response response = perpend_response_start(), fresh = response;
    const struct perpend_slope none = {0, 0}, lean = {0.0001, -0.0001};
    const struct perpend_slope_covariance good = {1e-8, 0, 1e-8};
    struct perpend_adjustment seen;
    assert_int_equal(perpend_response_learn(&response, none, lean, good, false, &seen), PERPEND_OK);
    assert_int_equal(seen.outcome, PERPEND_OUTCOME_AS_ASKED);
    assert_near(seen.obtained.right, 0.0001, 1e-15);
    const struct perpend_slope odd[] = {{NAN, 0}, {0, INFINITY}};
    const struct perpend_slope_covariance bad[] = {
        {-1, 0, 1}, {1, 0, -1}, {INFINITY, 0, 1}, {1, 0, INFINITY}, {1, NAN, 1}};
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        assert_int_equal(
            perpend_response_learn(&response, odd[i], lean, good, false, NULL), PERPEND_ERR_VALUE);
        assert_int_equal(
            perpend_response_learn(&response, lean, odd[i], good, false, NULL), PERPEND_ERR_VALUE);
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_int_equal(
            perpend_response_learn(&response, lean, lean, bad[i], false, NULL), PERPEND_ERR_VALUE);
    assert_memory_equal(&response, &fresh, sizeof fresh);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_ask_is_the_lean_itself),
        cmocka_unit_test(fading_goes_home),
        cmocka_unit_test(learning_adds_precision),
        cmocka_unit_test(an_honest_mount_seldom_surprises),
        cmocka_unit_test(asking_undoes_the_response),
        cmocka_unit_test(a_turned_world_turns_the_response),
        cmocka_unit_test(outcomes_are_named_when_they_are_sure),
        cmocka_unit_test(the_worked_example),
        cmocka_unit_test(nothing_asked_teaches_nothing),
    };
    return cmocka_run_group_tests_name("response", tests, NULL, NULL);
}
