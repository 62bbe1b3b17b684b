/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_RIDGE_SEARCH_H
#define CORE_RIDGE_SEARCH_H

/** A function of one variable, with what it needs to know. */
typedef double search_function(double x, const void *context);

/** As near as numbers of this size lie to each other. */
#define SEARCH_LAST_DIGIT 1e-19

/**
 * Root of a continuous function between two places.
 *
 * Given:    function, context
 *           from        where the function is ≤ 0
 *           to          where it is ≥ 0; may be below `from`
 *           share       how near the root is to be found, as a share of the way; SEARCH_LAST_DIGIT
 * Value:    the root; the end itself when the sign there is not as it should be, so that what never
 *           reaches 0 ends there
 * Source:   R. P. Brent, "Algorithms for Minimization without Derivatives" (1973), chapter 4, by GSL.
 *           Its state lies on the stack, signs at the ends are seen to and a value that is no number
 *           counts as a root: nothing is left to call GSL's error handler for.
 */
double search_root(
    search_function *function, const void *context, double from, double to, double share);

#endif
