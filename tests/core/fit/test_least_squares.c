/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laws of weighted least squares over random problems. */
#include <float.h>

#include "core/fit/least_squares.h"
#include <perpend/status.h>

#include "support/support.h"

#define STRIDE LEAST_SQUARES_MOST
#define MOST_ROWS 40

struct problem {
    size_t rows, columns;
    double design[MOST_ROWS * STRIDE], observed[MOST_ROWS], weight[MOST_ROWS];
    double truth[STRIDE];
    struct least_squares fit;
    double residual[MOST_ROWS], leverage[MOST_ROWS];
    int status;
};

/* Columns of very different size, weights over some decades, noise or none. */
static void draw(struct problem *problem, struct test_random *random, double decades, double noise)
{
    problem->columns = 1 + test_pick(random, STRIDE);
    problem->rows = problem->columns + test_pick(random, MOST_ROWS - STRIDE + 1);
    for (size_t j = 0; j < problem->columns; j++)
        problem->truth[j] = test_uniform(random, -1.0, 1.0);
    for (size_t i = 0; i < problem->rows; i++) {
        problem->weight[i] = pow(10.0, decades * test_uniform(random, -0.5, 0.5));
        problem->observed[i] = noise * test_normal(random);
        for (size_t j = 0; j < problem->columns; j++) {
            double entry = test_normal(random) * pow(10.0, (double)j - 3.0);
            problem->design[i * problem->columns + j] = entry;
            problem->observed[i] += entry * problem->truth[j];
        }
    }
}

static void solve(struct problem *problem)
{
    problem->status =
        least_squares_solve(&(struct linear_problem){problem->design, problem->observed,
                                problem->weight, problem->rows, problem->columns},
            &problem->fit, problem->residual, problem->leverage);
}

/* How many times rounding can be magnified: largest √(covariance × information) of a parameter. */
static double condition(const struct problem *problem)
{
    double worst = 1.0;
    for (size_t j = 0; j < problem->columns; j++) {
        double information = 0.0;
        for (size_t i = 0; i < problem->rows; i++) {
            double entry = problem->design[i * problem->columns + j];
            information += problem->weight[i] * entry * entry;
        }
        worst = fmax(worst, sqrt(information * problem->fit.covariance[j * (STRIDE + 1)]));
    }
    return worst;
}

static void exact_data_return_the_truth(void **state)
{
    (void)state;
    struct test_random random = test_random_start("exact data return the truth", 31);
    struct problem problem;
    for (int trial = 0; trial < 5000; trial++) {
        draw(&problem, &random, 6.0, 0.0);
        solve(&problem);
        assert_int_equal(problem.status, PERPEND_OK);
        assert_int_equal(problem.fit.rank, problem.columns);
        double largest = 0.0; /* of the terms that were summed, per unit of the column */
        for (size_t j = 0; j < problem.columns; j++)
            largest = fmax(largest, fabs(problem.truth[j]) * pow(10.0, (double)j));
        for (size_t j = 0; j < problem.columns; j++) {
            double slack = 1e-13 * condition(&problem) * largest / pow(10.0, (double)j);
            if (!(fabs(problem.fit.value[j] - problem.truth[j]) <= slack)) {
                printf("# case %d, %zu × %zu\n", trial, problem.rows, problem.columns);
                assert_near(problem.fit.value[j], problem.truth[j], slack);
            }
        }
    }
}

/* At the least, the weighted residual stands square to every column. */
static void residual_is_square_to_the_columns(void **state)
{
    (void)state;
    struct test_random random = test_random_start("residual square to the columns", 32);
    struct problem problem;
    for (int trial = 0; trial < 5000; trial++) {
        draw(&problem, &random, 6.0, 1.0);
        solve(&problem);
        assert_int_equal(problem.status, PERPEND_OK);
        double chi2 = 0.0, all = 0.0, leverage = 0.0;
        for (size_t i = 0; i < problem.rows; i++) {
            chi2 += problem.weight[i] * problem.residual[i] * problem.residual[i];
            all += problem.weight[i] * problem.observed[i] * problem.observed[i];
            leverage += problem.leverage[i];
            assert_true(problem.leverage[i] >= 0.0 && problem.leverage[i] <= 1.0);
        }
        assert_near(problem.fit.chi2, chi2, 1e-12 * all);
        assert_near(leverage, (double)problem.columns, 1e-9);
        for (size_t j = 0; j < problem.columns; j++) {
            double product = 0.0, length = 0.0;
            for (size_t i = 0; i < problem.rows; i++) {
                double entry = problem.design[i * problem.columns + j];
                product += problem.weight[i] * entry * problem.residual[i];
                length += problem.weight[i] * entry * entry;
            }
            assert_near(product, 0.0, 1e-10 * sqrt(length * all));
        }
    }
}

