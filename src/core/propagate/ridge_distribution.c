/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include <perpend/distribution.h>
#include <perpend/units.h>

#include "core/propagate/ridge_distribution.h"
#include "core/ridge/ridge_profile.h"

/* A Fibonacci lattice: the points ((i + 1/2)/F_n, i F_{n-1}/F_n mod 1), the best rank-1 lattice of the
   plane (Niederreiter, Random Number Generation and Quasi-Monte Carlo Methods, 1992, chapter 5, from
   memory). Whole numbers, so that every machine has the same points. */
static const struct lattice fine = {17711, 10946};

#define COVERED 0.95 /* share of the distribution in the interval */
/* A curve that is flat on top has many intervals of nearly the least length: so much more counts as
   the same, and the middle one is taken, which wanders less than the very shortest. */
#define ALIKE 1.002

static bool is_valid(const struct perpend_uncertain_lean *lean)
{
    const struct perpend_slope_covariance *c = &lean->covariance;
    double both = c->right_back * c->right_back, most = c->right_right * c->back_back;
    /* a correlation of ±1 may come out a few digits beyond */
    return isfinite(lean->lean.right) && isfinite(lean->lean.back) && isfinite(both) &&
           isfinite(most) && lean->dof > 2.0 && c->right_right >= 0.0 && c->back_back >= 0.0 &&
           both <= most * (1.0 + 1e-9) + DBL_MIN;
}

/* A lean so large that the cut is narrower than the stepover leaves the ridge of the widest one. */
static double one_way(
    struct perpend_slope lean, const struct perpend_cutter *cutter, double stepover, double along)
{
    struct ridge_profile profile;
    struct ridge_cell cell;
    ridge_profile_make(lean, cutter, along, &profile);
    ridge_profile_cell(&profile, fmin(stepover, 2.0 * profile.reach), &cell);
    return cell.height;
}

static double ridge_of(struct perpend_slope lean, const struct perpend_cutter *cutter,
    const struct perpend_facing *facing)
{
    if (!facing->both_ways)
        return one_way(lean, cutter, facing->stepover, facing->along);
    return fmax(one_way(lean, cutter, facing->stepover, PERPEND_ALONG_X),
        one_way(lean, cutter, facing->stepover, PERPEND_ALONG_Y));
}

/* Two numbers of variance 1 at one of the lattice's points. The radius of a bivariate t with ν degrees of freedom and
   the unit matrix for its scale exceeds √(ν((1 − u)^(−2/ν) − 1)) with the chance 1 − u, every angle
   alike (Kotz and Nadarajah, Multivariate t Distributions, 2004, from memory); its covariance is
   ν/(ν − 2). For ν without end: √(−2 ln(1 − u)). */
static void lattice_point(
    const struct lattice *lattice, long i, double dof, double *one, double *two)
{
    double points = (double)lattice->points, u = ((double)i + 0.5) / points;
    double turn = 2.0 * PERPEND_PI * (double)(i * lattice->generator % lattice->points) / points;
    double square = -2.0 * log1p(-u);
    double radius = sqrt(isinf(dof) ? square : (dof - 2.0) * expm1(square / dof));
    *one = radius * cos(turn);
    *two = radius * sin(turn);
}

void lattice_leans(const struct perpend_slope_covariance *covariance, double dof,
    struct perpend_slope feed, struct lattice lattice, struct perpend_slope *off)
{
    const struct perpend_slope_covariance *c = covariance;
    const double f = feed.right, g = feed.back;
    double along = f * f * c->right_right + 2.0 * f * g * c->right_back + g * g * c->back_back;
    double across = g * g * c->right_right - 2.0 * f * g * c->right_back + f * f * c->back_back;
    double both = f * g * (c->right_right - c->back_back) + (g * g - f * f) * c->right_back;
    double root = sqrt(fmax(0.0, along)), shared = root > 0.0 ? both / root : 0.0;
    double rest = sqrt(fmax(0.0, across - shared * shared)), one, two;
    for (long i = 0; i < lattice.points; i++) {
        lattice_point(&lattice, i, dof, &one, &two);
        double lengthwise = root * one, sideways = shared * one + rest * two;
        off[i] =
            (struct perpend_slope){f * lengthwise + g * sideways, g * lengthwise - f * sideways};
    }
}

static int in_order(const void *a, const void *b)
{
    const double *one = a, *other = b;
    return (*one > *other) - (*one < *other);
}

static void shortest_interval(double *ridge, long count, struct perpend_distribution *d)
{
    const long span = (long)(COVERED * (double)count + 0.5);
    long found = 0, first = 0, last = 0;
    double least = INFINITY;
    qsort(ridge, (size_t)count, sizeof *ridge, in_order);
    for (long i = 0; i + span < count; i++)
        least = fmin(least, ridge[i + span] - ridge[i]);
    for (long i = 0; i + span < count; i++) {
        if (ridge[i + span] - ridge[i] <= least * ALIKE) {
            first = found++ == 0 ? i : first;
            last = i;
        }
    }
    d->low = ridge[(first + last) / 2];
    d->high = ridge[(first + last) / 2 + span];
}

enum perpend_status ridge_distribution_by(struct lattice lattice,
    const struct perpend_uncertain_lean *lean, const struct perpend_cutter *cutter,
    const struct perpend_facing *facing, const struct perpend_goal *goal,
    struct perpend_distribution *distribution)
{
    struct perpend_distribution d = {.chance = NAN};
    double height, squares = 0.0;
    long good = 0;
    /* the ridge's own errors: bit and facing out of range, stripes */
    enum perpend_status status = perpend_ridge_facing(lean->lean, cutter, facing, &height);
    if (status != PERPEND_OK)
        return status;
    if (!is_valid(lean))
        return PERPEND_ERR_VALUE;
    struct perpend_slope *off = malloc((size_t)lattice.points * (sizeof *off + sizeof(double)));
    if (off == NULL)
        return PERPEND_ERR_MEMORY;
    double *ridge = (double *)(off + lattice.points);
    lattice_leans(&lean->covariance, lean->dof,
        ridge_feed(facing->both_ways ? PERPEND_ALONG_X : facing->along), lattice, off);
    for (long i = 0; i < lattice.points; i++) { /* Welford's running update */
        struct perpend_slope it = {lean->lean.right + off[i].right, lean->lean.back + off[i].back};
        ridge[i] = ridge_of(it, cutter, facing);
        double from = ridge[i] - d.mean;
        d.mean += from / (double)(i + 1);
        squares += from * (ridge[i] - d.mean);
        good += perpend_goal_kept(goal, ridge[i], it);
    }
    d.deviation = sqrt(squares / (double)lattice.points);
    if (perpend_goal_is_set(goal))
        d.chance = (double)good / (double)lattice.points;
    shortest_interval(ridge, lattice.points, &d);
    free(off);
    *distribution = d;
    return PERPEND_OK;
}

enum perpend_status perpend_ridge_distribution(const struct perpend_uncertain_lean *lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, struct perpend_distribution *distribution)
{
    return ridge_distribution_by(fine, lean, cutter, facing, goal, distribution);
}
