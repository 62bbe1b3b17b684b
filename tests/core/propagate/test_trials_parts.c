/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the Monte Carlo run is made of: random numbers, inner loops, order, threads. */
#include "support/support.h"

#include <string.h>

#include <perpend/ridge.h>
#include <perpend/status.h>

#include "core/propagate/threads.h"
#include "core/propagate/trials_kernel.h"
#include "core/propagate/trials_order.h"
#include "core/propagate/trials_stream.h"

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
        cmocka_unit_test(threads_do_each_item_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