/* (AᵀWA) times the covariance is the identity. */
static void covariance_inverts_the_information(void **state)
{
    (void)state;
    struct test_random random = test_random_start("covariance inverts the information", 33);
    struct problem problem;
    for (int trial = 0; trial < 2000; trial++) {
        draw(&problem, &random, 6.0, 1.0);
        solve(&problem);
        size_t p = problem.columns;
        double magnified = condition(&problem);
        for (size_t j = 0; j < p; j++) {
            for (size_t l = 0; l < p; l++) {
                double sum = 0.0;
                for (size_t k = 0; k < p; k++) {
                    double information = 0.0;
                    for (size_t i = 0; i < problem.rows; i++)
                        information += problem.weight[i] * problem.design[i * p + j] *
                                       problem.design[i * p + k];
                    sum += information * problem.fit.covariance[k * STRIDE + l];
                }
                /* entries carry the columns' units, powers of ten */
                double unit = pow(10.0, (double)j - (double)l);
                assert_near(sum, j == l ? 1.0 : 0.0, 1e-11 * magnified * magnified * unit);
            }
        }
    }
}

/* An observation of weight 3 counts as three of weight 1. */
static void weight_counts_observations(void **state)
{
    (void)state;
    struct test_random random = test_random_start("weight counts observations", 34);
    for (int trial = 0; trial < 1000; trial++) {
        double once[10 * 2], y[10], weight[10], often[30 * 2], often_y[30];
        size_t rows = 0;
        struct least_squares weighted, repeated;
        for (size_t i = 0; i < 10; i++) {
            once[2 * i] = 1.0;
            once[2 * i + 1] = test_uniform(&random, -1.0, 1.0);
            y[i] = test_normal(&random);
            weight[i] = (double)(1 + test_pick(&random, 3));
            for (double k = 0.0; k < weight[i]; k += 1.0, rows++) {
                often[2 * rows] = 1.0;
                often[2 * rows + 1] = once[2 * i + 1];
                often_y[rows] = y[i];
            }
        }
        least_squares_solve(
            &(struct linear_problem){once, y, weight, 10, 2}, &weighted, NULL, NULL);
        least_squares_solve(
            &(struct linear_problem){often, often_y, NULL, rows, 2}, &repeated, NULL, NULL);
        for (size_t j = 0; j < 2; j++)
            assert_near(weighted.value[j], repeated.value[j], 1e-12);
        assert_near(weighted.chi2, repeated.chi2, 1e-12);
        assert_near(weighted.covariance[1], repeated.covariance[1], 1e-12);
    }
}

/* A column that the others make up, or one of zeros, whatever the units: the rank says so. */
static void dependent_columns_are_refused(void **state)
{
    (void)state;
    struct test_random random = test_random_start("dependent columns are refused", 35);
    struct problem problem;
    int refused = 0;
    for (int trial = 0; trial < 20000; trial++) {
        draw(&problem, &random, 2.0, 1.0);
        size_t p = problem.columns, spoilt = test_pick(&random, p);
        if (p == 1 || trial % 5 == 0) {
            for (size_t i = 0; i < problem.rows; i++)
                problem.design[i * p + spoilt] = 0.0;
        } else {
            for (size_t i = 0; i < problem.rows; i++) {
                double sum = 0.0;
                for (size_t j = 0; j < p; j++)
                    sum += j != spoilt ? problem.truth[j] * problem.design[i * p + j] : 0.0;
                problem.design[i * p + spoilt] = sum;
            }
        }
        solve(&problem);
        if (problem.status != PERPEND_ERR_UNDETERMINED || problem.fit.rank >= p) {
            printf("# case %d, %zu × %zu: status %d, rank %zu\n", trial, problem.rows, p,
                problem.status, problem.fit.rank);
            fail();
        }
        refused++;
    }
    assert_int_equal(refused, 20000);
}

/* Studentised: the residual of each observation predicted from all the others, over its own
   standard deviation as those others give it. */
