/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/ridge.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "core/ridge/ridge_profile.h"

bool perpend_goal_is_set(const struct perpend_goal *goal)
{
    return !isnan(goal->ridge) || !isnan(goal->lean);
}

bool perpend_goal_kept(const struct perpend_goal *goal, double ridge, struct perpend_slope lean)
{
    return !(ridge > goal->ridge) && !(perpend_slope_size(lean) > goal->lean); /* NAN: never over */
}

/* The floor of one facing direction: profile and cell together. */
static enum perpend_status floor_make(struct perpend_slope lean,
    const struct perpend_cutter *cutter, double stepover, double along,
    struct ridge_profile *profile, struct ridge_cell *cell)
{
    if (!ridge_cutter_valid(cutter) || !isfinite(stepover) || stepover <= 0.0 ||
        !ridge_profile_make(lean, cutter, along, profile))
        return PERPEND_ERR_VALUE;
    return ridge_profile_cell(profile, stepover, cell);
}

enum perpend_status perpend_ridge_height(struct perpend_slope lean,
    const struct perpend_cutter *cutter, double stepover, double along, double *height)
{
    struct ridge_profile profile;
    struct ridge_cell cell;
    enum perpend_status status = floor_make(lean, cutter, stepover, along, &profile, &cell);
    if (status == PERPEND_OK)
        *height = cell.height;
    return status;
}

enum perpend_status perpend_ridge_facing(struct perpend_slope lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double *height)
{
    if (!ridge_facing_valid(facing))
        return PERPEND_ERR_VALUE;
    if (!facing->both_ways)
        return perpend_ridge_height(lean, cutter, facing->stepover, facing->along, height);
    double x, y;
    enum perpend_status status =
        perpend_ridge_height(lean, cutter, facing->stepover, PERPEND_ALONG_X, &x);
    if (status == PERPEND_OK)
        status = perpend_ridge_height(lean, cutter, facing->stepover, PERPEND_ALONG_Y, &y);
    if (status == PERPEND_OK)
        *height = fmax(x, y);
    return status;
}

enum perpend_status perpend_floor_height(struct perpend_slope lean,
    const struct perpend_cutter *cutter, double stepover, double along, double p, double *z)
{
    struct ridge_profile profile;
    struct ridge_cell cell;
    if (!isfinite(p))
        return PERPEND_ERR_VALUE;
    enum perpend_status status = floor_make(lean, cutter, stepover, along, &profile, &cell);
    if (status != PERPEND_OK)
        return status;
    if (profile.mirrored)
        p = -p;
    p -= stepover * floor((p - cell.left) / stepover);
    *z = ridge_profile_height(&profile, p);
    return PERPEND_OK;
}

/* Infinite where stripes would stand. */
static double height_along(
    struct perpend_slope lean, const struct perpend_cutter *cutter, double stepover, double along)
{
    double height;
    enum perpend_status status = perpend_ridge_height(lean, cutter, stepover, along, &height);
    return status == PERPEND_OK ? height : INFINITY;
}

/* Bearing of a line, which has no head or tail: in [0, π). */
static double line_bearing(double along)
{
    along = fmod(along, PERPEND_PI);
    if (along < 0.0)
        along += PERPEND_PI;
    /* a half turn but for rounding is none: a line has no ends */
    return PERPEND_PI - along > 1e-9 ? along : 0.0;
}

/* Along the lean the ridge is least (docs/method.md, "Best direction, limits, depth"); the direction asked for stays
   when the other is better by no more than rounding. */
static void best_direction(struct perpend_slope lean, const struct perpend_cutter *cutter,
    double stepover, double asked, struct perpend_ridge *ridge)
{
    double lengthwise = line_bearing(perpend_slope_toward(lean));
    double height = height_along(lean, cutter, stepover, lengthwise);
    bool better = height < ridge->height * (1.0 - 1e-9);
    ridge->best_along = better ? lengthwise : line_bearing(asked);
    ridge->best_height = better ? height : ridge->height;
}

/* What one pass cuts of a board that stands `depth` over the disc's lowest point. */
static void describe_pass(struct perpend_slope lean, const struct perpend_cutter *cutter,
    const struct ridge_profile *profile, double depth, struct perpend_ridge *ridge)
{
    double size = perpend_slope_size(lean);
    ridge->full_width = 2.0 * profile->reach;
    ridge->drop = cutter->diameter * size / hypot(1.0, size);
    double rise = profile->rho * (profile->a + profile->c) + profile->corner; /* to its high end */
    ridge->depth_short = rise > depth; /* not so when the depth is not stated */
    ridge->width = ridge->depth_short ? ridge_profile_width(profile, depth) : ridge->full_width;
    ridge->bottom_radius = ridge_profile_radius(profile);
}

enum perpend_status perpend_ridge_describe(struct perpend_slope lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    struct perpend_ridge *ridge)
{
    struct perpend_ridge result = {0};
    if (!ridge_facing_valid(facing))
        return PERPEND_ERR_VALUE;
    enum perpend_status status = perpend_ridge_facing(lean, cutter, facing, &result.height);
    if (status != PERPEND_OK)
        return status;

    result.along_x = height_along(lean, cutter, facing->stepover, PERPEND_ALONG_X);
    result.along_y = height_along(lean, cutter, facing->stepover, PERPEND_ALONG_Y);
    double along = facing->along;
    if (facing->both_ways)
        along = result.along_y > result.along_x ? PERPEND_ALONG_Y : PERPEND_ALONG_X;
    best_direction(lean, cutter, facing->stepover, along, &result);

    struct ridge_profile profile;
    struct ridge_cell cell;
    status = floor_make(lean, cutter, facing->stepover, along, &profile, &cell);
    if (status != PERPEND_OK)
        return status;
    result.ra = ridge_profile_ra(&profile, &cell);
    describe_pass(lean, cutter, &profile, facing->depth, &result);
    result.stripes = result.height > facing->depth; /* not so when the depth is not stated */
    *ridge = result;
    return PERPEND_OK;
}
