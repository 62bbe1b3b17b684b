/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef STACKS_H
#define STACKS_H

/**
 * Stacks of leaves: which thicknesses the leaves on hand make, and how to give several bolts theirs
 * at once with the fewest leaves. Thicknesses are whole grains, so that the search is finite.
 */

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <perpend/mount.h>
#include <perpend/status.h>

#define STACKS_NONE UINT16_MAX

/** The leaves on hand, thickest first, and what they make by themselves. */
struct heap {
    size_t kinds;
    size_t *leaf;     /* index into the stock */
    unsigned *grains; /* thickness of one */
    unsigned *count;
    double material;  /* grains of all of them together */
    double grain;     /* mm */
    unsigned tallest; /* grains; no stack is thicker */
    /* fewest[k * (tallest + 1) + v]: the fewest leaves of kinds k … that make v; STACKS_NONE when
       they do not */
    uint16_t *fewest;
    unsigned *makes; /* the thicknesses that can be made, ascending, 0 with them */
    size_t make_count;
};

/**
 * Given:    stock    leaves of no thickness and counts of 0 are passed over
 *           tallest  mm
 * Errors:   PERPEND_ERR_VALUE for more than STACKS_KINDS_MOST kinds, PERPEND_ERR_MEMORY
 */
#define STACKS_KINDS_MOST PERPEND_LEAVES_MOST
enum perpend_status heap_init(struct heap *heap, const struct perpend_stock *stock, double tallest);
void heap_finish(struct heap *heap);

/** Fewest leaves that make one stack of v grains; STACKS_NONE when they do not. */
unsigned heap_fewest(const struct heap *heap, unsigned v);

/** Work for one plan, in steps: a bound, far above what real stocks take. */
#define STACKS_WORK_MOST 4000000L

/** What one bolt may get, grains, both ends included. */
struct bin {
    unsigned low, high;
};

/** No fill of the bins takes fewer leaves than this; STACKS_NONE when one cannot be filled. */
unsigned stacks_least(const struct heap *heap, const struct bin *bins, size_t bin_count);

/**
 * Fill the bins from the heap together, with the fewest leaves: depth first with bounds, exact
 * unless the work runs out.
 *
 * Given:    bins, bin_count
 *           most     only fills with at most so many leaves are wanted
 *           work     steps that may be spent; what is left on return
 * Returned: counts   bin_count × heap->kinds, leaves of each kind in each bin; NULL when only the
 *                    number is wanted
 *           leaves   in all
 * Errors:   PERPEND_ERR_VALUE when they cannot be filled (or not within the work),
 *           PERPEND_ERR_MEMORY
 */
enum perpend_status stacks_fill(const struct heap *heap, const struct bin *bins, size_t bin_count,
    unsigned most, long *work, unsigned *counts, unsigned *leaves);

#endif
