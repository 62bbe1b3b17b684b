/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Stacks of leaves against counting out every way to deal them. */
#include "support/support.h"

#include <limits.h>

#include <perpend/mount.h>
#include <perpend/status.h>

#include "core/plan/stacks.h"

#define CASES 1000
#define KINDS 4
#define BINS 3

struct deal {
    size_t kinds, bins;
    struct perpend_leaf leaves[KINDS];
    struct bin bin[BINS]; /* grains of the heap */
    unsigned stock[KINDS];
    unsigned fewest; /* leaves of the best deal so far */
    bool any;
};

static unsigned grains_of(const struct deal *deal, size_t kind)
{
    return (unsigned)floor(deal->leaves[kind].thick / STACKS_GRAIN + 0.5);
}

/* Every count of every kind for every bin. */
static void deal_all(struct deal *deal, size_t bin, size_t kind, unsigned sum, unsigned used)
{
    if (bin == deal->bins) {
        if (!deal->any || used < deal->fewest)
            deal->fewest = used;
        deal->any = true;
        return;
    }
    if (kind == deal->kinds) {
        if (sum >= deal->bin[bin].low && sum <= deal->bin[bin].high)
            deal_all(deal, bin + 1, 0, 0, used);
        return;
    }
    for (unsigned count = 0; count <= deal->stock[kind]; count++) {
        deal->stock[kind] -= count;
        deal_all(deal, bin, kind + 1, sum + count * grains_of(deal, kind), used + count);
        deal->stock[kind] += count;
    }
}

static void random_stock(struct deal *deal, struct test_random *random)
{
    deal->kinds = 1 + test_pick(random, KINDS);
    for (size_t i = 0; i < deal->kinds; i++) {
        deal->leaves[i] = (struct perpend_leaf){
            .thick = 0.01 * (double)(1 + test_pick(random, 30)),
            .count = (unsigned)test_pick(random, 4),
        };
        deal->stock[i] = deal->leaves[i].count;
    }
}

static void fail_deal(const struct deal *deal, size_t n, const char *what)
{
    printf("# case %zu: %s\n# leaves:", n, what);
    for (size_t i = 0; i < deal->kinds; i++)
        printf(" %u x %.2f", deal->leaves[i].count, deal->leaves[i].thick);
    printf("\n# bins (grains):");
    for (size_t i = 0; i < deal->bins; i++)
        printf(" %u-%u", deal->bin[i].low, deal->bin[i].high);
    printf("\n");
    fail();
}

/* What was dealt is in the stock, fills the bins, and counts up. */
static void check_deal(const struct deal *deal, const struct heap *heap,
    unsigned (*counts)[PERPEND_LEAVES_MOST], unsigned leaves, size_t n)
{
    unsigned used[KINDS] = {0}, all = 0;
    for (size_t bin = 0; bin < deal->bins; bin++) {
        unsigned sum = 0;
        for (size_t k = 0; k < heap->kinds; k++) {
            unsigned count = counts[bin][k];
            used[heap->leaf[k]] += count;
            sum += count * heap->grains[k];
            all += count;
        }
        if (sum < deal->bin[bin].low || sum > deal->bin[bin].high)
            fail_deal(deal, n, "a bin is not filled");
    }
    for (size_t i = 0; i < deal->kinds; i++)
        if (used[i] > deal->leaves[i].count)
            fail_deal(deal, n, "more leaves than there are");
    if (all != leaves)
        fail_deal(deal, n, "leaves miscounted");
}

