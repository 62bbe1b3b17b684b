/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/plan/stacks.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The kinds of which there are leaves, thickest first. */
static void take_kinds(struct heap *heap, const struct perpend_stock *stock)
{
    for (size_t i = 0; i < stock->leaf_count && i < PERPEND_LEAVES_MOST; i++) {
        double grains = round(stock->leaves[i].thick / STACKS_GRAIN);
        if (!(grains >= 1.0) || grains > heap->tallest || stock->leaves[i].count == 0)
            continue;
        size_t at = heap->kinds++;
        for (; at > 0 && heap->grains[at - 1] < (unsigned)grains; at--) {
            heap->leaf[at] = heap->leaf[at - 1];
            heap->grains[at] = heap->grains[at - 1];
            heap->count[at] = heap->count[at - 1];
        }
        heap->leaf[at] = i;
        heap->grains[at] = (unsigned)grains;
        heap->count[at] = stock->leaves[i].count;
        heap->all += grains * stock->leaves[i].count;
    }
}

/* Add leaves of one kind to what the thinner ones make, in bundles of 1, 2, 4 … leaves, which
   together make any number of them. */
static void add_kind(const struct heap *heap, size_t kind, unsigned *fewest)
{
    unsigned rest = heap->tallest / heap->grains[kind];
    if (rest > heap->count[kind])
        rest = heap->count[kind];
    for (unsigned bundle = 1; rest > 0; bundle *= 2) {
        unsigned leaves = bundle < rest ? bundle : rest;
        unsigned thick = leaves * heap->grains[kind];
        for (unsigned v = heap->tallest; v >= thick; v--)
            if (fewest[v - thick] != STACKS_NONE && fewest[v - thick] + leaves < fewest[v])
                fewest[v] = fewest[v - thick] + leaves;
        rest -= leaves;
    }
}

static void list_makes(struct heap *heap)
{
    for (unsigned first = 0; first <= heap->tallest; first += STACKS_APART) {
        unsigned best = first;
        for (unsigned v = first; v < first + STACKS_APART && v <= heap->tallest; v++)
            if (heap->fewest[v] < heap->fewest[best])
                best = v;
        struct bin alike = {best > STACKS_APART ? best - STACKS_APART : 0, best + STACKS_APART};
        if (heap->fewest[best] != STACKS_NONE)
            heap->makes[heap->make_count++] = (struct make){best, stacks_fewest(heap, alike)};
    }
}

enum perpend_status heap_init(struct heap *heap, const struct perpend_stock *stock, double tallest)
{
    *heap = (struct heap){
        .tallest = (unsigned)(fmin(tallest, STACKS_TALLEST) / STACKS_GRAIN),
    };
    take_kinds(heap, stock);
    size_t row = (size_t)heap->tallest + 1;
    heap->fewest = malloc((heap->kinds + 1) * row * sizeof *heap->fewest);
    heap->makes = malloc((row / STACKS_APART + 1) * sizeof *heap->makes);
    if (!heap->fewest || !heap->makes) {
        heap_finish(heap);
        return PERPEND_ERR_MEMORY;
    }
    unsigned *none = heap->fewest + heap->kinds * row;
    for (size_t v = 0; v < row; v++)
        none[v] = v == 0 ? 0 : STACKS_NONE;
    for (size_t k = heap->kinds; k-- > 0;) {
        unsigned *fewest = heap->fewest + k * row;
        memcpy(fewest, fewest + row, row * sizeof *fewest);
        add_kind(heap, k, fewest);
    }
    list_makes(heap);
    return PERPEND_OK;
}

void heap_finish(struct heap *heap)
{
    free(heap->fewest);
    free(heap->makes);
    *heap = (struct heap){.kinds = 0};
}

unsigned stacks_fewest(const struct heap *heap, struct bin bin)
{
    unsigned least = STACKS_NONE;
    for (unsigned v = bin.low; v <= bin.high && v <= heap->tallest; v++)
        if (heap->fewest[v] < least)
            least = heap->fewest[v];
    return least;
}

/* --- filling bins ----------------------------------------------------------------------------- */

