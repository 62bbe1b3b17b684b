/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ridge's distribution: against random draws, against closed forms, and what changes nothing. */
#include "support/ridge_cases.h"

#include <locale.h>

#include <gsl/gsl_cdf.h>

#include <perpend/distribution.h>
#include <perpend/status.h>

#include "core/propagate/ridge_distribution.h"

#define DRAWS 40000

struct uncertain_case {
    struct perpend_uncertain_lean lean;
    struct perpend_cutter cutter;
    struct perpend_facing facing;
    struct perpend_goal goal;
};

static struct uncertain_case draw(struct test_random *random, bool corner)
{
    struct uncertain_case c = {.cutter = {test_uniform(random, 6.0, 50.0), 0.0}};
    double size = test_uniform(random, 0.0, 0.012),
           toward = test_uniform(random, 0.0, 2.0 * PERPEND_PI);
    double one = 1e-4 * pow(10.0, test_uniform(random, 0.0, 1.3)),
           two = one * test_uniform(random, 0.1, 1.0), shared = test_uniform(random, -0.99, 0.99);
    c.lean.lean = (struct perpend_slope){size * sin(toward), size * cos(toward)};
    c.lean.covariance = (struct perpend_slope_covariance){one * one, shared * one * two, two * two};
    c.lean.dof = test_pick(random, 2) ? INFINITY : (double)(5 + test_pick(random, 40));
    c.cutter.corner = corner ? 0.1 * c.cutter.diameter : 0.0;
    c.facing = (struct perpend_facing){c.cutter.diameter * test_uniform(random, 0.1, 0.9),
        test_pick(random, 4) == 0, test_uniform(random, 0.0, PERPEND_PI), NAN};
    double height;
    assert_int_equal(perpend_ridge_facing(c.lean.lean, &c.cutter, &c.facing, &height), PERPEND_OK);
    c.goal = (struct perpend_goal){NAN, NAN};
    int set = 1 + (int)test_pick(random, 3);
    if (set & 1)
        c.goal.ridge = height * test_uniform(random, 0.7, 1.4);
    if (set & 2)
        c.goal.lean = size * test_uniform(random, 0.7, 1.4);
    return c;
}

