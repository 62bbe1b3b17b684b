/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parked arm reads before a step and at its end, and the next sweep after all of them: the
   arm is carried along by the turn. */
#include <math.h>

#include <perpend/plan.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "core/plan/plan_parts.h"

/* Half the chord of an angle that nobody means by aiming elsewhere. */
#define SAME_BEARING 1e-6

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

/* Z goes up in steps that are easily dialled in, mm. */
#define RAISE_STEP 0.5

/* What was read at a bearing, where the carriage stands now; NAN when nothing was. */
static double read_at(const struct perpend_outlook *outlook, double bearing)
{
    const struct perpend_reading *last = &outlook->readings[outlook->reading_count - 1];
    double value = NAN;
    for (size_t i = 0; i < outlook->reading_count; i++) {
        const struct perpend_reading *one = &outlook->readings[i];
        if (one->x == last->x && one->y == last->y &&
            fabs(sin((one->bearing - bearing) / 2.0)) < SAME_BEARING)
            value = one->value;
    }
    return value;
}

/* The bearing of the eight where the gap changes most; of equals the first, whatever the rounding. */
static struct perpend_watch watch_for(const struct spindle *before, const struct spindle *after,
    struct perpend_point turn, struct perpend_slope bed, double radius)
{
    struct perpend_watch watch = {NAN, NAN, NAN, 0.0};
    for (int eighth = 0; eighth < 8; eighth++) {
        double bearing = eighth * PERPEND_PI / 4.0;
        double now = before->centre + perpend_gap(before->lean, bed, radius, bearing, 0, 0);
        double then = carried_gap(before, after, turn, bed, radius, bearing);
        if (eighth == 0 || fabs(then - now) > fabs(watch.grows) + 1e-9)
            watch = (struct perpend_watch){bearing, now, then, then - now};
    }
    return watch;
}

/* The least gap under the arm, all the way round. */
static double least_gap(const struct perpend_fit *fit, struct perpend_slope bed, double radius)
{
    struct perpend_slope tilt = {fit->lean.right + bed.right, fit->lean.back + bed.back};
    return fit->centre - radius * perpend_slope_size(tilt);
}

enum perpend_status perpend_plan_watch(
    struct perpend_plan *plan, const struct perpend_outlook *outlook)
{
    const struct perpend_gauge *gauge = &outlook->setup->gauge;
    const struct perpend_fit *fit = outlook->fit;
    const struct perpend_reading nowhere = {.x = 0.0};
    const bool unread = outlook->reading_count == 0; /* how high the arm stands is not known */
    const struct perpend_reading *last =
        unread ? &nowhere : &outlook->readings[outlook->reading_count - 1];
    double per_reading = perpend_gauge_gap_per_reading(gauge), lowest = INFINITY;
    double radius = outlook->setup->arm.length;
    struct perpend_slope bed = bed_under(fit);
    struct spindle spindle = {.lean = fit->lean,
        .centre = fit->centre - fit->travel.right * last->x - fit->travel.back * last->y};
    if (per_reading == 0.0 || !(radius > 0.0))
        return PERPEND_ERR_VALUE;
    for (size_t i = 0; i < plan->step_count; i++) {
        struct perpend_step *step = &plan->steps[i];
        struct perpend_point turn = turn_for_change(step->change);
        struct spindle after = carried(spindle, turn, step_pivot(step, outlook->mount), bed);
        step->watch = watch_for(&spindle, &after, turn, bed, radius);
        lowest = fmin(lowest, step->watch.reading);
        spindle = after;
    }
    /* the next sweep stands wherever this one stood */
    struct perpend_fit next;
    plan->raise = 0.0;
    perpend_plan_foresee(plan, outlook, &next);
    double under = least_gap(&next, bed, radius);
    for (size_t i = 0; i < outlook->reading_count && plan->step_count > 0; i++)
        lowest = fmin(lowest, under - fit->travel.right * outlook->readings[i].x -
                                  fit->travel.back * outlook->readings[i].y);
    if (!unread && perpend_gauge_at(gauge->kind)->no_minus && lowest < gauge->step)
        plan->raise = RAISE_STEP * ceil((gauge->step - lowest) / RAISE_STEP);
    for (size_t i = 0; i < plan->step_count; i++) {
        struct perpend_watch *watch = &plan->steps[i].watch;
        watch->reading = unread ? (double)NAN : (watch->reading + plan->raise) / per_reading;
        watch->now = !unread && i == 0 && plan->raise == 0.0 ? read_at(outlook, watch->bearing)
                                                             : (double)NAN;
    }
    return PERPEND_OK;
}

void perpend_plan_foresee(const struct perpend_plan *plan, const struct perpend_outlook *outlook,
    struct perpend_fit *next)
{
    const struct perpend_fit *fit = outlook->fit;
    struct spindle spindle = {.lean = fit->lean, .centre = fit->centre};
    for (size_t i = 0; i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        struct perpend_slope change = perpend_response_expect(outlook->response, step->change);
        spindle = carried(
            spindle, turn_for_change(change), step_pivot(step, outlook->mount), bed_under(fit));
    }
    *next = *fit;
    next->lean = plan->lean_after;
    next->centre = spindle.centre + plan->raise;
}
