/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_RIDGE_SEARCH_H
#define CORE_RIDGE_SEARCH_H

/**
 * One-dimensional searches on a bracket, without allocation and without an error handler.
 */

/** A function of one variable, with what it needs to know. */
typedef double search_function(double x, const void *context);

/**
 * Root of a continuous function that changes its sign over [low, high], to the last digits of x.
 *
 * Given:    function, context
 *           low, high            ends of the bracket, low ≤ high
 *           at_low, at_high      the function there; one of them ≤ 0, the other ≥ 0
 * Value:    the root; the nearer end when both have the same sign
 * Source:   R. P. Brent, "Algorithms for Minimization without Derivatives" (1973), chapter 4, in
 *           the form of Chandrupatla (Adv. Eng. Softw. 28, 1997), from memory.
 */
double search_root(search_function *function, const void *context, double low, double high,
    double at_low, double at_high);

/**
 * Least value of a function on [low, high]: a grid, then golden sections round the lowest grid
 * point. Finds the global minimum of a function that has at most one minimum to a grid step.
 *
 * Given:    steps     grid steps, ≥ 2
 * Returned: where     place of the least value; NULL when not wanted
 * Value:    the least value seen
 */
double search_least(search_function *function, const void *context, double low, double high,
    unsigned steps, double *where);

#endif
