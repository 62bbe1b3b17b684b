/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <gsl/gsl_integration.h>

#include <perpend/status.h>

#include "core/ridge/ridge_profile.h"
#include "core/ridge/ridge_search.h"

bool ridge_cutter_valid(const struct perpend_cutter *cutter)
{
    return isfinite(cutter->diameter) && cutter->diameter > 0.0 && cutter->corner >= 0.0 &&
           cutter->corner <= cutter->diameter / 2.0;
}

bool ridge_facing_valid(const struct perpend_facing *facing)
{
    return isfinite(facing->stepover) && facing->stepover > 0.0 &&
           (facing->both_ways || isfinite(facing->along)) &&
           (isnan(facing->depth) || facing->depth > 0.0);
}

/* The bearing of X is π/2 rounded, whose cosine is not quite 0. */
#define NO_COMPONENT 1e-15

struct perpend_slope ridge_feed(double along)
{
    struct perpend_slope feed = {sin(along), cos(along)};
    if (fabs(feed.right) < NO_COMPONENT)
        feed = (struct perpend_slope){0.0, copysign(1.0, feed.back)};
    if (fabs(feed.back) < NO_COMPONENT)
        feed = (struct perpend_slope){copysign(1.0, feed.right), 0.0};
    return feed;
}

bool ridge_profile_make(struct perpend_slope lean, const struct perpend_cutter *cutter,
    double along, struct ridge_profile *profile)
{
    struct perpend_slope feed = ridge_feed(along);
    double tf = lean.right * feed.right + lean.back * feed.back;
    double tl = lean.right * feed.back - lean.back * feed.right; /* l = f × Z */
    double m = 1.0 + tf * tf;
    double k = sqrt(m + tl * tl);
    double rho = (cutter->diameter / 2.0 - cutter->corner) * sqrt(m) / k;
    *profile = (struct ridge_profile){
        .a = fabs(tl) / m,
        .b = fabs(tf) * k / m,
        .c = hypot(tf, tl) / sqrt(m),
        .rho = rho,
        .corner = cutter->corner,
        .reach = rho + cutter->corner,
        .mirrored = tl < 0.0,
    };
    return isfinite(along) && isfinite(k);
}

/* √(ρ² − q²), the edge's other coordinate. */
static double edge_y(const struct ridge_profile *profile, double q)
{
    return sqrt(fmax(0.0, (profile->rho - q) * (profile->rho + q)));
}

/* Height of the disc's edge at q over its lowest point: C ρ (1 − cos(angle to the lowest point)),
   written so that nothing cancels near it. */
static double disc_height(const struct ridge_profile *profile, double q, double y)
{
    double cosine = profile->a * q + profile->b * y;
    double sine = profile->b * q - profile->a * y;
    double most = profile->c * profile->rho;
    if (cosine <= 0.0)
        return most - cosine;
    return sine * sine / (most + cosine);
}

/* A place on the disc's edge by t = tan α/2, where q = ρ sin α: smooth right up to both ends. */
struct contact {
    double q, y; /* mm; y = ρ cos α */
};

static struct contact contact_at(const struct ridge_profile *profile, double t)
{
    double share = profile->rho / (1.0 + t * t);
    return (struct contact){2.0 * t * share, (1.0 - t) * (1.0 + t) * share};
}

static double half_tangent(const struct ridge_profile *profile, double q)
{
    return profile->rho > 0.0 ? q / (profile->rho + edge_y(profile, q)) : 0.0;
}

struct corner_search {
    const struct ridge_profile *profile;
    double p;
};

/* Slope of the disc's edge at q less that of the corner circle round it at p, times both cosines so
   that it stays finite: it rises through 0 where the circle touches. */
static double corner_mismatch(double t, const void *context)
{
    const struct corner_search *search = context;
    const struct ridge_profile *profile = search->profile;
    struct contact at = contact_at(profile, t);
    double c = profile->corner, d = search->p - at.q;
    double corner_cosine = sqrt(fmax(0.0, (c - d) * (c + d)));
    return (profile->b * at.q - profile->a * at.y) * corner_cosine - d * at.y;
}

