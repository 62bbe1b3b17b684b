/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_TRIALS_KERNEL_H
#define CORE_TRIALS_KERNEL_H

/**
 * The inner loops of the ridge trials, over short arrays that stay in the nearest cache and written
 * so that a compiler can turn them into vector code by itself.
 */

#include <stddef.h>
#include <stdint.h>

#include "trials_stream.h"

/* Trials that are worked on at a time. */
#define KERNEL_CHUNK 500

/* Streams that fill an array side by side. */
#define KERNEL_LANES 4

struct kernel_bits {
    uint64_t state[4][KERNEL_LANES];
};

void kernel_bits_seed(struct kernel_bits *bits, uint64_t seed, uint64_t block);

/** Fill with random bits; count is a multiple of KERNEL_LANES. */
void kernel_bits_fill(struct kernel_bits *bits, uint64_t *out, size_t count);

/** Turn random bits into normals; what the quick test refuses is finished from `spare`. */
void kernel_normals(const uint64_t *bits, struct perpend_stream *spare, double *out, size_t count);

/**
 * Ridges of a disc without a corner radius.
 *
 * Given:    along, across   count leans along and across the feed, mm/mm, of either sign
 *           radius, stepover  mm
 * Returned: ridge           count, mm. A stepover wider than this lean's cut counts as one just as
 *                           wide as it
 */
void kernel_ridges(const double *along, const double *across, double radius, double stepover,
    double *ridge, size_t count);

#endif
