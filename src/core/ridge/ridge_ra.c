/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "core/ridge/ridge_profile.h"
#include "core/ridge/ridge_search.h"

/* Gauss–Legendre, 16 points, positive half (Abramowitz & Stegun, table 25.4, from memory; the unit
   test integrates polynomials of degree 31 with it). */
#define GAUSS_HALF 8
static const double gauss_node[GAUSS_HALF] = {0.0950125098376374402, 0.281603550779258913,
    0.458016777657227386, 0.617876244402643748, 0.755404408355003034, 0.865631202387831744,
    0.944575023073232576, 0.989400934991649933};
static const double gauss_weight[GAUSS_HALF] = {0.189450610455068496, 0.182603415044923589,
    0.169156519395002538, 0.149595988816576732, 0.124628971255533872, 0.0951585116824927848,
    0.0622535239386478929, 0.0271524594117540949};

static double gauss(const struct ridge_profile *profile, double low, double high)
{
    double middle = (low + high) / 2.0, half = (high - low) / 2.0, sum = 0.0;
    for (int i = 0; i < GAUSS_HALF; i++)
        sum += gauss_weight[i] * (ridge_profile_height(profile, middle - half * gauss_node[i]) +
                                     ridge_profile_height(profile, middle + half * gauss_node[i]));
    return sum * half;
}

/* Halves the piece until the halves agree with the whole; the corner's seam with the disc may be as
   sharp as a kink, so pieces shrink toward it. */
static double refined(
    const struct ridge_profile *profile, double low, double high, double whole, int depth)
{
    double middle = (low + high) / 2.0;
    double left = gauss(profile, low, middle), right = gauss(profile, middle, high);
    double sum = left + right;
    if (depth == 0 || fabs(sum - whole) <= 1e-12 * fabs(sum) + 1e-15)
        return sum;
    return refined(profile, low, middle, left, depth - 1) +
           refined(profile, middle, high, right, depth - 1);
}

static double corner_area(const struct ridge_profile *profile, double low, double high)
{
    return refined(profile, low, high, gauss(profile, low, high), 24);
}

/* ∫ height dp of the disc's edge from the profile's middle to p. */
static double disc_area_to(const struct ridge_profile *profile, double p)
{
    double rho = profile->rho;
    double y = sqrt(fmax(0.0, (rho - p) * (rho + p)));
    return profile->c * rho * p - profile->a * p * p / 2.0 -
           profile->b / 2.0 * (p * y + rho * rho * atan2(p, y));
}

static double area(const struct ridge_profile *profile, double low, double high)
{
    if (profile->corner > 0.0)
        return corner_area(profile, low, high);
    return disc_area_to(profile, high) - disc_area_to(profile, low);
}

/* Where the disc's edge is at a height: two ends of a level chord (see ridge_disc_cell). */
static void disc_level(const struct ridge_profile *profile, double height,
    const struct ridge_cell *cell, double *left, double *right)
{
    double fall = height / profile->c;
    double d = profile->rho - fall;
    double w = sqrt(fmax(0.0, fall * (2.0 * profile->rho - fall)));
    double sine = profile->a / profile->c, cosine = profile->b / profile->c;
    *left = fmax(d * sine - w * cosine, cell->left);
    *right = fmin(d * sine + w * cosine, cell->right);
    if (d * cosine - w * sine < 0.0) /* past the end of the edge */
        *right = cell->right;
}

struct level {
    const struct ridge_profile *profile;
    double height;
};

static double level_mismatch(double p, const void *context)
{
    const struct level *level = context;
    return ridge_profile_height(level->profile, p) - level->height;
}

static void corner_level(const struct ridge_profile *profile, double height,
    const struct ridge_cell *cell, double *left, double *right)
{
    struct level level = {profile, height};
    double lowest = profile->c > 0.0 ? profile->rho * profile->a / profile->c : 0.0;
    lowest = fmin(fmax(lowest, cell->left), cell->right);
    double at_lowest = level_mismatch(lowest, &level);
    *left = search_root(
        level_mismatch, &level, cell->left, lowest, level_mismatch(cell->left, &level), at_lowest);
    double at_right = level_mismatch(cell->right, &level);
    *right = at_right <= 0.0
                 ? cell->right
                 : search_root(level_mismatch, &level, lowest, cell->right, at_lowest, at_right);
}

double ridge_profile_ra(const struct ridge_profile *profile, const struct ridge_cell *cell)
{
    double stepover = cell->right - cell->left;
    if (!(cell->height > 0.0))
        return 0.0;
    double mean = area(profile, cell->left, cell->right) / stepover;
    double left, right;
    if (profile->corner > 0.0)
        corner_level(profile, mean, cell, &left, &right);
    else
        disc_level(profile, mean, cell, &left, &right);
    /* as much lies under the mean line as over it, and what is under it is one piece */
    double under = mean * (right - left) - area(profile, left, right);
    return fmax(0.0, 2.0 * under / stepover);
}
