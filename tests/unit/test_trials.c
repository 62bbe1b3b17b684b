/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The Monte Carlo run: its numbers, its exactness, its independence of threads. */
#include "support.h"

#include <locale.h>
#include <string.h>

#include <perpend/status.h>
#include <perpend/trials.h>

#include "threads.h"
#include "trials_kernel.h"
#include "trials_order.h"
#include "trials_run.h"
#include "trials_stream.h"

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* ---- random numbers ---- */

static void layers_stack_to_the_top(void **state)
{
    (void)state;
    static struct ziggurat z;
    ziggurat_make(&z);
    double base = ZIGGURAT_TAIL, top = exp(-base * base / 2.0);
    double area = base * top + sqrt(acos(-1.0) / 2.0) * erfc(base / sqrt(2.0));
    assert_relative(z.layer[0].scale * 0x1p51 * top, area, 1e-12);
    for (int i = 1; i < ZIGGURAT_LAYERS; i++) {
        double width = z.layer[i].scale * 0x1p51;
        assert_relative(
            width * (z.height[i + 1] - z.height[i]), area, i < ZIGGURAT_LAYERS - 1 ? 1e-9 : 1e-6);
        assert_relative(exp(-width * width / 2.0), z.height[i], 1e-9);
        assert_true(z.layer[i].inner < width);
    }
    assert_near(z.height[ZIGGURAT_LAYERS], 1.0, 0.0);
}

/* Kolmogorov and Smirnov's largest distance, and moments, against the normal distribution. */
static void normals_are_normal(void **state)
{
    (void)state;
    enum { COUNT = 1000000 };
    static struct ziggurat z;
    struct perpend_stream stream;
    double *x = malloc(COUNT * sizeof *x), sum[5] = {0.0}, serial = 0.0;
    size_t tail = 0;
    ziggurat_make(&z);
    stream_seed(&stream, &z, 12345, 0);
    kernel_normals(&stream, x, COUNT);
    for (size_t i = 0; i < COUNT; i++) {
        for (int k = 1; k <= 4; k++)
            sum[k] += pow(x[i], k) / COUNT;
        serial += i ? x[i] * x[i - 1] / COUNT : 0.0;
        tail += fabs(x[i]) > 3.0;
    }
    qsort(x, COUNT, sizeof *x, compare);
    double distance = 0.0;
    for (size_t i = 0; i < COUNT; i++) {
        double p = 0.5 * erfc(-x[i] / sqrt(2.0));
        distance = fmax(distance, fmax(p - (double)i / COUNT, (double)(i + 1) / COUNT - p));
    }
    printf("# moments %.5f %.5f %.5f %.5f, serial %.5f, beyond 3: %zu, distance %.5f\n", sum[1],
        sum[2], sum[3], sum[4], serial, tail, distance);
    /* each within four of its own standard deviations */
    assert_near(sum[1], 0.0, 4.0 * 0.001);
    assert_near(sum[2], 1.0, 4.0 * 0.001 * sqrt(2.0));
    assert_near(sum[3], 0.0, 4.0 * 0.001 * sqrt(15.0));
    assert_near(sum[4], 3.0, 4.0 * 0.001 * sqrt(96.0));
    assert_near(serial, 0.0, 4.0 * 0.001);
    double beyond = COUNT * erfc(3.0 / sqrt(2.0));
    assert_near((double)tail, beyond, 4.0 * sqrt(beyond));
    assert_true(distance < 1.95 / sqrt(COUNT)); /* one in a thousand is farther */
    free(x);
}

/* Past the last layer the tail's own method takes over. */
static void tail_is_normal(void **state)
{
    (void)state;
    static struct ziggurat z;
    struct perpend_stream stream;
    static double x[1000];
    size_t beyond[2] = {0};
    const double begin = ZIGGURAT_TAIL, farther = 4.5;
    ziggurat_make(&z);
    stream_seed(&stream, &z, 7, 0);
    enum { ROUNDS = 20000 };
    for (int round = 0; round < ROUNDS; round++) {
        kernel_normals(&stream, x, 1000);
        for (int i = 0; i < 1000; i++) {
            beyond[0] += fabs(x[i]) > begin;
            beyond[1] += fabs(x[i]) > farther;
        }
    }
    double expected = 1000.0 * ROUNDS * erfc(begin / sqrt(2.0));
    double expected_farther = 1000.0 * ROUNDS * erfc(farther / sqrt(2.0));
    printf("# beyond %.3f: %zu of %.0f expected, beyond 4.5: %zu of %.0f\n", begin, beyond[0],
        expected, beyond[1], expected_farther);
    assert_near((double)beyond[0], expected, 4.0 * sqrt(expected));
    assert_near((double)beyond[1], expected_farther, 4.0 * sqrt(expected_farther));
}