static void studentised_by_leaving_out(void **state)
{
    (void)state;
    struct test_random random = test_random_start("studentised by leaving out", 36);
    struct problem all, rest;
    int checked = 0;
    for (int trial = 0; trial < 500; trial++) {
        double studentised[MOST_ROWS];
        draw(&all, &random, 2.0, 1.0);
        solve(&all);
        size_t n = all.rows, p = all.columns;
        double prior = trial % 2 == 0 ? 0.0 : test_uniform(&random, 0.5, 60.0);
        const struct student student = {all.residual, all.leverage, all.weight, n, p, prior};
        int status = studentised_residuals(&student, studentised);
        assert_int_equal(status, n > p + 1 ? PERPEND_OK : PERPEND_ERR_VALUE);
        if (status != PERPEND_OK)
            continue;
        for (size_t out = 0; out < n; out++) {
            rest.rows = n - 1;
            rest.columns = p;
            for (size_t i = 0, to = 0; i < n; i++) {
                if (i == out)
                    continue;
                rest.observed[to] = all.observed[i];
                rest.weight[to] = all.weight[i];
                for (size_t j = 0; j < p; j++)
                    rest.design[to * p + j] = all.design[i * p + j];
                to++;
            }
            solve(&rest);
            double predicted = 0.0, variance = 1.0 / all.weight[out];
            const double *row = all.design + out * p;
            for (size_t j = 0; j < p; j++) {
                predicted += row[j] * rest.fit.value[j];
                for (size_t k = 0; k < p; k++)
                    variance += row[j] * rest.fit.covariance[j * STRIDE + k] * row[k];
            }
            double scale = sqrt((prior + rest.fit.chi2) / (prior + (double)(n - 1 - p)));
            double want = (all.observed[out] - predicted) / (scale * sqrt(variance));
            if (1.0 - all.leverage[out] < 1e-3)
                continue; /* nothing but rounding is left to compare */
            assert_near(studentised[out], want, 1e-7 * (1.0 + want * want));
            checked++;
        }
    }
    assert_true(checked > 5000);
}

static void bad_values_are_refused(void **state)
{
    (void)state;
    double design[4] = {1.0, 0.0, 1.0, 1.0}, y[2] = {1.0, 2.0}, weight[2] = {1.0, 1.0};
    static const double bad_weights[] = {0.0, -1.0, INFINITY, NAN};
    struct least_squares fit;
    assert_int_equal(
        least_squares_solve(&(struct linear_problem){design, y, weight, 2, 2}, &fit, NULL, NULL),
        PERPEND_OK);
    assert_near(fit.value[1], 1.0, 1e-15);
    assert_int_equal(
        least_squares_solve(&(struct linear_problem){design, y, weight, 1, 2}, &fit, NULL, NULL),
        PERPEND_ERR_VALUE);
    assert_int_equal(
        least_squares_solve(&(struct linear_problem){design, y, weight, 2, 0}, &fit, NULL, NULL),
        PERPEND_ERR_VALUE);
    assert_int_equal(
        least_squares_solve(&(struct linear_problem){design, y, weight, 9, 9}, &fit, NULL, NULL),
        PERPEND_ERR_VALUE);
    for (size_t i = 0; i < 4; i++) {
        weight[1] = bad_weights[i];
        assert_int_equal(least_squares_solve(
                             &(struct linear_problem){design, y, weight, 2, 2}, &fit, NULL, NULL),
            PERPEND_ERR_VALUE);
    }
    y[0] = NAN;
    assert_int_equal(
        least_squares_solve(&(struct linear_problem){design, y, NULL, 2, 2}, &fit, NULL, NULL),
        PERPEND_ERR_VALUE);
    y[0] = 1.0;
    design[2] = INFINITY;
    assert_int_equal(
        least_squares_solve(&(struct linear_problem){design, y, NULL, 2, 2}, &fit, NULL, NULL),
        PERPEND_ERR_VALUE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exact_data_return_the_truth),
        cmocka_unit_test(residual_is_square_to_the_columns),
        cmocka_unit_test(covariance_inverts_the_information),
        cmocka_unit_test(weight_counts_observations),
        cmocka_unit_test(dependent_columns_are_refused),
        cmocka_unit_test(studentised_by_leaving_out),
        cmocka_unit_test(bad_values_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