/* With a corner the height at p is the least over q of the disc's height at q plus the corner
   circle's rise from there to p; both convex, so one root of the derivative. It lies between the
   place of the edge that is nearest to p and the place where the circle would touch were the edge as
   steep as there. The height being the least, half the digits of t give all of its own. */
static double corner_height(const struct ridge_profile *profile, double p)
{
    double a = profile->a, c = profile->corner, rho = profile->rho;
    struct contact at = {fmin(fmax(p, -rho), rho), 0.0};
    if (profile->b > 0.0) {
        double y = edge_y(profile, at.q), slope = profile->b * at.q - a * y; /* times y */
        double far = p - c * slope / sqrt(slope * slope + y * y);
        far = fmin(fmax(far, -rho), rho);
        struct corner_search search = {profile, p};
        double low = half_tangent(profile, fmin(at.q, far));
        double high = half_tangent(profile, fmax(at.q, far));
        at = contact_at(profile, search_root(corner_mismatch, &search, low, high, 1e-10));
    } else { /* the edge is a straight line */
        at.q = fmin(fmax(p + c * a / sqrt(1.0 + a * a), -rho), rho);
        at.y = edge_y(profile, at.q);
    }
    double d = fmin(fabs(p - at.q), c);
    return disc_height(profile, at.q, at.y) + d * d / (c + sqrt((c - d) * (c + d)));
}

double ridge_profile_height(const struct ridge_profile *profile, double p)
{
    p = fmin(fmax(p, -profile->reach), profile->reach);
    return profile->corner > 0.0 ? corner_height(profile, p)
                                 : disc_height(profile, p, edge_y(profile, p));
}

/* The edge of a disc is an arc of an ellipse. Neighbouring passes cross where a level chord as long
   as the stepover ends on it at both sides; half of that chord, seen square to the line from the
   ellipse's centre to the lowest point and with the ellipse made round, is w. */
static void disc_cell(const struct ridge_profile *profile, double stepover, struct ridge_cell *cell)
{
    double a = profile->a, b = profile->b, c = profile->c, rho = profile->rho;
    if (b > 0.0 && stepover * c * c <= 2.0 * rho * b * b) {
        double w = stepover * c / (2.0 * b);
        double root = sqrt(fmax(0.0, (rho - w) * (rho + w)));
        double middle = a / c * root;
        cell->left = fmax(middle - stepover / 2.0, -rho);
        cell->right = fmin(middle + stepover / 2.0, rho);
        cell->height = c * w * w / (rho + root);
        return;
    }
    cell->right = c > 0.0 ? rho : stepover / 2.0;
    cell->left = cell->right - stepover;
    cell->height = disc_height(profile, cell->left, edge_y(profile, cell->left));
}

/* A point on the side that rises, by v from 0, the lowest point, to 1, the end: v² is the tangent of
   half the angle at which the profile stands there. Disc and corner in one, with no kink between. */
struct rising {
    double p, height; /* mm */
};

static struct rising rising_at(const struct ridge_profile *profile, double v)
{
    double half = v * v, w = 1.0 + half * half;
    double sine = 2.0 * half / w, cosine = (1.0 - half) * (1.0 + half) / w;
    double x = sine + profile->a * cosine, y = profile->b * cosine, size = hypot(x, y);
    double q = profile->rho * x / size; /* where the disc's edge stands at that angle */
    return (struct rising){
        .p = q + profile->corner * sine,
        .height = disc_height(profile, q, profile->rho * y / size) + profile->corner * sine * half,
    };
}

struct crossing_search {
    const struct ridge_profile *profile;
    double stepover;
};

static double crossing_mismatch(double v, const void *context)
{
    const struct crossing_search *search = context;
    struct rising right = rising_at(search->profile, v);
    return right.height - ridge_profile_height(search->profile, right.p - search->stepover);
}

/* With a corner: where this pass rises through its neighbour's, a stepover away; where it does not,
   it is the lower one as far as it goes. An upright bit's disc cuts flat, and only past its edge do
   the corners leave a cusp. */
