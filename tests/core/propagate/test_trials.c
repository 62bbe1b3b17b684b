/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The Monte Carlo run: its exactness, its independence of threads, its roads to one answer. */
#include "support/support.h"

#include <locale.h>

#include <perpend/status.h>
#include <perpend/trials.h>

#include "core/propagate/trials_run.h"

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* A model that keeps what it returns; one thread only. */
struct recorder {
    int kind;
    double *values;
    size_t count;
    size_t room;
    struct test_random random;
};

static double recorded(struct perpend_stream *stream, const void *context)
{
    struct recorder *recorder = *(struct recorder *const *)context;
    double u = perpend_stream_uniform(stream), value;
    switch (recorder->kind) {
    case 0:
        value = perpend_stream_normal(stream);
        break;
    case 1:
        value = -log(u);
        break;
    case 2:
        value = u;
        break;
    case 3:
        value = 2.5;
        break;
    case 4:
        value = floor(10.0 * u);
        break;
    case 5:
        value = u < 0.5 ? perpend_stream_normal(stream) : 20.0 + perpend_stream_normal(stream);
        break;
    case 6:
        value = tan(3.14159 * (u - 0.5));
        break;
    case 7:
        value = u < 0.97 ? 0.0 : u;
        break;
    case 8:
        value = fabs(perpend_stream_normal(stream));
        break;
    default:
        value = 1e9 + u;
        break;
    }
    recorder->values[recorder->count++ % recorder->room] = value;
    return value;
}

/* The definition, on all values in order (JCGM 101:2008, 7.7.4). */
static void define_interval(double *values, size_t count, double *low, double *high)
{
    qsort(values, count, sizeof *values, compare);
    size_t q = (size_t)(0.95 * (double)count + 0.5);
    *low = values[0];
    *high = values[q];
    for (size_t r = 0; r + q < count; r++) {
        if (values[r + q] - values[r] < *high - *low) {
            *low = values[r];
            *high = values[r + q];
        }
    }
}

static void results_are_those_of_all_values(void **state)
{
    (void)state;
    static const size_t counts[] = {20, 21, 137, 2000, 10000, 10001, 25000, 100000, 123456};
    double *values = malloc(123456 * sizeof *values);
    for (int kind = 0; kind < 10; kind++) {
        for (size_t c = 0; c < sizeof counts / sizeof *counts; c++) {
            size_t count = counts[c];
            struct recorder recorder = {.kind = kind, .values = values, .room = count},
                            *at = &recorder;
            struct perpend_trials_options options = perpend_trials_defaults();
            struct perpend_distribution d;
            double low, high, sum = 0.0, squares = 0.0, under = 0.0, limit = 0.4;
            options.threads = 1;
            options.exactly = count;
            options.seed = 1 + c;
            assert_int_equal(perpend_trials_model(recorded, &at, limit, &options, &d), PERPEND_OK);
            /* the trials of the run are the last ones drawn; before them come a few to look with */
            assert_true(recorder.count >= count);
            for (size_t i = 0; i < count; i++) {
                sum += values[i];
                under += values[i] <= limit;
            }
            for (size_t i = 0; i < count; i++)
                squares += pow(values[i] - sum / (double)count, 2.0);
            define_interval(values, count, &low, &high);
            if (d.low != low || d.high != high)
                printf("# kind %d, %zu trials: %.17g to %.17g, should be %.17g to %.17g\n", kind,
                    count, d.low, d.high, low, high);
            assert_true(d.low == low && d.high == high);
            assert_int_equal(d.trials, count);
            assert_near(d.mean, sum / (double)count, 1e-9 * (1.0 + fabs(d.mean)));
            assert_relative(d.deviation, sqrt(squares / (double)(count - 1)), 1e-6);
            assert_near(d.chance, under / (double)count, 1e-15);
        }
    }
    free(values);
}

static double plain_normal(struct perpend_stream *stream, const void *context)
{
    (void)context;
    return 3.0 + perpend_stream_normal(stream);
}

static void assert_same(const struct perpend_distribution *a, const struct perpend_distribution *b)
{
    assert_int_equal(a->trials, b->trials);
    assert_true(a->mean == b->mean && a->deviation == b->deviation);
    assert_true(a->low == b->low && a->high == b->high && a->chance == b->chance);
}