static void uniforms_are_uniform(void **state)
{
    (void)state;
    enum { COUNT = 200000, CELLS = 100 };
    static struct ziggurat z;
    struct perpend_stream stream;
    int cell[CELLS] = {0};
    ziggurat_make(&z);
    stream_seed(&stream, &z, 3, 1);
    for (int i = 0; i < COUNT; i++) {
        double u = perpend_stream_uniform(&stream);
        assert_true(u > 0.0 && u < 1.0);
        cell[(int)(u * CELLS)]++;
    }
    double chi2 = 0.0, expected = (double)COUNT / CELLS;
    for (int i = 0; i < CELLS; i++)
        chi2 += (cell[i] - expected) * (cell[i] - expected) / expected;
    printf("# chi2 %.1f with 99 degrees of freedom\n", chi2);
    assert_true(chi2 > 50.0 && chi2 < 160.0);
}

/* Blocks, and seeds, draw numbers that have nothing to do with each other. */
static void blocks_are_independent(void **state)
{
    (void)state;
    enum { COUNT = 10000 };
    static struct ziggurat z;
    static double a[COUNT], b[COUNT];
    ziggurat_make(&z);
    for (uint64_t other = 1; other < 40; other++) {
        struct perpend_stream first, second;
        stream_seed(&first, &z, 1, 0);
        stream_seed(&second, &z, other % 2 ? 1 : 1 + other, other % 2 ? other : 0);
        kernel_normals(&first, a, COUNT);
        kernel_normals(&second, b, COUNT);
        double product = 0.0;
        for (int i = 0; i < COUNT; i++)
            product += a[i] * b[i];
        assert_near(product / COUNT, 0.0, 5.0 / sqrt(COUNT));
    }
}

static void stream_and_kernel_draw_alike(void **state)
{
    (void)state;
    static struct ziggurat z;
    static double x[20000];
    struct perpend_stream one, many;
    ziggurat_make(&z);
    stream_seed(&one, &z, 99, 5);
    stream_seed(&many, &z, 99, 5);
    kernel_normals(&many, x, 20000);
    for (int i = 0; i < 20000; i++)
        assert_true(perpend_stream_normal(&one) == x[i]);
}

/* ---- the inner loops ---- */

static void kernel_ridge_is_the_closed_form(void **state)
{
    (void)state;
    struct test_random random = test_random_start("kernel ridge", 20250201);
    double worst = 0.0;
    for (int round = 0; round < 400; round++) {
        double along[100], across[100], ridge[100], small[100], height;
        const struct perpend_cutter cutter = {test_uniform(&random, 1.0, 80.0), 0.0};
        double stepover = cutter.diameter * test_uniform(&random, 0.01, 0.9);
        bool little = round % 2;
        for (int i = 0; i < 100; i++) {
            double size = (little ? 0.05 : 0.3) * pow(10.0, test_uniform(&random, -8.0, 0.0));
            double bearing = test_uniform(&random, 0.0, 7.0);
            along[i] = i % 10 == 0 ? 0.0 : size * cos(bearing);
            across[i] = i % 10 == 1 ? 0.0 : size * sin(bearing);
        }
        kernel_ridges(along, across, cutter.diameter / 2.0, stepover, ridge, 100);
        kernel_ridges_small(along, across, cutter.diameter / 2.0, stepover, small, 100);
        for (int i = 0; i < 100; i++) {
            /* feed along Y: back is along it, right across */
            struct perpend_slope lean = {across[i], along[i]};
            if (perpend_ridge_height(lean, &cutter, stepover, PERPEND_ALONG_Y, &height) !=
                PERPEND_OK)
                continue;
            double drop = cutter.diameter * perpend_slope_size(lean);
            worst = fmax(worst, drop > 0.0 ? fabs(ridge[i] - height) / drop : fabs(ridge[i]));
            assert_near(ridge[i], height, 1e-14 * drop);
            if (little)
                assert_near(small[i], height, 1e-14 * drop);
        }
    }
    printf("# off by at most %.2g of the disc's drop\n", worst);
}