static void deals_take_the_fewest_leaves(void **state)
{
    (void)state;
    struct test_random random = test_random_start("deals take the fewest leaves", 21);
    size_t possible = 0;
    for (size_t n = 0; n < CASES; n++) {
        struct deal deal = {.bins = 1 + test_pick(&random, BINS)};
        random_stock(&deal, &random);
        struct perpend_stock stock = {deal.leaves, deal.kinds};
        struct heap heap;
        assert_int_equal(heap_init(&heap, &stock, 0.6), PERPEND_OK);
        for (size_t i = 0; i < deal.bins; i++) {
            /* often something that can be made, often alike, sometimes a range */
            unsigned low = heap.makes[test_pick(&random, heap.make_count)].thick;
            if (test_pick(&random, 4) == 0)
                low = (unsigned)test_pick(&random, heap.tallest + 1);
            deal.bin[i] = (struct bin){low, low + (unsigned)(test_pick(&random, 4) == 0)};
            if (i > 0 && test_pick(&random, 2) == 0)
                deal.bin[i] = deal.bin[i - 1];
        }
        deal_all(&deal, 0, 0, 0, 0);
        unsigned counts[STACKS_BINS_MOST][PERPEND_LEAVES_MOST] = {{0}};
        long work = LONG_MAX;
        unsigned leaves = stacks_fill(&heap, deal.bin, deal.bins, STACKS_NONE, &work, counts);
        if ((leaves != STACKS_NONE) != deal.any)
            fail_deal(&deal, n, deal.any ? "a deal was missed" : "an impossible deal");
        possible += deal.any;
        if (deal.any) {
            if (leaves != deal.fewest)
                fail_deal(&deal, n, "fewer leaves would do");
            check_deal(&deal, &heap, counts, leaves, n);
            assert_true(stacks_fewest(&heap, deal.bin[0]) <= leaves);
            /* no fewer than that, when no more are allowed */
            if (leaves > 0)
                assert_int_equal(
                    stacks_fill(&heap, deal.bin, deal.bins, leaves - 1, &work, NULL), STACKS_NONE);
        }
        heap_finish(&heap);
    }
    printf("# %zu of %d can be dealt\n", possible, CASES);
    assert_true(possible > CASES / 4 && possible < CASES);
}

/* The table of single stacks, with counts that bundles have to make up. */
static void single_stacks_are_counted_right(void **state)
{
    (void)state;
    struct test_random random = test_random_start("single stacks are counted right", 22);
    for (size_t n = 0; n < 200; n++) {
        struct deal deal = {.bins = 1};
        random_stock(&deal, &random);
        for (size_t i = 0; i < deal.kinds; i++)
            deal.leaves[i].count = deal.stock[i] = (unsigned)test_pick(&random, 9);
        struct perpend_stock stock = {deal.leaves, deal.kinds};
        struct heap heap;
        assert_int_equal(heap_init(&heap, &stock, 0.8), PERPEND_OK);
        for (int k = 0; k < 8; k++) {
            unsigned v = (unsigned)test_pick(&random, heap.tallest + 1);
            deal.bin[0] = (struct bin){v, v};
            deal.any = false;
            deal_all(&deal, 0, 0, 0, 0);
            unsigned found = stacks_fewest(&heap, deal.bin[0]);
            if ((found != STACKS_NONE) != deal.any || (deal.any && found != deal.fewest))
                fail_deal(&deal, n, "a stack miscounted");
        }
        heap_finish(&heap);
    }
}

static void odd_stocks(void **state)
{
    (void)state;
    struct perpend_leaf leaves[] = {{.thick = 0.0, .count = 3}, {.thick = 0.05, .count = 0},
        {.thick = 5.0, .count = 1}, {.thick = 0.0508, .count = 2}, {.thick = 0.05, .count = 2}};
    struct perpend_stock stock = {leaves, 5};
    struct heap heap;
    assert_int_equal(heap_init(&heap, &stock, 1.0), PERPEND_OK);
    assert_int_equal(heap.kinds, 2); /* no thickness, none there, too thick: passed over */
    assert_int_equal(heap.grains[0], 508);
    /* 0, one or two of either, and mixed; those within a µm once */
    assert_int_equal(heap.make_count, 7);
    heap_finish(&heap);
    stock.leaf_count = 0;
    assert_int_equal(heap_init(&heap, &stock, 1.0), PERPEND_OK);
    assert_int_equal(heap.make_count, 1);
    heap_finish(&heap);
    /* a stack has an end, whatever is wished for */
    assert_int_equal(heap_init(&heap, &stock, 1000.0), PERPEND_OK);
    assert_near(heap.tallest * STACKS_GRAIN, STACKS_TALLEST, 1e-3);
    heap_finish(&heap);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(deals_take_the_fewest_leaves),
        cmocka_unit_test(single_stacks_are_counted_right),
        cmocka_unit_test(odd_stocks),
    };
    return cmocka_run_group_tests_name("stacks", tests, NULL, NULL);
}
