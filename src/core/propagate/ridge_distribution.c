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

/* Leans along the feed and across it: the one found, and a triangular root of the covariance, by
   which two numbers of variance 1 become the rest; the facing and the goal. */
struct plane {
    double along, across;
    double along_1, across_1, across_2;
    double dof;
    const struct perpend_cutter *cutter;
    const struct perpend_facing *facing;
    const struct perpend_goal *goal;
};

static enum perpend_status plane_make(const struct perpend_uncertain_lean *lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, struct plane *plane)
{
    const struct perpend_slope_covariance *c = &lean->covariance;
    double height;
    enum perpend_status status = perpend_ridge_facing(lean->lean, cutter, facing, &height);
    if (status != PERPEND_OK)
        return status;
    struct perpend_slope feed = ridge_feed(facing->both_ways ? PERPEND_ALONG_X : facing->along);
    double f = feed.right, g = feed.back;
    double along = f * f * c->right_right + 2.0 * f * g * c->right_back + g * g * c->back_back;
    double across = g * g * c->right_right - 2.0 * f * g * c->right_back + f * f * c->back_back;
    double both = f * g * (c->right_right - c->back_back) + (g * g - f * f) * c->right_back;
    /* a correlation of ±1 may come out a few digits beyond */
    if (!isfinite(along) || !isfinite(across) || !isfinite(both) || !(lean->dof > 2.0) ||
        c->right_right < 0.0 || c->back_back < 0.0 ||
        both * both > along * across * (1.0 + 1e-9) + DBL_MIN)
        return PERPEND_ERR_VALUE;
    double root = sqrt(fmax(0.0, along)), shared = root > 0.0 ? both / root : 0.0;
    *plane = (struct plane){
        .along = lean->lean.right * f + lean->lean.back * g,
        .across = lean->lean.right * g - lean->lean.back * f,
        .along_1 = root,
        .across_1 = shared,
        .across_2 = sqrt(fmax(0.0, across - shared * shared)),
        .dof = lean->dof,
        .cutter = cutter,
        .facing = facing,
        .goal = goal,
    };
    return PERPEND_OK;
}

/* A lean so large that the cut is narrower than the stepover leaves the ridge of the widest one. */
static double one_way(const struct plane *plane, double along, double across)
{
    struct perpend_slope lean = {across, along};
    struct ridge_profile profile;
    struct ridge_cell cell;
    ridge_profile_make(lean, plane->cutter, PERPEND_ALONG_Y, &profile);
    ridge_profile_cell(&profile, fmin(plane->facing->stepover, 2.0 * profile.reach), &cell);
    return cell.height;
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

static double ridge_at(const struct plane *plane, const struct lattice *lattice, long i, bool *kept)
{
    double one, two;
    lattice_point(lattice, i, plane->dof, &one, &two);
    double along = plane->along + plane->along_1 * one;
    double across = plane->across + plane->across_1 * one + plane->across_2 * two;
    double ridge = one_way(plane, along, across);
    if (plane->facing->both_ways)
        ridge = fmax(ridge, one_way(plane, across, along));
    *kept = perpend_goal_kept(plane->goal, ridge, (struct perpend_slope){across, along});
    return ridge;
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

static enum perpend_status propagate(
    const struct plane *plane, const struct lattice *lattice, struct perpend_distribution *found)
{
    struct perpend_distribution d = {.chance = NAN};
    double squares = 0.0;
    long good = 0;
    bool kept = false;
    double *ridge = malloc((size_t)lattice->points * sizeof *ridge);
    if (ridge == NULL)
        return PERPEND_ERR_MEMORY;
    for (long i = 0; i < lattice->points; i++) { /* Welford's running update */
        ridge[i] = ridge_at(plane, lattice, i, &kept);
        double off = ridge[i] - d.mean;
        d.mean += off / (double)(i + 1);
        squares += off * (ridge[i] - d.mean);
        good += kept;
    }
    d.deviation = sqrt(squares / (double)lattice->points);
    if (perpend_goal_is_set(plane->goal))
        d.chance = (double)good / (double)lattice->points;
    shortest_interval(ridge, lattice->points, &d);
    free(ridge);
    *found = d;
    return PERPEND_OK;
}

enum perpend_status perpend_ridge_distribution(const struct perpend_uncertain_lean *lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, struct perpend_distribution *distribution)
{
    struct plane plane;
    enum perpend_status status = plane_make(lean, cutter, facing, goal, &plane);
    return status == PERPEND_OK ? propagate(&plane, &fine, distribution) : status;
}

enum perpend_status ridge_distribution_roughly(const struct perpend_uncertain_lean *lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, struct perpend_distribution *distribution)
{
    struct plane plane;
    enum perpend_status status = plane_make(lean, cutter, facing, goal, &plane);
    return status == PERPEND_OK ? propagate(&plane, &LATTICE_OF_1597, distribution) : status;
}

void lattice_leans(const struct perpend_slope_covariance *covariance, double dof,
    struct lattice lattice, struct perpend_slope *off)
{
    const struct perpend_slope_covariance *c = covariance;
    double root = sqrt(fmax(0.0, c->right_right)), shared = root > 0.0 ? c->right_back / root : 0.0;
    double rest = sqrt(fmax(0.0, c->back_back - shared * shared)), one, two;
    for (long i = 0; i < lattice.points; i++) {
        lattice_point(&lattice, i, dof, &one, &two);
        off[i] = (struct perpend_slope){root * one, shared * one + rest * two};
    }
}
