/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_TRIALS_ORDER_H
#define CORE_TRIALS_ORDER_H

/**
 * Order statistics of the trials.
 */

#include <stddef.h>

/** Sort finite values ascending, fewer than 2³² of them; `scratch` is as long as `values`. */
void order_sort(double *values, double *scratch, size_t count);

/**
 * Ranks that a 95 % interval spans (JCGM 101:2008, 7.7.2): q, the nearest whole number to 0.95 M.
 */
size_t order_span(size_t count);

/**
 * Shortest of the intervals low[i] to high[i] (7.7.4); the first of equals.
 *
 * Given:    low    the `count` least values, ascending
 *           high   as many values q ranks higher
 */
size_t order_shortest(const double *low, const double *high, size_t count);

#endif
