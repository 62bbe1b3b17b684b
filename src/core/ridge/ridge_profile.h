/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_RIDGE_PROFILE_H
#define CORE_RIDGE_PROFILE_H

/**
 * The profile that one pass cuts, seen along the feed, and the floor that its copies leave a
 * stepover apart. docs/method.md, "The ridge", has the derivations.
 *
 * The disc's lower edge is z(q) = −A q − B √(ρ² − q²), |q| ≤ ρ; a corner radius c makes it the
 * lower edge of that silhouette with a circle of radius c rolled round it. Offsets p and q are
 * lateral, mm, toward the side that the disc dips to, so A ≥ 0; heights are over the lowest point.
 */

#include <stdbool.h>

#include <perpend/geometry.h>
#include <perpend/ridge.h>
#include <perpend/status.h>

struct ridge_profile {
    double a;      /* A ≥ 0: slope of the chord that joins the disc's two ends */
    double b;      /* B ≥ 0: hollowness */
    double c;      /* √(A² + B²) */
    double rho;    /* ρ, half the width of the disc's silhouette, mm */
    double corner; /* mm */
    double reach;  /* ρ + corner: half the width of the cut, mm */
    bool mirrored; /* the dip is on the side of −l */
};

/** The pass's own part of the floor: from `left` to `left` + stepover. */
struct ridge_cell {
    double left, right; /* p, mm */
    double height;      /* at the left end, over the lowest point, mm: the ridge */
};

/** Whether a lean, a cutter, a stepover and a feed bearing are fit to work with. */
bool ridge_cutter_valid(const struct perpend_cutter *cutter);
bool ridge_facing_valid(const struct perpend_facing *facing);

/** Feed direction f in (right, back); exactly along an axis for X and Y. */
struct perpend_slope ridge_feed(double along);

/** Profile for a valid cutter; false when lean or along is not finite. */
bool ridge_profile_make(struct perpend_slope lean, const struct perpend_cutter *cutter,
    double along, struct ridge_profile *profile);

/** Height of the pass at p over its lowest point, mm; p is brought inside ±reach. */
double ridge_profile_height(const struct ridge_profile *profile, double p);

/** The part of the floor that each pass leaves. PERPEND_ERR_STEPOVER when it is wider than the cut.
 */
enum perpend_status ridge_profile_cell(
    const struct ridge_profile *profile, double stepover, struct ridge_cell *cell);

/** Mean height deviation from the mean line over a cell, mm. */
double ridge_profile_ra(const struct ridge_profile *profile, const struct ridge_cell *cell);

/** How wide the pass is at a height over its lowest point, mm. */
double ridge_profile_width(const struct ridge_profile *profile, double height);

/** Curvature radius across the feed in the middle of the pass, mm; infinite when B is 0. */
double ridge_profile_radius(const struct ridge_profile *profile);

#endif
