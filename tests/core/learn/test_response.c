/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Learning the mount's response: against the batch solution, against simulated truth, and in words.
 */
#include "support/support.h"

#include <perpend/response.h>
#include <perpend/status.h>

/* From two sweeps, as a job has them. */
static enum perpend_status learn_between(struct perpend_response *response,
    struct perpend_slope asked, struct perpend_slope before, struct perpend_slope_covariance b,
    struct perpend_slope after, struct perpend_slope_covariance a,
    struct perpend_adjustment *adjustment)
{
    struct perpend_slope obtained = {after.right - before.right, after.back - before.back};
    struct perpend_slope_covariance sum = {
        b.right_right + a.right_right, b.right_back + a.right_back, b.back_back + a.back_back};
    return perpend_response_learn(response, asked, obtained, sum, adjustment);
}

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

/* Draw from N(0, c). */
static struct perpend_slope draw(
    struct test_random *random, struct perpend_slope_covariance c, double extra)
{
    double rr = sqrt(c.right_right + extra * extra);
    double across = c.right_back / rr;
    double along = sqrt(c.back_back + extra * extra - across * across);
    double first = test_normal(random), second = test_normal(random);
    return (struct perpend_slope){rr * first, across * first + along * second};
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
    assert_near(sqrt(response.covariance[3][3]), 0.3, 1e-15);
    struct perpend_slope ask =
        perpend_response_ask(&response, (struct perpend_slope){0.002, -0.007});
    assert_true(ask.right == -0.002 && ask.back == 0.007);
}

/* Step by step is the same as all at once: prior precision plus Σ Hᵀ R⁻¹ H. */
static void learning_is_the_batch_solution(void **state)
{
    (void)state;
    struct test_random random = test_random_start("learning is the batch solution", 61);
    for (int n = 0; n < CASES; n++) {
        struct perpend_response response = perpend_response_start();
        double precision[4][4] = {{0}}, sum[4] = {0};
        for (int i = 0; i < 4; i++) {
            precision[i][i] = 1.0 / 0.09;
            sum[i] = (i == 0 || i == 3) / 0.09;
        }
        int rounds = 1 + (int)test_pick(&random, 4);
        for (int k = 0; k < rounds; k++) {
            struct perpend_slope asked = random_slope(&random, 0.015);
            struct perpend_slope_covariance before = random_covariance(&random);
            struct perpend_slope_covariance after = random_covariance(&random);
            struct perpend_slope lean = random_slope(&random, 0.015);
            struct perpend_slope obtained = {
                asked.right * test_uniform(&random, 0.6, 1.3), asked.back * 0.9};
            struct perpend_slope then = {lean.right + obtained.right, lean.back + obtained.back};
            struct perpend_adjustment seen;
            assert_int_equal(
                learn_between(&response, asked, lean, before, then, after, &seen), PERPEND_OK);
            double settle = PERPEND_RESPONSE_SETTLING * PERPEND_RESPONSE_SETTLING;
            double rr = before.right_right + after.right_right + settle;
            double rb = before.right_back + after.right_back;
            double bb = before.back_back + after.back_back + settle;
            double det = rr * bb - rb * rb,
                   inverse[2][2] = {{bb / det, -rb / det}, {-rb / det, rr / det}};
            double a[2] = {asked.right, asked.back}, y[2] = {obtained.right, obtained.back};
            for (int i = 0; i < 4; i++) {
                for (int j = 0; j < 4; j++)
                    precision[i][j] += a[i % 2] * inverse[i / 2][j / 2] * a[j % 2];
                sum[i] += a[i % 2] * (inverse[i / 2][0] * y[0] + inverse[i / 2][1] * y[1]);
            }
        }
        double covariance_column[4] = {1, 0, 0, 0}, copy[4][4];
        for (int i = 0; i < 4; i++)
            for (int j = 0; j < 4; j++)
                copy[i][j] = precision[i][j];
        solve(precision, sum);
        solve(copy, covariance_column);
        for (int i = 0; i < 4; i++) {
            if (fabs(response.gain[i / 2][i % 2] - sum[i]) > 1e-8 ||
                fabs(response.covariance[i][0] - covariance_column[i]) > 1e-9) {
                printf("# case %d: gain %d is %.17g, all at once %.17g\n", n, i,
                    response.gain[i / 2][i % 2], sum[i]);
                fail();
            }
        }
    }
}

/* Gains drawn from the prior, sweeps with the noise they state: the truth lies where the posterior
   says, 4 degrees of freedom on average, and nearer than before. */