struct filling {
    const struct heap *heap;
    const struct bin *bins;
    size_t bin_count;
    unsigned stock[PERPEND_LEAVES_MOST]; /* leaves of each kind not yet used */
    unsigned now[STACKS_BINS_MOST][PERPEND_LEAVES_MOST];
    unsigned (*counts)[PERPEND_LEAVES_MOST];  /* the best found */
    unsigned remaining[STACKS_BINS_MOST + 1]; /* fewest leaves the bins from here on can take */
    unsigned long low[STACKS_BINS_MOST + 1];  /* grains that the bins from here on want at least */
    unsigned long
        thinner[PERPEND_LEAVES_MOST + 1]; /* grains of all leaves of the kinds from here on */
    unsigned long unused;                 /* grains not yet used */
    unsigned least;                       /* leaves of the best found; none: STACKS_NONE */
    unsigned most;
    long *work;
};

static void fill_bin(struct filling *filling, size_t bin, unsigned used);

/* Complete the stack of `bin`, which lacks `lacks` grains, with kinds from `kind` on. */
static void fill_stack(
    struct filling *filling, size_t bin, size_t kind, unsigned lacks, unsigned used)
{
    const struct heap *heap = filling->heap;
    if (lacks == 0) {
        fill_bin(filling, bin + 1, used);
        return;
    }
    const unsigned *fewest = heap->fewest + (kind + 1) * ((size_t)heap->tallest + 1);
    unsigned most = lacks / heap->grains[kind], least = 0;
    if (most > filling->stock[kind])
        most = filling->stock[kind];
    /* the thinner kinds must be able to make up the rest */
    if (lacks > filling->thinner[kind + 1])
        least = (lacks - (unsigned)filling->thinner[kind + 1] - 1) / heap->grains[kind] + 1;
    for (unsigned count = most + 1; count-- > least && *filling->work > 0;) {
        unsigned rest = lacks - count * heap->grains[kind];
        --*filling->work;
        if (fewest[rest] == STACKS_NONE ||
            used + count + fewest[rest] + filling->remaining[bin + 1] > filling->most)
            continue;
        filling->now[bin][kind] = count;
        filling->stock[kind] -= count;
        fill_stack(filling, bin, kind + 1, rest, used + count);
        filling->stock[kind] += count;
        filling->now[bin][kind] = 0;
    }
}

static void fill_bin(struct filling *filling, size_t bin, unsigned used)
{
    const struct heap *heap = filling->heap;
    if (used + filling->remaining[bin] > filling->most || filling->low[bin] > filling->unused)
        return;
    if (bin == filling->bin_count) {
        filling->least = used;
        filling->most = used > 0 ? used - 1 : 0;
        memcpy(filling->counts, filling->now, bin * sizeof filling->now[0]);
        return;
    }
    for (unsigned v = filling->bins[bin].low; v <= filling->bins[bin].high; v++)
        if (v <= heap->tallest && heap->fewest[v] != STACKS_NONE) {
            filling->unused -= v;
            fill_stack(filling, bin, 0, v, used);
            filling->unused += v;
        }
}

unsigned stacks_fill(const struct heap *heap, const struct bin *bins, size_t bin_count,
    unsigned most, long *work, unsigned (*counts)[PERPEND_LEAVES_MOST])
{
    struct filling filling = {
        .heap = heap,
        .bins = bins,
        .bin_count = bin_count,
        .counts = counts,
        .least = STACKS_NONE,
        .most = most < STACKS_NONE ? most : STACKS_NONE - 1,
        .work = work,
    };
    memcpy(filling.stock, heap->count, sizeof filling.stock);
    for (size_t bin = bin_count; bin-- > 0;) {
        unsigned least = stacks_fewest(heap, bins[bin]);
        if (least == STACKS_NONE)
            return STACKS_NONE;
        filling.remaining[bin] = filling.remaining[bin + 1] + least;
        filling.low[bin] = filling.low[bin + 1] + bins[bin].low;
    }
    for (size_t kind = heap->kinds; kind-- > 0;)
        filling.thinner[kind] =
            filling.thinner[kind + 1] + (unsigned long)heap->count[kind] * heap->grains[kind];
    filling.unused = filling.thinner[0];
    fill_bin(&filling, 0, 0);
    return filling.least;
}
