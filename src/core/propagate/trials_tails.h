/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_TRIALS_TAILS_H
#define CORE_TRIALS_TAILS_H

/**
 * The shortest 95 % interval of a sample of which only the tails are at hand, unsorted, without
 * sorting more of them than it takes: values are counted into bins, the bins bound how long each
 * interval can be, and only what lies in bins that may hold the ends of the shortest one is sorted.
 * Exact all the same.
 */

#include <stdbool.h>
#include <stddef.h>

#include "core/propagate/trials_kernel.h"

/* Bins for each tail. */
#define TAILS_BINS 512

/**
 * Bins for a sample whose tails are about there. Bears on nothing but the speed.
 *
 * Given:    low_from < low_to < high_from < high_to   of most values of the low and the high tail
 * Value:    false when they are not so; then there is nothing to win
 */
bool tails_bins_make(
    double low_from, double low_to, double high_from, double high_to, struct kernel_bins *bins);

struct tails_list {
    const double *values;
    const int *bin; /* by kernel_bin */
    size_t count;
};

/**
 * Given:    bins
 *           coarser            powers of two that bins are taken together by, 0 to 8
 *           lists, list_count  the tails, in any number of pieces
 *           trials             size of the whole sample, at least TRIALS_FEWEST
 *           work               room for twice as many values as there are in the lists, and two
 * Returned: low, high          the ends of the first of the shortest intervals
 * Value:    false when the tails do not reach far enough in, and nothing is returned
 */
bool tails_shortest_interval(const struct kernel_bins *bins, int coarser,
    const struct tails_list *lists, size_t list_count, size_t trials, double *work, double *low,
    double *high);

#endif
