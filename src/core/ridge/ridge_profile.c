/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/status.h>

#include "core/ridge/ridge_corner.h"
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

/* Height of the disc's edge at q over its lowest point: C ρ (1 − cos(angle to the lowest point)),
   written so that nothing cancels near it. */
static double disc_height(const struct ridge_profile *profile, double q)
{
    double y = sqrt(fmax(0.0, (profile->rho - q) * (profile->rho + q)));
    double cosine = profile->a * q + profile->b * y;
    double sine = profile->b * q - profile->a * y;
    double most = profile->c * profile->rho;
    if (cosine <= 0.0)
        return most - cosine;
    return sine * sine / (most + cosine);
}

struct corner_search {
    const struct ridge_profile *profile;
    double p;
};

/* Slope of the disc's edge at q less that of the corner circle round it at p, times both cosines so
   that it stays finite: it rises through 0 where the circle touches. */
static double corner_mismatch(double q, const void *context)
{
    const struct corner_search *search = context;
    const struct ridge_profile *profile = search->profile;
    double c = profile->corner, d = search->p - q;
    double disc_cosine = sqrt(fmax(0.0, (profile->rho - q) * (profile->rho + q)));
    double corner_cosine = sqrt(fmax(0.0, (c - d) * (c + d)));
    return (profile->b * q - profile->a * disc_cosine) * corner_cosine - d * disc_cosine;
}

/* With a corner the height at p is the least over q of the disc's height at q plus the corner
   circle's rise from there to p; both convex, so one root of the derivative. */
static double corner_height(const struct ridge_profile *profile, double p)
{
    double c = profile->corner;
    double low = fmax(-profile->rho, p - c), high = fmin(profile->rho, p + c);
    struct corner_search search = {profile, p};
    double q;
    if (profile->b > 0.0) {
        q = search_root(corner_mismatch, &search, low, high, corner_mismatch(low, &search),
            corner_mismatch(high, &search));
    } else { /* the edge is a straight line */
        q = p + c * profile->a / sqrt(1.0 + profile->a * profile->a);
        q = fmin(fmax(q, low), high);
    }
    double d = fmin(fabs(p - q), c);
    return disc_height(profile, q) + d * d / (c + sqrt((c - d) * (c + d)));
}

double ridge_profile_height(const struct ridge_profile *profile, double p)
{
    p = fmin(fmax(p, -profile->reach), profile->reach);
    return profile->corner > 0.0 ? corner_height(profile, p) : disc_height(profile, p);
}

/* The edge of a disc is an arc of an ellipse. Neighbouring passes cross where a level chord as long
   as the stepover ends on it at both sides; half of that chord, seen square to the line from the
   ellipse's centre to the lowest point and with the ellipse made round, is w. */
void ridge_disc_cell(const struct ridge_profile *profile, double stepover, struct ridge_cell *cell)
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
    cell->height = disc_height(profile, cell->left);
}

enum perpend_status ridge_profile_cell(
    const struct ridge_profile *profile, double stepover, struct ridge_cell *cell)
{
    if (stepover > 2.0 * profile->reach)
        return PERPEND_ERR_STEPOVER;
    if (profile->corner > 0.0)
        ridge_corner_cell(profile, stepover, cell);
    else
        ridge_disc_cell(profile, stepover, cell);
    return PERPEND_OK;
}

struct level_search {
    const struct ridge_profile *profile;
    double height;
};

static double level_mismatch(double p, const void *context)
{
    const struct level_search *search = context;
    return ridge_profile_height(search->profile, p) - search->height;
}

/* Place of the profile's lowest point. */
static double lowest_place(const struct ridge_profile *profile)
{
    return profile->c > 0.0 ? profile->rho * profile->a / profile->c : 0.0;
}

/* Where the profile reaches a height on one side of its lowest point, or its end there. */
static double level_place(const struct ridge_profile *profile, double height, double end)
{
    struct level_search search = {profile, height};
    double at_end = level_mismatch(end, &search);
    if (at_end <= 0.0)
        return end;
    return search_root(level_mismatch, &search, lowest_place(profile), end, -height, at_end);
}

double ridge_profile_width(const struct ridge_profile *profile, double height)
{
    return level_place(profile, height, profile->reach) -
           level_place(profile, height, -profile->reach);
}

double ridge_profile_radius(const struct ridge_profile *profile)
{
    return profile->b > 0.0 ? profile->rho / profile->b + profile->corner : INFINITY;
}