static void kernel_sums_and_tails(void **state)
{
    (void)state;
    struct test_random random = test_random_start("kernel sums", 20250202);
    for (size_t count = 1; count < 200; count++) {
        double values[200], out[200], off = 0.0, squares = 0.0;
        size_t under = 0, kept = 0;
        for (size_t i = 0; i < count; i++) {
            values[i] = test_normal(&random);
            off += values[i] - 0.3;
            squares += (values[i] - 0.3) * (values[i] - 0.3);
            under += values[i] <= 0.1;
        }
        struct kernel_sums sums = kernel_sum(values, count, 0.3, 0.1);
        assert_near(sums.off, off, 1e-12);
        assert_near(sums.squares, squares, 1e-12);
        assert_int_equal(sums.under, under);
        size_t tails = kernel_tails(values, count, 0.2, 1.0, out);
        for (size_t i = 0; i < count; i++)
            if (values[i] <= -0.8 || values[i] >= 1.2)
                assert_true(kept < tails && out[kept++] == values[i]);
        assert_int_equal(kept, tails);
    }
}

/* ---- order ---- */

static double awkward(struct test_random *random, int kind, size_t i)
{
    switch (kind) {
    case 0:
        return test_normal(random);
    case 1:
        return 7.0; /* all alike */
    case 2:
        return (double)test_pick(random, 5); /* ties */
    case 3:
        return pow(10.0, test_uniform(random, -300.0, 300.0)); /* crowded at one end, all along */
    case 4:
        return (double)i; /* in order */
    case 5:
        return -(double)i;
    case 6:
        return 1e6 + 1e-9 * test_normal(random); /* a few digits apart */
    case 7:
        return tan(3.14159 * (test_uniform(random, 0.0, 1.0) - 0.5)); /* long tails */
    case 8:
        return test_pick(random, 2) ? 1e300 : -1e300;
    default:
        return test_pick(random, 100) ? 0.0 : test_normal(random);
    }
}

static void sort_sorts(void **state)
{
    (void)state;
    struct test_random random = test_random_start("sort", 20250203);
    for (int round = 0; round < 400; round++) {
        size_t count = 1 + test_pick(&random, round % 10 ? 300 : 30000);
        double *a = malloc(count * sizeof *a), *b = malloc(count * sizeof *b);
        double *scratch = malloc(count * sizeof *scratch);
        for (size_t i = 0; i < count; i++)
            a[i] = b[i] = awkward(&random, round % 10, i);
        order_sort(a, scratch, count);
        qsort(b, count, sizeof *b, compare);
        if (memcmp(a, b, count * sizeof *a) != 0)
            printf("# round %d, count %zu\n", round, count);
        assert_memory_equal(a, b, count * sizeof *a);
        free(a);
        free(b);
        free(scratch);
    }
}

/* ---- runs ---- */

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
            for (unsigned threads = 0; threads < 8; threads += threads > 2 ? 2 : 1) {
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

/* ---- threads ---- */

struct tally {
    int done[1000];
    unsigned most_worker;
    size_t reported, stop_after;
};

static void tally_task(void *context, unsigned worker, size_t item)
{
    struct tally *tally = context;
    tally->done[item]++;
    assert_true(worker < 3);
}

static bool tally_done(void *context, size_t item)
{
    struct tally *tally = context;
    assert_int_equal(tally->done[item], 1);
    return ++tally->reported < tally->stop_after;
}

static void threads_do_each_item_once(void **state)
{
    (void)state;
    static struct tally tally;
    tally = (struct tally){.stop_after = 2000};
    threads_each(3, 1000, tally_task, tally_done, &tally);
    for (int i = 0; i < 1000; i++)
        assert_int_equal(tally.done[i], 1);
    assert_int_equal(tally.reported, 1000);
    tally = (struct tally){.stop_after = 10};
    threads_each(3, 1000, tally_task, tally_done, &tally);
    assert_true(tally.reported >= 10 && tally.reported <= 12);
    threads_each(3, 0, tally_task, NULL, &tally);
    assert_true(threads_workers(0) >= 1 && threads_workers(1000) <= THREADS_MOST);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(layers_stack_to_the_top),
        cmocka_unit_test(normals_are_normal),
        cmocka_unit_test(tail_is_normal),
        cmocka_unit_test(uniforms_are_uniform),
        cmocka_unit_test(blocks_are_independent),
        cmocka_unit_test(stream_and_kernel_draw_alike),
        cmocka_unit_test(kernel_ridge_is_the_closed_form),
        cmocka_unit_test(kernel_sums_and_tails),
        cmocka_unit_test(sort_sorts),
        cmocka_unit_test(results_are_those_of_all_values),
        cmocka_unit_test(threads_and_locale_change_nothing),
        cmocka_unit_test(adaptive_runs_are_stable),
        cmocka_unit_test(ridge_trials_are_plain_trials),
        cmocka_unit_test(certain_lean_gives_one_ridge),
        cmocka_unit_test(wrong_input_is_refused),
        cmocka_unit_test(threads_do_each_item_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