static void threads_and_locale_change_nothing(void **state)
{
    (void)state;
    static const size_t counts[] = {0, 5000, 10000, 54321, 300000};
    const struct perpend_slope lean = {0.001, 0.006};
    const struct perpend_slope_covariance covariance = {4e-6, 1e-6, 5e-6};
    const struct perpend_facing facing = {10.0, true, PERPEND_ALONG_X, NAN};
    for (size_t c = 0; c < sizeof counts / sizeof *counts; c++) {
        for (int corner = 0; corner < 2; corner++) {
            const struct perpend_cutter cutter = {22.0, 0.5 * corner};
            struct perpend_trials_options options = perpend_trials_defaults();
            struct perpend_distribution one, other;
            options.exactly = counts[c];
            if (corner)
                options.digits = 1;
            if (corner && counts[c] > 100000)
                continue;
            options.threads = 1;
            assert_int_equal(
                perpend_trials_ridge(lean, covariance, &cutter, &facing, 0.04, &options, &one),
                PERPEND_OK);
            for (unsigned threads = 0; threads<8; threads += threads> 2 ? 2 : 1) {
                setlocale(LC_ALL, threads % 2 ? "de_DE.UTF-8" : "C");
                options.threads = threads;
                assert_int_equal(perpend_trials_ridge(
                                     lean, covariance, &cutter, &facing, 0.04, &options, &other),
                    PERPEND_OK);
                assert_same(&one, &other);
            }
            options.seed = 2;
            perpend_trials_ridge(lean, covariance, &cutter, &facing, 0.04, &options, &other);
            assert_true(one.mean != other.mean);
        }
    }
    setlocale(LC_ALL, "C");
}

/* Adaptive runs end when the digits asked for stand; repeats with other seeds then agree to them.
 */
static void adaptive_runs_are_stable(void **state)
{
    (void)state;
    struct perpend_trials_options options = perpend_trials_defaults();
    struct perpend_distribution d;
    size_t trials[2] = {0};
    for (int digits = 1; digits <= 2; digits++) {
        double delta = digits == 1 ? 0.5 : 0.05, worst = 0.0; /* u is 1.0 */
        options.digits = digits;
        for (uint64_t seed = 1; seed <= 20; seed++) {
            options.seed = seed;
            assert_int_equal(
                perpend_trials_model(plain_normal, NULL, NAN, &options, &d), PERPEND_OK);
            assert_true(d.trials >= 20000 && d.trials <= options.most);
            assert_int_equal(d.trials % TRIALS_BLOCK, 0);
            trials[digits - 1] += d.trials;
            worst = fmax(worst, fmax(fabs(d.mean - 3.0), fabs(d.deviation - 1.0)));
        }
        printf("# %d digits: %zu trials on average, mean and u off by %.4f at most\n", digits,
            trials[digits - 1] / 20, worst);
        assert_true(worst < delta);
    }
    assert_true(trials[1] > trials[0]);
    options.most = 10000;
    assert_int_equal(perpend_trials_model(plain_normal, NULL, NAN, &options, &d), PERPEND_OK);
    assert_int_equal(d.trials, 10000);
}

/* Another road to the same distribution: leans drawn here, each through the closed form. */
static void ridge_trials_are_plain_trials(void **state)
{
    (void)state;
    struct test_random random = test_random_start("plain trials", 20250204);
    enum { COUNT = 40000 };
    double *values = malloc(COUNT * sizeof *values);
    for (int round = 0; round < 12; round++) {
        const struct perpend_cutter cutter = {22.0, round % 3 == 2 ? 1.5 : 0.0};
        const struct perpend_facing facing = {
            test_uniform(&random, 3.0, 15.0), round % 4 == 3, test_uniform(&random, 0.0, 3.1), NAN};
        struct perpend_slope lean = {
            test_uniform(&random, -0.01, 0.01), test_uniform(&random, -0.01, 0.01)};
        double a = 0.003 * test_uniform(&random, 0.1, 1.0),
               b = 0.003 * test_uniform(&random, -1.0, 1.0);
        double c = 0.003 * test_uniform(&random, 0.0, 1.0);
        if (round == 5)
            lean = (struct perpend_slope){0.08, -0.05}; /* beyond the fast path */
        struct perpend_slope_covariance covariance = {a * a, a * b, b * b + c * c};
        double goal = 0.03, sum = 0.0, squares = 0.0, under = 0.0, low, high;
        for (int i = 0; i < COUNT; i++) {
            double x = test_normal(&random), y = test_normal(&random);
            struct perpend_slope t = {lean.right + a * x, lean.back + b * x + c * y};
            assert_int_equal(perpend_ridge_facing(t, &cutter, &facing, &values[i]), PERPEND_OK);
            sum += values[i];
            squares += values[i] * values[i];
            under += values[i] <= goal;
        }
        define_interval(values, COUNT, &low, &high);
        double mean = sum / COUNT, u = sqrt(squares / COUNT - mean * mean);
        struct perpend_trials_options options = perpend_trials_defaults();
        struct perpend_distribution d;
        options.exactly = round % 3 == 2 ? 100000 : 400000;
        assert_int_equal(
            perpend_trials_ridge(lean, covariance, &cutter, &facing, goal, &options, &d),
            PERPEND_OK);
        if (fabs(d.mean - mean) > 5.0 * u / 180.0)
            printf("# round %d: mean %.6g against %.6g\n", round, d.mean, mean);
        assert_near(d.mean, mean, 5.0 * u / 180.0);
        assert_near(d.deviation, u, 0.04 * u);
        assert_near(d.high - d.low, high - low, 0.04 * (high - low));
        assert_near(d.low, low, 0.25 * u);
        assert_near(d.chance, under / COUNT, 5.0 * 0.5 / 180.0);
    }
    free(values);
}

