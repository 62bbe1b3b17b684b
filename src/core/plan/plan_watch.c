/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parked arm reads before a step and at its end, and the next sweep after all of them: the
   arm is carried along by the turn. */
#include <math.h>

#include <perpend/plan.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "core/plan/plan_parts.h"

/* The spindle as the watcher sees it: its axis, where its tip has gone, and the gap there. */
struct spindle {
    struct perpend_slope lean;
    struct perpend_point tip;
    double centre;
};

/* Rodrigues' rotation of v by the turn `omega` (its length is the angle). */
static struct perpend_point rotated(struct perpend_point v, struct perpend_point omega)
{
    double angle = sqrt(perpend_dot(omega, omega));
    if (angle == 0.0)
        return v;
    struct perpend_point k = {omega.right / angle, omega.back / angle, omega.up / angle};
    struct perpend_point kv = perpend_cross(k, v);
    double c = cos(angle), s = sin(angle), along = perpend_dot(k, v) * (1.0 - c);
    return (struct perpend_point){
        v.right * c + kv.right * s + k.right * along,
        v.back * c + kv.back * s + k.back * along,
        v.up * c + kv.up * s + k.up * along,
    };
}

struct perpend_point step_pivot(const struct perpend_step *step, const struct perpend_mount *mount)
{
    const struct perpend_joint *joint = &mount->joints[step->joint];
    if (step->pivot < joint->bolt_count)
        return joint->bolts[step->pivot].at;
    struct perpend_point centre;
    double radius;
    if (step->move == PERPEND_MOVE_TURN)
        perpend_joint_rim(joint, &centre);
    else
        perpend_joint_circle(joint, &centre, &radius);
    return centre;
}

/* The turn that makes a lean change, to first order. */
struct perpend_point turn_for_change(struct perpend_slope change)
{
    return perpend_turn_for((struct perpend_slope){-change.right, -change.back});
}

static struct spindle carried(struct spindle before, struct perpend_point turn,
    struct perpend_point pivot, struct perpend_slope bed)
{
    struct perpend_point axis =
        rotated((struct perpend_point){before.lean.right, before.lean.back, 1.0}, turn);
    const struct perpend_point *tip = &before.tip;
    struct perpend_point arm = {
        tip->right - pivot.right, tip->back - pivot.back, tip->up - pivot.up};
    struct perpend_point swung = rotated(arm, turn);
    struct perpend_point moved = {
        swung.right - arm.right, swung.back - arm.back, swung.up - arm.up};
    return (struct spindle){
        .lean = {axis.right / axis.up, axis.back / axis.up},
        .tip = {tip->right + moved.right, tip->back + moved.back, tip->up + moved.up},
        .centre = before.centre + moved.up - bed.right * moved.right - bed.back * moved.back,
    };
}

/* The gap under an arm parked at `bearing`, once the arm has been carried along by the turn. */
static double carried_gap(const struct spindle *before, const struct spindle *after,
    struct perpend_point turn, struct perpend_slope bed, double radius, double bearing)
{
    double right = sin(bearing), back = cos(bearing);
    double rise = -(before->lean.right * right + before->lean.back * back);
    struct perpend_point arm = rotated((struct perpend_point){right, back, rise}, turn);
    return after->centre +
           perpend_gap(after->lean, bed, radius, atan2(arm.right, arm.back), 0.0, 0.0);
}

static struct perpend_slope bed_under(const struct perpend_fit *fit)
{
    return fit->bed_separated ? fit->bed : (struct perpend_slope){0, 0};
}

enum perpend_status perpend_plan_watch(struct perpend_plan *plan, const struct perpend_mount *mount,
    const struct perpend_fit *fit, const struct perpend_setup *setup, double x, double y)
{
    double per_reading = perpend_gauge_gap_per_reading(&setup->gauge);
    double radius = setup->arm.length;
    struct perpend_slope bed = bed_under(fit);
    struct spindle spindle = {
        .lean = fit->lean, .centre = fit->centre - fit->travel.right * x - fit->travel.back * y};
    if (per_reading == 0.0 || !(radius > 0.0))
        return PERPEND_ERR_VALUE;
    for (size_t i = 0; i < plan->step_count; i++) {
        struct perpend_step *step = &plan->steps[i];
        struct perpend_point turn = turn_for_change(step->change);
        struct spindle after = carried(spindle, turn, step_pivot(step, mount), bed);
        double most = -1.0;
        for (int eighth = 0; eighth < 8; eighth++) {
            double bearing = eighth * PERPEND_PI / 4.0;
            double now = spindle.centre + perpend_gap(spindle.lean, bed, radius, bearing, 0, 0);
            double reach = carried_gap(&spindle, &after, turn, bed, radius, bearing);
            /* of equals the first, whatever the rounding */
            if (fabs(reach - now) <= most + 1e-9)
                continue;
            most = fabs(reach - now);
            step->watch = (struct perpend_watch){
                .bearing = bearing, .now = now / per_reading, .reach = reach / per_reading};
        }
        spindle = after;
    }
    return PERPEND_OK;
}

void perpend_plan_foresee(const struct perpend_plan *plan, const struct perpend_mount *mount,
    const struct perpend_response *response, const struct perpend_fit *fit,
    struct perpend_fit *next)
{
    struct spindle spindle = {.lean = fit->lean, .centre = fit->centre};
    for (size_t i = 0; i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        struct perpend_slope change = perpend_response_expect(response, step->change);
        spindle =
            carried(spindle, turn_for_change(change), step_pivot(step, mount), bed_under(fit));
    }
    *next = *fit;
    next->lean = plan->leaves;
    next->centre = spindle.centre;
}
