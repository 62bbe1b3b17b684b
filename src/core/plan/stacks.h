/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef STACKS_H
#define STACKS_H

/**
 * Stacks of leaves: which thicknesses the leaves on hand make, and how to give several bolts theirs
 * at once with few leaves. Thicknesses are counted in grains, so that the search is finite.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/mount.h>
#include <perpend/status.h>

/** mm: far below what leaves vary. */
#define STACKS_GRAIN 1e-4

/** Grains: thicknesses nearer to each other than this count as one. */
#define STACKS_APART 10

/** mm: no stack is taller. */
#define STACKS_TALLEST 10.0

/** Bolts that are filled at once: those of two joints. */
#define STACKS_BINS_MOST 16

#define STACKS_NONE (~0U)

/** Steps for the stacks of one plane. */
#define STACKS_WORK_MOST 20000L

/** A thickness that is worth looking at: of each µm the one of the fewest leaves. */
struct make {
    unsigned thick;  /* grains */
    unsigned leaves; /* fewest that make what counts as the same */
};

/** The leaves on hand, thickest first, and what they make. */
struct heap {
    size_t kinds;
    size_t leaf[PERPEND_LEAVES_MOST];     /* index into the stock */
    unsigned grains[PERPEND_LEAVES_MOST]; /* thickness of one */
    unsigned count[PERPEND_LEAVES_MOST];
    unsigned tallest; /* grains */
    double all;       /* grains of all leaves together */
    /* fewest[k * (tallest + 1) + v]: the fewest leaves of kinds k … that make v; STACKS_NONE when
       they do not */
    unsigned *fewest;
    struct make *makes; /* ascending from 0 */
    size_t make_count;
};

/** Errors: PERPEND_ERR_MEMORY. `tallest`, mm, is cut to STACKS_TALLEST. */
enum perpend_status heap_init(struct heap *heap, const struct perpend_stock *stock, double tallest);
void heap_finish(struct heap *heap);

/** What one bolt may get, grains. */
struct bin {
    unsigned low, high;
};

/** Fewest leaves that make anything from low to high, if no other bolt took any; STACKS_NONE. */
unsigned stacks_fewest(const struct heap *heap, struct bin bin);

/**
 * Fill several bins from one heap with few leaves.
 *
 * Given:    bins       thickest first, at most STACKS_BINS_MOST; low ≥ 1
 *           most       no more leaves than this
 *           work       steps that may still be taken
 * Returned: counts     [bin][kind] leaves
 *           work       less what was done
 * Value:    leaves in all; STACKS_NONE when it cannot be done, or the work does not suffice
 */
unsigned stacks_fill(const struct heap *heap, const struct bin *bins, size_t bin_count,
    unsigned most, long *work, unsigned (*counts)[PERPEND_LEAVES_MOST]);

#endif