static void certain_lean_gives_one_ridge(void **state)
{
    (void)state;
    const struct perpend_slope lean = {0.0, 1.0 / 150.0};
    const struct perpend_slope_covariance none = {0.0, 0.0, 0.0};
    const struct perpend_cutter cutter = {22.0, 0.0};
    const struct perpend_facing facing = {10.0, false, PERPEND_ALONG_X, NAN};
    struct perpend_distribution d;
    double height;
    perpend_ridge_facing(lean, &cutter, &facing, &height);
    assert_int_equal(
        perpend_trials_ridge(lean, none, &cutter, &facing, 0.02, NULL, &d), PERPEND_OK);
    assert_near(d.mean, height, 1e-15);
    assert_near(d.low, height, 1e-15);
    assert_near(d.high, height, 1e-15);
    assert_near(d.deviation, 0.0, 1e-15);
    assert_near(d.chance, 0.0, 0.0);
    assert_int_equal(d.trials, 20000);
    assert_int_equal(
        perpend_trials_ridge(lean, none, &cutter, &facing, 0.07, NULL, &d), PERPEND_OK);
    assert_near(d.chance, 1.0, 0.0);
    assert_int_equal(perpend_trials_ridge(lean, none, &cutter, &facing, NAN, NULL, &d), PERPEND_OK);
    assert_true(isnan(d.chance));
}

static double not_a_number(struct perpend_stream *stream, const void *context)
{
    double u = perpend_stream_uniform(stream);
    return u < 0.0001 ? *(const double *)context : u;
}

static void wrong_input_is_refused(void **state)
{
    (void)state;
    const struct perpend_slope lean = {0.001, 0.002};
    const struct perpend_slope_covariance good = {1e-6, 0.0, 1e-6};
    const struct perpend_cutter cutter = {22.0, 0.0};
    const struct perpend_facing facing = {10.0, false, PERPEND_ALONG_X, NAN};
    const struct perpend_facing wide = {23.0, false, PERPEND_ALONG_X, NAN};
    const struct perpend_slope_covariance bad[] = {{-1e-6, 0.0, 1e-6}, {1e-6, 0.0, -1e-6},
        {1e-6, 2e-6, 1e-6}, {NAN, 0.0, 1e-6}, {1e-6, INFINITY, 1e-6}};
    struct perpend_distribution d = {.trials = 77};
    struct perpend_trials_options options = perpend_trials_defaults();
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_int_equal(perpend_trials_ridge(lean, bad[i], &cutter, &facing, 0.02, NULL, &d),
            PERPEND_ERR_VALUE);
    assert_int_equal(
        perpend_trials_ridge(lean, good, &cutter, &wide, 0.02, NULL, &d), PERPEND_ERR_STEPOVER);
    options.digits = 3;
    assert_int_equal(
        perpend_trials_ridge(lean, good, &cutter, &facing, 0.02, &options, &d), PERPEND_ERR_VALUE);
    options.digits = 2;
    options.most = 9999;
    assert_int_equal(
        perpend_trials_ridge(lean, good, &cutter, &facing, 0.02, &options, &d), PERPEND_ERR_VALUE);
    options.exactly = 19;
    assert_int_equal(
        perpend_trials_ridge(lean, good, &cutter, &facing, 0.02, &options, &d), PERPEND_ERR_VALUE);
    options.exactly = SIZE_MAX / 2;
    assert_int_equal(
        perpend_trials_ridge(lean, good, &cutter, &facing, 0.02, &options, &d), PERPEND_ERR_VALUE);
    options.exactly = 50000;
    const double wrong[] = {NAN, INFINITY, -INFINITY};
    for (int i = 0; i < 3; i++)
        assert_int_equal(
            perpend_trials_model(not_a_number, &wrong[i], NAN, &options, &d), PERPEND_ERR_VALUE);
    assert_int_equal(d.trials, 77);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(results_are_those_of_all_values),
        cmocka_unit_test(threads_and_locale_change_nothing),
        cmocka_unit_test(adaptive_runs_are_stable),
        cmocka_unit_test(ridge_trials_are_plain_trials),
        cmocka_unit_test(certain_lean_gives_one_ridge),
        cmocka_unit_test(wrong_input_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
