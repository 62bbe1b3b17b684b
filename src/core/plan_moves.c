/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From what was done to each bolt back to the lean change it makes: the least-squares rigid turn.
 */
#include <math.h>

#include <perpend/plan.h>
#include <perpend/status.h>

#include "mount_parts.h"
#include "plan_parts.h"

static double opening_of(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_bolt_move *bolts, size_t i)
{
    return move == PERPEND_MOVE_SCREW ? bolts[i].turns * bolt_pitch(&joint->bolts[i])
                                      : bolts[i].shim;
}

/* Slope of the openings along one direction of change, of bolts in a line. */
static struct perpend_slope change_along(const struct perpend_joint *joint,
    struct perpend_slope direction, enum perpend_move move, const struct perpend_bolt_move *bolts)
{
    double n = (double)joint->bolt_count, at_mean = 0, open_mean = 0, over = 0, under = 0;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_slope lever = shim_lever(joint->face, joint->bolts[i].at);
        at_mean += (lever.right * direction.right + lever.back * direction.back) / n;
        open_mean += opening_of(joint, move, bolts, i) / n;
    }
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_slope lever = shim_lever(joint->face, joint->bolts[i].at);
        double at = lever.right * direction.right + lever.back * direction.back - at_mean;
        over += at * (opening_of(joint, move, bolts, i) - open_mean);
        under += at * at;
    }
    double slope = over / under;
    return (struct perpend_slope){slope * direction.right, slope * direction.back};
}

/* Two slopes of the plane through the openings at points (a, b), by least squares. */
static void plane_through(const double *a, const double *b, const double *open, size_t count,
    double *slope_a, double *slope_b)
{
    double n = (double)count, a_mean = 0, b_mean = 0, open_mean = 0;
    for (size_t i = 0; i < count; i++) {
        a_mean += a[i] / n;
        b_mean += b[i] / n;
        open_mean += open[i] / n;
    }
    double aa = 0, ab = 0, bb = 0, ao = 0, bo = 0;
    for (size_t i = 0; i < count; i++) {
        double da = a[i] - a_mean, db = b[i] - b_mean, d_open = open[i] - open_mean;
        aa += da * da;
        ab += da * db;
        bb += db * db;
        ao += da * d_open;
        bo += db * d_open;
    }
    double determinant = aa * bb - ab * ab;
    *slope_a = (ao * bb - bo * ab) / determinant;
    *slope_b = (bo * aa - ao * ab) / determinant;
}

/* Bolts of an upright joint that are in a line cannot tell a turn about the vertical; nobody asked
   for one. */
static bool tells_yaw(const struct perpend_joint *joint)
{
    double n = (double)joint->bolt_count, a = 0, b = 0, aa = 0, ab = 0, bb = 0;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct flat p = flat_of(joint->face, joint->bolts[i].at);
        a += p.a / n;
        b += p.b / n;
    }
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct flat p = flat_of(joint->face, joint->bolts[i].at);
        aa += (p.a - a) * (p.a - a);
        ab += (p.a - a) * (p.b - b);
        bb += (p.b - b) * (p.b - b);
    }
    return aa * bb - ab * ab > 1e-6 * (aa + bb) * (aa + bb);
}

static struct perpend_slope change_of_openings(const struct perpend_joint *joint,
    enum perpend_move move, const struct perpend_bolt_move *bolts)
{
    struct shim_span span = shim_span_of(joint);
    struct perpend_slope change = {0, 0};
    if (span.dims == 0)
        return change;
    if (span.dims == 1 && !tells_yaw(joint))
        return change_along(joint, span.direction, move, bolts);
    double a[PERPEND_BOLTS_MOST], b[PERPEND_BOLTS_MOST], open[PERPEND_BOLTS_MOST];
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_slope lever = shim_lever(joint->face, joint->bolts[i].at);
        struct flat p = flat_of(joint->face, joint->bolts[i].at);
        open[i] = opening_of(joint, move, bolts, i);
        a[i] = span.dims == 2 ? lever.right : p.a;
        b[i] = span.dims == 2
                   ? lever.back
                   : lever.right * span.direction.right + lever.back * span.direction.back;
    }
    double slope_a, slope_b;
    plane_through(a, b, open, joint->bolt_count, &slope_a, &slope_b);
    if (span.dims == 2)
        return (struct perpend_slope){slope_a, slope_b};
    return (struct perpend_slope){slope_b * span.direction.right, slope_b * span.direction.back};
}

static struct perpend_slope change_of_slides(
    const struct perpend_joint *joint, const struct perpend_bolt_move *bolts)
{
    double n = (double)joint->bolt_count;
    struct perpend_point middle = {0, 0, 0}, drift = {0, 0, 0};
    for (size_t i = 0; i < joint->bolt_count; i++) {
        const struct perpend_point *at = &joint->bolts[i].at, *slide = &bolts[i].slide;
        middle.right += at->right / n;
        middle.back += at->back / n;
        middle.up += at->up / n;
        drift.right += slide->right / n;
        drift.back += slide->back / n;
        drift.up += slide->up / n;
    }
    struct perpend_point face = perpend_face_direction(joint->face);
    double over = 0, under = 0;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        const struct perpend_point *at = &joint->bolts[i].at, *slide = &bolts[i].slide;
        struct perpend_point arm = {
            at->right - middle.right, at->back - middle.back, at->up - middle.up};
        struct perpend_point moved = {
            slide->right - drift.right, slide->back - drift.back, slide->up - drift.up};
        struct perpend_point sweep = perpend_cross(face, arm); /* per rad of turn */
        over += perpend_dot(sweep, moved);
        under += perpend_dot(sweep, sweep);
    }
    double turn = under > 0.0 ? over / under : 0.0;
    struct perpend_slope direction = slide_direction(joint->face);
    return (struct perpend_slope){turn * direction.right, turn * direction.back};
}

int perpend_moves_change(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_bolt_move *bolts, struct perpend_slope *change)
{
    if (joint->bolt_count < 2 || joint->bolt_count > PERPEND_BOLTS_MOST)
        return PERPEND_ERR_VALUE;
    struct perpend_slope found = move == PERPEND_MOVE_SLIDE
                                     ? change_of_slides(joint, bolts)
                                     : change_of_openings(joint, move, bolts);
    if (!isfinite(found.right) || !isfinite(found.back))
        return PERPEND_ERR_VALUE;
    *change = found;
    return PERPEND_OK;
}