static void the_posterior_means_what_it_says(void **state)
{
    (void)state;
    struct test_random random = test_random_start("the posterior means what it says", 62);
    double spread = 0, before_off = 0, after_off = 0;
    int counted = 0;
    for (int n = 0; n < CASES; n++) {
        double truth[4];
        for (int i = 0; i < 4; i++)
            truth[i] = (i == 0 || i == 3) + 0.3 * test_normal(&random);
        struct perpend_response response = perpend_response_start();
        bool slip = false;
        for (int k = 0; k < 2; k++) {
            struct perpend_slope asked = random_slope(&random, 0.015);
            struct perpend_slope_covariance c = random_covariance(&random);
            struct perpend_slope lean = random_slope(&random, 0.015);
            struct perpend_slope one = draw(&random, c, 0), two = draw(&random, c, 0);
            struct perpend_slope settle = draw(
                &random, (struct perpend_slope_covariance){0, 0, 0}, PERPEND_RESPONSE_SETTLING);
            struct perpend_slope seen = {lean.right + one.right, lean.back + one.back};
            struct perpend_slope then = {lean.right + truth[0] * asked.right +
                                             truth[1] * asked.back + settle.right + two.right,
                lean.back + truth[2] * asked.right + truth[3] * asked.back + settle.back +
                    two.back};
            struct perpend_adjustment adjustment;
            assert_int_equal(
                learn_between(&response, asked, seen, c, then, c, &adjustment), PERPEND_OK);
            slip = slip || adjustment.outcome == PERPEND_OUTCOME_NOTHING ||
                   adjustment.outcome == PERPEND_OUTCOME_WRONG_WAY;
        }
        if (slip)
            continue; /* rare: a gain of a tenth or less */
        counted++;
        double off[4], copy[4][4], weighed[4];
        for (int i = 0; i < 4; i++) {
            off[i] = weighed[i] = truth[i] - response.gain[i / 2][i % 2];
            before_off += pow(truth[i] - (i == 0 || i == 3), 2);
            after_off += off[i] * off[i];
            for (int j = 0; j < 4; j++)
                copy[i][j] = response.covariance[i][j];
        }
        solve(copy, weighed);
        for (int i = 0; i < 4; i++)
            spread += off[i] * weighed[i];
    }
    spread /= counted;
    printf("# %d of %d machines; weighed square of the error %.3f (4 is right); error %.3f before, "
           "%.3f after two adjustments\n",
        counted, CASES, spread, sqrt(before_off / counted / 4), sqrt(after_off / counted / 4));
    /* ± 4 standard deviations of the mean of a χ² with 4 degrees of freedom */
    assert_near(spread, 4.0, 4.0 * sqrt(8.0 / counted));
    assert_true(after_off < 0.2 * before_off);
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
                    i == j ? test_uniform(&random, 0.6, 1.6) : test_uniform(&random, -0.3, 0.3);
        struct perpend_slope lean = random_slope(&random, 0.02);
        struct perpend_slope left =
            perpend_response_expect(&response, perpend_response_ask(&response, lean));
        assert_near(left.right, -lean.right, 1e-15);
        assert_near(left.back, -lean.back, 1e-15);
        /* whatever the response, no more than four times the lean is asked */
        for (int i = 0; i < 2; i++)
            for (int j = 0; j < 2; j++)
                response.gain[i][j] = test_pick(&random, 5) ? test_uniform(&random, -1, 1.5) : 0.0;
        struct perpend_slope ask = perpend_response_ask(&response, lean);
        if (!(perpend_slope_size(ask) <= 4.0 * perpend_slope_size(lean) * (1 + 1e-9))) {
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
            struct perpend_slope lean = random_slope(&random, 0.01);
            struct perpend_slope then = {
                lean.right + 0.8 * asked.right, lean.back + 0.7 * asked.back};
            struct perpend_slope_covariance c = random_covariance(&random);
            struct perpend_slope_covariance turned = {c.back_back, -c.right_back, c.right_right};
            struct perpend_adjustment a, b;
            learn_between(&one, asked, lean, c, then, c, &a);
            learn_between(&other, (struct perpend_slope){asked.back, -asked.right},
                (struct perpend_slope){lean.back, -lean.right}, turned,
                (struct perpend_slope){then.back, -then.right}, turned, &b);
            assert_near(a.along, b.along, 1e-12);
            assert_near(a.across, b.across, 1e-12);
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
        enum perpend_outcome outcome;
    } cases[] = {
        {0, 10, 0.1, PERPEND_OUTCOME_AS_ASKED},
        {0, 9.2, 0.1, PERPEND_OUTCOME_AS_ASKED}, /* a twelfth lost does not matter */
        {0, 6, 0.1, PERPEND_OUTCOME_PART},
        {0, 6, 3.0, PERPEND_OUTCOME_AS_ASKED}, /* nobody could tell */
        {0, 13, 0.1, PERPEND_OUTCOME_OVER},
        {0.1, 0.2, 0.1, PERPEND_OUTCOME_NOTHING},
        {0, 0.2, 1.0, PERPEND_OUTCOME_NOTHING}, /* not to be told from nothing */
        {0, 2.2, 1.0, PERPEND_OUTCOME_PART},    /* something has moved, for sure */
        {0, 0.2, 2.6, PERPEND_OUTCOME_PART},    /* more than a half may have */
        {0, -9, 0.1, PERPEND_OUTCOME_WRONG_WAY},
        {4, 9, 0.1, PERPEND_OUTCOME_SIDEWAYS},
        {-3, 6, 0.1, PERPEND_OUTCOME_PART},
        {-5, 6, 0.1, PERPEND_OUTCOME_SIDEWAYS},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct perpend_response response = perpend_response_start(), fresh = response;
        struct perpend_slope asked = {0, 0.01}, lean = {0.001, -0.01};
        struct perpend_slope then = {
            lean.right + cases[i].right * 1e-3, lean.back + cases[i].back * 1e-3};
        double variance = pow(cases[i].u * 1e-3, 2) / 2.0;
        struct perpend_slope_covariance c = {variance, 0, variance};
        struct perpend_adjustment seen;
        assert_int_equal(learn_between(&response, asked, lean, c, then, c, &seen), PERPEND_OK);
        if (seen.outcome != cases[i].outcome) {
            printf("# case %zu: outcome %d\n", i, (int)seen.outcome);
            fail();
        }
        assert_near(seen.along, cases[i].back / 10, 1e-12);
        /* + is clockwise from above: from the back to the right */
        assert_near(seen.across, cases[i].right / 10, 1e-12);
        bool slip =
            seen.outcome == PERPEND_OUTCOME_NOTHING || seen.outcome == PERPEND_OUTCOME_WRONG_WAY;
        assert_true((response.gain[1][1] == fresh.gain[1][1]) == (slip || cases[i].back == 10));
    }
}