static struct perpend_distribution distribution_of(const struct uncertain_case *c)
{
    struct perpend_distribution d;
    assert_int_equal(
        perpend_ridge_distribution(&c->lean, &c->cutter, &c->facing, &c->goal, &d), PERPEND_OK);
    return d;
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* One lean drawn from its distribution: normals over the root of χ²/ν, a sum of ν squares. */
static struct perpend_slope draw_lean(
    const struct perpend_uncertain_lean *lean, struct test_random *random)
{
    const struct perpend_slope_covariance *v = &lean->covariance;
    double root = sqrt(v->right_right), shared = v->right_back / root, wider = 1.0;
    double one = test_normal(random), two = test_normal(random);
    if (isfinite(lean->dof)) {
        double sum = 0.0;
        for (int i = 0; i < (int)lean->dof; i++)
            sum += pow(test_normal(random), 2.0);
        wider = sqrt((lean->dof - 2.0) / sum);
    }
    return (struct perpend_slope){lean->lean.right + wider * root * one,
        lean->lean.back +
            wider * (shared * one + sqrt(fmax(0.0, v->back_back - shared * shared)) * two)};
}

/* Another road to the same: leans drawn here, each through the closed form. */
static void the_lattice_is_as_good_as_draws(void **state)
{
    (void)state;
    struct test_random random = test_random_start("distribution", 20260701);
    double *values = malloc(DRAWS * sizeof *values);
    const size_t span = (size_t)(0.95 * DRAWS + 0.5);
    for (int round = 0; round < 12; round++) {
        struct uncertain_case c = draw(&random, round % 4 == 3);
        struct perpend_distribution d = distribution_of(&c);
        double sum = 0.0, squares = 0.0, under = 0.0, least = INFINITY;
        for (size_t i = 0; i < DRAWS; i++) {
            values[i] = INFINITY;
            struct perpend_slope lean = draw_lean(&c.lean, &random);
            perpend_ridge_facing(lean, &c.cutter, &c.facing, &values[i]);
            sum += values[i];
            squares += values[i] * values[i];
            under += (isnan(c.goal.ridge) || values[i] <= c.goal.ridge) &&
                     (isnan(c.goal.lean) || hypot(lean.right, lean.back) <= c.goal.lean);
        }
        qsort(values, DRAWS, sizeof *values, compare);
        for (size_t i = 0; i + span < DRAWS; i++)
            least = fmin(least, values[i + span] - values[i]);
        double mean = sum / DRAWS, u = sqrt(squares / DRAWS - mean * mean);
        double held = 0.0;
        for (size_t i = 0; i < DRAWS; i++)
            held += values[i] >= d.low && values[i] <= d.high;
        /* five standard deviations of what so many draws can say */
        assert_near(d.mean, mean, 5.0 * u / sqrt(DRAWS));
        assert_near(d.deviation, u, (isinf(c.lean.dof) ? 0.03 : 0.25) * u); /* heavy tails */
        assert_near(d.high - d.low, least, 0.04 * least);
        assert_near(held / DRAWS, 0.95, 5.0 * 0.22 / sqrt(DRAWS));
        assert_near(d.chance, under / DRAWS, 5.0 * 0.5 / sqrt(DRAWS));
    }
    free(values);
}

/* A lean that is unsure square to the feed alone, and far from none, leaves a ridge that follows it
   like s tan(lean): its chance is that of the normal distribution, or of Student's t. */
static void across_the_feed_the_chance_is_students(void **state)
{
    (void)state;
    const double dofs[] = {4.0, 9.0, 54.0, INFINITY};
    for (size_t i = 0; i < sizeof dofs / sizeof *dofs; i++) {
        for (double off = -2.5; off <= 2.5; off += 0.5) {
            const double lean = 0.02, u = 1e-5, stepover = 10.0, height = stepover * lean;
            struct uncertain_case c = {{{0.0, lean}, {0.0, 0.0, u * u}, dofs[i]}, {22.0, 0.0},
                {stepover, false, PERPEND_ALONG_X, NAN}, {height + off * u * stepover, NAN}};
            struct perpend_distribution d = distribution_of(&c);
            bool normal = isinf(dofs[i]);
            double wide = normal ? 1.0 : sqrt(dofs[i] / (dofs[i] - 2.0)); /* u over the scale */
            double chance =
                normal ? gsl_cdf_ugaussian_P(off) : gsl_cdf_tdist_P(off * wide, dofs[i]);
            double quantile =
                normal ? gsl_cdf_ugaussian_Pinv(0.975) : gsl_cdf_tdist_Pinv(0.975, dofs[i]) / wide;
            assert_near(d.chance, chance, 1e-3);
            assert_near((d.high - d.low) / (2.0 * u * stepover), quantile, 0.01 * quantile);
            assert_near(d.mean, height, 0.01 * u * stepover);
        }
    }
}

static void what_changes_nothing(void **state)
{
    (void)state;
    struct test_random random = test_random_start("changes nothing", 20260702);
    for (int round = 0; round < 40; round++) {
        struct uncertain_case c = draw(&random, false), turned = c;
        struct perpend_distribution one = distribution_of(&c), again;
        setlocale(LC_ALL, "de_DE.UTF-8");
        again = distribution_of(&c);
        setlocale(LC_ALL, "C");
        assert_memory_equal(&one, &again, sizeof one);
        /* the whole world turned by any angle */
        double by = test_uniform(&random, 0.0, 2.0 * PERPEND_PI), cosine = cos(by), sine = sin(by);
        const struct perpend_slope_covariance *v = &c.lean.covariance;
        c.facing.both_ways = turned.facing.both_ways = false;
        turned.facing.along += by;
        turned.lean.lean =
            (struct perpend_slope){c.lean.lean.right * cosine + c.lean.lean.back * sine,
                c.lean.lean.back * cosine - c.lean.lean.right * sine};
        turned.lean.covariance = (struct perpend_slope_covariance){
            v->right_right * cosine * cosine + 2.0 * v->right_back * sine * cosine +
                v->back_back * sine * sine,
            (v->back_back - v->right_right) * sine * cosine +
                v->right_back * (cosine * cosine - sine * sine),
            v->right_right * sine * sine - 2.0 * v->right_back * sine * cosine +
                v->back_back * cosine * cosine};
        one = distribution_of(&c);
        struct perpend_distribution other = distribution_of(&turned);
        assert_near(other.mean, one.mean, 1e-9);
        assert_near(other.high - other.low, one.high - one.low, 1e-6);
        assert_near(other.chance, one.chance, 2e-4);
        struct perpend_distribution roughly;
        assert_int_equal(ridge_distribution_by(
                             LATTICE_OF_1597, &c.lean, &c.cutter, &c.facing, &c.goal, &roughly),
            PERPEND_OK);
        assert_near(roughly.chance, one.chance, 0.006);
        assert_near(roughly.low, one.low, 0.3 * one.deviation);
        assert_near(roughly.high, one.high, 0.3 * one.deviation);
    }
}

static void a_certain_lean_gives_one_ridge(void **state)
{
    (void)state;
    struct uncertain_case c = {{{0.0, 1.0 / 150.0}, {0.0, 0.0, 0.0}, INFINITY}, {22.0, 0.0},
        {10.0, false, PERPEND_ALONG_X, NAN}, {0.02, NAN}};
    double height;
    perpend_ridge_facing(c.lean.lean, &c.cutter, &c.facing, &height);
    struct perpend_distribution d = distribution_of(&c);
    assert_near(d.mean, height, 1e-15);
    assert_near(d.low, height, 1e-15);
    assert_near(d.high, height, 1e-15);
    assert_near(d.deviation, 0.0, 1e-15);
    assert_near(d.chance, 0.0, 0.0);
    c.goal = (struct perpend_goal){0.07, NAN};
    assert_near(distribution_of(&c).chance, 1.0, 0.0);
    c.goal.ridge = NAN;
    assert_true(isnan(distribution_of(&c).chance));
}

static void wrong_input_is_refused(void **state)
{
    (void)state;
    const struct perpend_cutter cutter = {22.0, 0.0};
    const struct perpend_facing facing = {10.0, false, PERPEND_ALONG_X, NAN};
    const struct perpend_facing wide = {23.0, false, PERPEND_ALONG_X, NAN};
    const struct perpend_uncertain_lean good = {{0.001, 0.002}, {1e-6, 0.0, 1e-6}, 4.0};
    const struct perpend_slope_covariance bad[] = {{-1e-6, 0.0, 1e-6}, {1e-6, 0.0, -1e-6},
        {1e-6, 2e-6, 1e-6}, {NAN, 0.0, 1e-6}, {1e-6, INFINITY, 1e-6}};
    const struct perpend_goal goal = {0.02, NAN};
    const double dofs[] = {0.0, 2.0, NAN};
    struct perpend_distribution d = {.mean = 77.0};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct perpend_uncertain_lean lean = {good.lean, bad[i], INFINITY};
        assert_int_equal(
            perpend_ridge_distribution(&lean, &cutter, &facing, &goal, &d), PERPEND_ERR_VALUE);
    }
    for (size_t i = 0; i < sizeof dofs / sizeof *dofs; i++) {
        struct perpend_uncertain_lean lean = {good.lean, good.covariance, dofs[i]};
        assert_int_equal(
            perpend_ridge_distribution(&lean, &cutter, &facing, &goal, &d), PERPEND_ERR_VALUE);
    }
    assert_int_equal(
        perpend_ridge_distribution(&good, &cutter, &wide, &goal, &d), PERPEND_ERR_STEPOVER);
    assert_near(d.mean, 77.0, 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_lattice_is_as_good_as_draws),
        cmocka_unit_test(across_the_feed_the_chance_is_students),
        cmocka_unit_test(what_changes_nothing),
        cmocka_unit_test(a_certain_lean_gives_one_ridge),
        cmocka_unit_test(wrong_input_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
