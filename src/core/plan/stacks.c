/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/plan.h>
#include <perpend/status.h>

#include "core/plan/stacks.h"

/* --- the heap --------------------------------------------------------------------------------- */

/* Leaves are told apart to this, mm. */
#define FINEST_GRAIN 1e-4

/* No stack is thicker, mm. */
#define THICKEST 1e4

/* Entries of the table of what the leaves make, at most: 32 MiB. Stacks that would go beyond it are
   not looked at; eight kinds whose thicknesses have no common divisor may be 186 mm. */
#define TABLE_MOST ((size_t)1 << 24)

static unsigned common_divisor(unsigned a, unsigned b)
{
    while (b) {
        unsigned rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

/* Thickest first, then in the stock's order. */
static void sort_kinds(struct heap *heap)
{
    for (size_t i = 1; i < heap->kinds; i++)
        for (size_t j = i; j > 0 && heap->grains[j] > heap->grains[j - 1]; j--) {
            unsigned grains = heap->grains[j], count = heap->count[j];
            size_t leaf = heap->leaf[j];
            heap->grains[j] = heap->grains[j - 1];
            heap->count[j] = heap->count[j - 1];
            heap->leaf[j] = heap->leaf[j - 1];
            heap->grains[j - 1] = grains;
            heap->count[j - 1] = count;
            heap->leaf[j - 1] = leaf;
        }
}

static void take_kinds(struct heap *heap, const struct perpend_stock *stock, double tallest)
{
    unsigned divisor = 0;
    tallest = fmin(tallest, THICKEST);
    for (size_t i = 0; i < stock->leaf_count; i++) {
        const struct perpend_leaf *leaf = &stock->leaves[i];
        if (leaf->count == 0 || !(leaf->thick > 0.0) || leaf->thick > tallest)
            continue;
        unsigned grains = (unsigned)floor(leaf->thick / FINEST_GRAIN + 0.5);
        if (grains == 0)
            continue;
        heap->leaf[heap->kinds] = i;
        heap->grains[heap->kinds] = grains;
        heap->count[heap->kinds] = leaf->count;
        heap->kinds++;
        divisor = common_divisor(grains, divisor);
    }
    if (divisor == 0)
        divisor = 1;
    for (size_t k = 0; k < heap->kinds; k++) {
        heap->grains[k] /= divisor;
        heap->material += (double)heap->grains[k] * heap->count[k];
    }
    heap->grain = FINEST_GRAIN * divisor;
    heap->tallest = (unsigned)fmin(floor(tallest / heap->grain + 1e-9),
        floor((double)TABLE_MOST / (double)(heap->kinds + 1)) - 1.0);
    sort_kinds(heap);
}

/* One row of the table from the row of the thinner kinds: bounded knapsack, for each remainder of
   the thickness a sliding minimum over the last `count` places (kept in `queue`). */
static void fewest_with(const struct heap *heap, size_t kind, unsigned *queue)
{
    size_t width = (size_t)heap->tallest + 1;
    const uint16_t *thinner = heap->fewest + (kind + 1) * width;
    uint16_t *row = heap->fewest + kind * width;
    unsigned thick = heap->grains[kind], count = heap->count[kind];
    for (unsigned rest = 0; rest < thick && rest < width; rest++) {
        size_t head = 0, tail = 0;
        for (unsigned place = 0; rest + (size_t)place * thick < width; place++) {
            size_t v = rest + (size_t)place * thick;
            /* from place p it takes thinner[p] + (place − p) leaves; compare thinner[p] − p */
            if (thinner[v] != STACKS_NONE) {
                while (tail > head) {
                    unsigned last = queue[tail - 1];
                    if ((long)thinner[rest + (size_t)last * thick] - (long)last <
                        (long)thinner[v] - (long)place)
                        break;
                    tail--;
                }
                queue[tail++] = place;
            }
            while (tail > head && place - queue[head] > count)
                head++;
            row[v] = STACKS_NONE;
            if (tail > head) {
                unsigned leaves = thinner[rest + (size_t)queue[head] * thick] + place - queue[head];
                if (leaves < STACKS_NONE)
                    row[v] = (uint16_t)leaves;
            }
        }
    }
}

static enum perpend_status tabulate(struct heap *heap)
{
    size_t width = (size_t)heap->tallest + 1;
    heap->fewest = malloc((heap->kinds + 1) * width * sizeof *heap->fewest);
    heap->makes = malloc(width * sizeof *heap->makes);
    unsigned *queue = malloc(width * sizeof *queue);
    enum perpend_status status = PERPEND_ERR_MEMORY;
    if (!heap->fewest || !heap->makes || !queue)
        goto out;
    uint16_t *nothing = heap->fewest + heap->kinds * width;
    for (size_t v = 0; v < width; v++)
        nothing[v] = v == 0 ? 0 : STACKS_NONE;
    for (size_t kind = heap->kinds; kind-- > 0;)
        fewest_with(heap, kind, queue);
    for (unsigned v = 0; v <= heap->tallest; v++)
        if (heap->fewest[v] != STACKS_NONE)
            heap->makes[heap->make_count++] = v;
    status = PERPEND_OK;
out:
    free(queue);
    return status;
}

enum perpend_status heap_init(struct heap *heap, const struct perpend_stock *stock, double tallest)
{
    *heap = (struct heap){.kinds = 0};
    if (stock->leaf_count > STACKS_KINDS_MOST || !isfinite(tallest) || tallest < 0.0)
        return PERPEND_ERR_VALUE;
    heap->leaf = calloc(stock->leaf_count + 1, sizeof *heap->leaf);
    heap->grains = calloc(stock->leaf_count + 1, sizeof *heap->grains);
    heap->count = calloc(stock->leaf_count + 1, sizeof *heap->count);
    enum perpend_status status = PERPEND_ERR_MEMORY;
    if (heap->leaf && heap->grains && heap->count) {
        take_kinds(heap, stock, tallest);
        status = tabulate(heap);
    }
    if (status != PERPEND_OK)
        heap_finish(heap);
    return status;
}

void heap_finish(struct heap *heap)
{
    free(heap->leaf);
    free(heap->grains);
    free(heap->count);
    free(heap->fewest);
    free(heap->makes);
    *heap = (struct heap){.kinds = 0};
}

unsigned heap_fewest(const struct heap *heap, unsigned v)
{
    return v <= heap->tallest ? heap->fewest[v] : STACKS_NONE;
}

/* --- filling bins ----------------------------------------------------------------------------- */

struct filling {
    const struct heap *heap;
    const struct bin *bins; /* in the order they are filled */
    size_t bin_count;
    unsigned *stock;     /* leaves of each kind not yet used */
    unsigned *now;       /* bin_count × kinds, being tried */
    unsigned *best;      /* bin_count × kinds, the best found */
    unsigned *remaining; /* bin_count + 1: fewest leaves the bins from here on can take */
    unsigned least;      /* leaves of the best found, or one more than wanted */
    bool found;
    long work;
};

static bool settled(const struct filling *filling)
{
    return filling->work <= 0 || (filling->found && filling->least <= filling->remaining[0]);
}

static unsigned fewest_from(const struct heap *heap, size_t kind, unsigned v)
{
    return heap->fewest[kind * ((size_t)heap->tallest + 1) + v];
}

static void fill_bin(struct filling *filling, size_t bin, unsigned used);

/* Complete the stack of `bin`, which has `distinct` kinds up to before `kind` and lacks `lacks`
   grains. Alike bins are interchangeable: the later one may not come before the earlier in the
   order of their counts; `tied` while it has been equal so far. */
static void fill_stack(struct filling *filling, size_t bin, size_t kind, unsigned lacks,
    unsigned used, unsigned distinct, bool tied)
{
    const struct heap *heap = filling->heap;
    filling->work--;
    if (lacks == 0) {
        fill_bin(filling, bin + 1, used);
        return;
    }
    if (distinct == PERPEND_STACK_MOST)
        return;
    const unsigned *before = tied ? filling->now + (bin - 1) * heap->kinds : NULL;
    unsigned *here = filling->now + bin * heap->kinds;
    unsigned ideal = fewest_from(heap, kind, lacks);
    unsigned long there = 0; /* grains of the kinds from here on that are still in the heap */
    for (size_t k = kind; k < heap->kinds; k++)
        there += (unsigned long)filling->stock[k] * heap->grains[k];
    /* first the ways that could do with the fewest leaves, then the others */
    for (int round = 0; round < 2; round++) {
        bool still_tied = tied;
        unsigned long beyond = there;
        for (size_t k = kind; k < heap->kinds && beyond >= lacks; k++) {
            beyond -= (unsigned long)filling->stock[k] * heap->grains[k];
            unsigned most = lacks / heap->grains[k], least = 1;
            if (most > filling->stock[k])
                most = filling->stock[k];
            if (still_tied && most > before[k])
                most = before[k];
            if (beyond < lacks) /* the thinner kinds cannot make up for more */
                least = (unsigned)((lacks - beyond + heap->grains[k] - 1) / heap->grains[k]);
            for (unsigned count = most; count >= least; count--) {
                unsigned rest = lacks - count * heap->grains[k];
                unsigned more = fewest_from(heap, k + 1, rest);
                if (more == STACKS_NONE || (count + more == ideal) != (round == 0))
                    continue;
                if (used + count + more + filling->remaining[bin + 1] >= filling->least)
                    continue;
                here[k] = count;
                filling->stock[k] -= count;
                fill_stack(filling, bin, k + 1, rest, used + count, distinct + 1,
                    still_tied && count == before[k]);
                filling->stock[k] += count;
                here[k] = 0;
                if (settled(filling))
                    return;
            }
            /* nothing of this kind from here on */
            if (still_tied && before[k] > 0)
                still_tied = false;
        }
    }
}

static void fill_bin(struct filling *filling, size_t bin, unsigned used)
{
    const struct heap *heap = filling->heap;
    if (used + filling->remaining[bin] >= filling->least)
        return;
    if (bin == filling->bin_count) {
        filling->least = used;
        filling->found = true;
        memcpy(
            filling->best, filling->now, filling->bin_count * heap->kinds * sizeof *filling->best);
        return;
    }
    const struct bin *wanted = &filling->bins[bin];
    bool alike = bin > 0 && filling->bins[bin - 1].low == wanted->low &&
                 filling->bins[bin - 1].high == wanted->high && wanted->low == wanted->high;
    for (unsigned v = wanted->low; v <= wanted->high && !settled(filling); v++)
        if (heap_fewest(heap, v) != STACKS_NONE)
            fill_stack(filling, bin, 0, v, used, 0, alike);
}

/* Fewest leaves that make anything from low to high. */
static unsigned fewest_between(const struct heap *heap, unsigned low, unsigned high)
{
    unsigned least = STACKS_NONE;
    for (unsigned v = low; v <= high && v <= heap->tallest; v++)
        if (heap->fewest[v] < least)
            least = heap->fewest[v];
    return least;
}

unsigned stacks_least(const struct heap *heap, const struct bin *bins, size_t bin_count)
{
    unsigned sum = 0;
    for (size_t bin = 0; bin < bin_count; bin++) {
        unsigned least = fewest_between(heap, bins[bin].low, bins[bin].high);
        if (least == STACKS_NONE)
            return STACKS_NONE;
        sum += least;
    }
    return sum;
}

/* Fewest leaves that a bin, and all from there on, can take: by themselves, or with the next one
   out of the same heap. False when that shows that they cannot be filled. */
static bool bound_bins(struct filling *filling)
{
    const struct heap *heap = filling->heap;
    double wanted = 0.0;
    filling->remaining[filling->bin_count] = 0;
    for (size_t bin = filling->bin_count; bin-- > 0;) {
        const struct bin *own = &filling->bins[bin];
        unsigned least = fewest_between(heap, own->low, own->high);
        if (least == STACKS_NONE)
            return false;
        wanted += own->low;
        filling->remaining[bin] = filling->remaining[bin + 1] + least;
        if (bin + 1 == filling->bin_count)
            continue;
        const struct bin *next = own + 1;
        if (own->high + next->high > heap->tallest)
            continue;
        unsigned both = fewest_between(heap, own->low + next->low, own->high + next->high);
        if (both == STACKS_NONE)
            return false;
        if (filling->remaining[bin + 2] + both > filling->remaining[bin])
            filling->remaining[bin] = filling->remaining[bin + 2] + both;
    }
    return wanted <= heap->material;
}

enum perpend_status stacks_fill(const struct heap *heap, const struct bin *bins, size_t bin_count,
    unsigned most, long *work, unsigned *counts, unsigned *leaves)
{
    size_t cells = bin_count * heap->kinds;
    struct filling filling = {
        .heap = heap,
        .bins = bins,
        .bin_count = bin_count,
        .stock = malloc((heap->kinds + 1) * sizeof *filling.stock),
        .now = calloc(cells + 1, sizeof *filling.now),
        .best = calloc(cells + 1, sizeof *filling.best),
        .remaining = calloc(bin_count + 1, sizeof *filling.remaining),
        .least = most == UINT32_MAX ? most : most + 1,
        .work = *work,
    };
    enum perpend_status status = PERPEND_ERR_MEMORY;
    if (!filling.stock || !filling.now || !filling.best || !filling.remaining)
        goto out;
    memcpy(filling.stock, heap->count, heap->kinds * sizeof *filling.stock);
    status = PERPEND_ERR_VALUE;
    if (!bound_bins(&filling))
        goto out;
    fill_bin(&filling, 0, 0);
    *work = filling.work;
    if (!filling.found)
        goto out;
    status = PERPEND_OK;
    *leaves = filling.least;
    if (counts)
        memcpy(counts, filling.best, cells * sizeof *counts);
out:
    free(filling.stock);
    free(filling.now);
    free(filling.best);
    free(filling.remaining);
    return status;
}