/* The example of docs/method.md, "Learning". */
static void the_worked_example(void **state)
{
    (void)state;
    struct perpend_response response = perpend_response_start();
    struct perpend_slope asked = {0, -0.02 / 3}, lean = {0, 0.02 / 3}, then = {0, 0.008 / 3};
    double u = 0.25e-3;
    struct perpend_slope_covariance c = {u * u, 0, u * u};
    struct perpend_adjustment seen;
    assert_int_equal(learn_between(&response, asked, lean, c, then, c, &seen), PERPEND_OK);
    assert_int_equal(seen.outcome, PERPEND_OUTCOME_PART);
    assert_near(seen.along, 0.6, 1e-12);
    assert_near(response.gain[1][1], 0.6124, 5e-5);
    struct perpend_slope ask = perpend_response_ask(&response, then);
    assert_near(ask.back, -4.355e-3, 1e-6);
    assert_near(-ask.back * 80, 0.348, 5e-4);
}

static void nothing_asked_teaches_nothing(void **state)
{
    (void)state;
    struct perpend_response response = perpend_response_start();
    struct perpend_slope none = {0, 0}, lean = {0.001, 0.002}, then = {0.0011, 0.0019};
    struct perpend_slope_covariance c = {1e-8, 0, 1e-8};
    struct perpend_adjustment seen;
    assert_int_equal(learn_between(&response, none, lean, c, then, c, &seen), PERPEND_OK);
    assert_true(response.gain[0][0] == 1 && response.covariance[0][0] == 0.3 * 0.3);
    assert_int_equal(seen.outcome, PERPEND_OUTCOME_AS_ASKED);
    assert_near(seen.obtained.right, 0.0001, 1e-15);
    none.right = NAN;
    assert_int_equal(learn_between(&response, none, lean, c, then, c, NULL), PERPEND_ERR_VALUE);
    c.back_back = -1;
    none.right = 0;
    assert_int_equal(learn_between(&response, none, lean, c, then, c, NULL), PERPEND_ERR_VALUE);
    const struct perpend_slope odd[] = {{NAN, 0}, {0, INFINITY}};
    const struct perpend_slope_covariance good = {1e-8, 0, 1e-8},
                                          bad[] = {{-1, 0, 1}, {INFINITY, 0, 1}, {1, 0, INFINITY},
                                              {1, NAN, 1}};
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        assert_int_equal(
            perpend_response_learn(&response, odd[i], lean, good, NULL), PERPEND_ERR_VALUE);
        assert_int_equal(
            perpend_response_learn(&response, lean, odd[i], good, NULL), PERPEND_ERR_VALUE);
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_int_equal(
            perpend_response_learn(&response, lean, lean, bad[i], NULL), PERPEND_ERR_VALUE);
    assert_true(response.gain[0][0] == 1 && response.gain[1][1] == 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_ask_is_the_lean_itself),
        cmocka_unit_test(learning_is_the_batch_solution),
        cmocka_unit_test(the_posterior_means_what_it_says),
        cmocka_unit_test(asking_undoes_the_response),
        cmocka_unit_test(a_turned_world_turns_the_response),
        cmocka_unit_test(outcomes_are_named_when_they_are_sure),
        cmocka_unit_test(the_worked_example),
        cmocka_unit_test(nothing_asked_teaches_nothing),
    };
    return cmocka_run_group_tests_name("response", tests, NULL, NULL);
}
