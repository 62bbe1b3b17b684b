/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_TRIALS_KERNEL_H
#define CORE_TRIALS_KERNEL_H

/**
 * The inner loops of the ridge trials, over short arrays that stay in the nearest cache and written
 * so that a compiler can turn them into vector code by itself.
 */

#include <stddef.h>

#include "core/propagate/trials_stream.h"

/* Trials that are worked on at a time. */
#define KERNEL_CHUNK 500

/** Standard normals, the same ones that perpend_stream_normal would give one by one. */
void kernel_normals(struct perpend_stream *stream, double *out, size_t count);

/** Two quantities that are linear in two standard normals. */
struct kernel_plane {
    double first, of_1, of_2; /* first + of_1 × normal 1 + of_2 × normal 2 */
    double second, and_1, and_2;
};

void kernel_leans(const struct kernel_plane *plane, const double *normal_1, const double *normal_2,
    double *first, double *second, size_t count);

/* What kernel_ridges_small asks: no lean beyond this, no stepover beyond that many radii. */
#define KERNEL_SMALL_LEAN 0.05
#define KERNEL_SMALL_STEPOVER 1.99

/**
 * Ridges of a disc without a corner radius.
 *
 * Given:    along, across     count leans along and across the feed, mm/mm, of either sign
 *           radius, stepover  mm
 * Returned: ridge             count, mm. A stepover wider than this lean's cut counts as one just
 * as wide as it
 */
void kernel_ridges(const double *along, const double *across, double radius, double stepover,
    double *ridge, size_t count);

/** The same, faster, under the bounds above; a lean half as much again costs no more than 1e-13. */
void kernel_ridges_small(const double *along, const double *across, double radius, double stepover,
    double *ridge, size_t count);

struct kernel_sums {
    double off;     /* Σ (value − pivot) */
    double squares; /* Σ (value − pivot)² */
    size_t under;   /* how many values are at or under the limit */
};

struct kernel_sums kernel_sum(const double *values, size_t count, double pivot, double limit);

/**
 * Copy out the values that are `reach` or more away from `middle`.
 *
 * Returned: out    room for count
 * Value:    how many
 */
size_t kernel_tails(const double *values, size_t count, double middle, double reach, double *out);

/** Equal bins on two stretches of the number line, numbered from below. */
struct kernel_bins {
    double middle;            /* of the line: values under it belong to the first stretch */
    double from[2], scale[2]; /* bin = (value − from) × scale, brought into the stretch's own */
    int bins;                 /* in a stretch; the second one's are numbered on from there */
};

void kernel_bin(const double *values, size_t count, const struct kernel_bins *bins, int *bin);

#endif
