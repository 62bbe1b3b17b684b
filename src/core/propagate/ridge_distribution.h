/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef RIDGE_DISTRIBUTION_H
#define RIDGE_DISTRIBUTION_H

/** The points that a distribution is carried through by. */

#include <perpend/distribution.h>

/** A lattice of points in the unit square: ((i + 1/2)/points, i generator/points mod 1). Both are Fibonacci
 *  numbers, one after the other. */
struct lattice {
    long points, generator;
};
#define LATTICE_OF_89 ((struct lattice){89, 55})
#define LATTICE_OF_233 ((struct lattice){233, 144})
#define LATTICE_OF_987 ((struct lattice){987, 610})
#define LATTICE_OF_1597 ((struct lattice){1597, 987})

/**
 * Leans off the middle that stand for a distribution, each as likely as the next.
 *
 * Given:    feed  a unit vector; turned with it the leans turn with the world
 * Returned: off   one a point of the lattice
 */
void lattice_leans(const struct perpend_slope_covariance *covariance, double dof,
    struct perpend_slope feed, struct lattice lattice, struct perpend_slope *off);

/** As perpend_ridge_distribution, from the points of a lattice: by 1,597 the chance to about 0.002, the interval to
 *  a tenth of u, where only a word follows from it ("likely"). */
enum perpend_status ridge_distribution_by(struct lattice lattice,
    const struct perpend_uncertain_lean *lean, const struct perpend_cutter *cutter,
    const struct perpend_facing *facing, const struct perpend_goal *goal,
    struct perpend_distribution *distribution);

#endif