static void corner_cell(
    const struct ridge_profile *profile, double stepover, struct ridge_cell *cell)
{
    if (!(profile->c > 0.0)) {
        double c = profile->corner, d = fmin(fmax(0.0, stepover / 2.0 - profile->rho), c);
        *cell = (struct ridge_cell){
            -stepover / 2.0, stepover / 2.0, d * d / (c + sqrt((c - d) * (c + d)))};
        return;
    }
    struct crossing_search search = {profile, stepover};
    double v = search_root(crossing_mismatch, &search, 0.0, 1.0, SEARCH_LAST_DIGIT);
    struct rising right = rising_at(profile, v);
    cell->right = right.p;
    cell->left = right.p - stepover;
    cell->height = v < 1.0 ? right.height : ridge_profile_height(profile, cell->left);
}

enum perpend_status ridge_profile_cell(
    const struct ridge_profile *profile, double stepover, struct ridge_cell *cell)
{
    if (stepover > 2.0 * profile->reach)
        return PERPEND_ERR_STEPOVER;
    if (profile->corner > 0.0)
        corner_cell(profile, stepover, cell);
    else
        disc_cell(profile, stepover, cell);
    return PERPEND_OK;
}

/* Place of the profile's lowest point. */
static double lowest_place(const struct ridge_profile *profile)
{
    return profile->c > 0.0 ? profile->rho * profile->a / profile->c : 0.0;
}

struct level {
    const struct ridge_profile *profile;
    double height;
};

static double over_level(double p, const void *context)
{
    const struct level *level = context;
    return ridge_profile_height(level->profile, p) - level->height;
}

/* Where the profile reaches a level between its lowest point and one end, or that end. */
static double level_place(const struct level *level, double end)
{
    return search_root(over_level, level, lowest_place(level->profile), end, SEARCH_LAST_DIGIT);
}

double ridge_profile_width(const struct ridge_profile *profile, double height)
{
    struct level level = {profile, height};
    return level_place(&level, profile->reach) - level_place(&level, -profile->reach);
}

static double integrand(double p, void *context)
{
    return over_level(p, context);
}

/* ∫ over_level dp. Halves a piece until its error does not count: an edge may end steeply, and where
   the corner meets the disc it may be bent as sharply as a kink. */
static double piece(struct level *level, double low, double high, int depth)
{
    gsl_function function = {integrand, level};
    double sum, error, size, deviation;
    if (low >= high)
        return 0.0;
    gsl_integration_qk21(&function, low, high, &sum, &error, &size, &deviation);
    if (depth == 0 || error <= 1e-12 * size + 1e-16)
        return sum;
    double middle = (low + high) / 2.0;
    return piece(level, low, middle, depth - 1) + piece(level, middle, high, depth - 1);
}

/* In three pieces, so that no narrow corner is missed: those rolled round the disc's ends, and what
   lies between. */
static double area(struct level *level, double low, double high)
{
    const int depth = 24;
    const struct ridge_profile *profile = level->profile;
    double middle = -profile->corner * profile->a / sqrt(1.0 + profile->a * profile->a);
    double first = fmin(fmax(middle - profile->rho, low), high);
    double second = fmin(fmax(middle + profile->rho, low), high);
    return piece(level, low, first, depth) + piece(level, first, second, depth) +
           piece(level, second, high, depth);
}

double ridge_profile_ra(const struct ridge_profile *profile, const struct ridge_cell *cell)
{
    double stepover = cell->right - cell->left;
    if (!(cell->height > 0.0))
        return 0.0;
    struct level level = {profile, 0.0};
    level.height = area(&level, cell->left, cell->right) / stepover;
    double left = level_place(&level, cell->left), right = level_place(&level, cell->right);
    /* as much lies under the mean line as over it, and what is under it is one piece */
    return fmax(0.0, -2.0 * area(&level, left, right) / stepover);
}

double ridge_profile_radius(const struct ridge_profile *profile)
{
    return profile->b > 0.0 ? profile->rho / profile->b + profile->corner : INFINITY;
}
