/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The chosen moves as steps for the hands. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/shims.h>
#include <perpend/status.h>

#include "mount_parts.h"
#include "plan_parts.h"

#define NOBODY ((size_t)-1)

/* Less than this of lean is none to speak of, mm/mm: a shortfall of it is not reported. */
#define SHORT_SLIP 1e-9

/* Distance of two points in the plane of a joint, mm. */
static double flat_distance(enum perpend_face face, struct perpend_point a, struct perpend_point b)
{
    struct flat p = flat_of(face, a), q = flat_of(face, b);
    return hypot(p.a - q.a, p.b - q.b);
}

/* A bolt that may stay snug while the joint turns: the one about which the others keep most of
   their play; PERPEND_NO_BOLT when about none they stay within it. */
static size_t snug_bolt(const struct perpend_joint *joint, double turn)
{
    size_t snug = PERPEND_NO_BOLT;
    double most = -1e-9; /* a play just used up is not exceeded */
    for (size_t k = 0; k < joint->bolt_count; k++) {
        double spare = INFINITY;
        for (size_t i = 0; i < joint->bolt_count; i++) {
            double moved =
                fabs(turn) * flat_distance(joint->face, joint->bolts[i].at, joint->bolts[k].at);
            if (i != k)
                spare = fmin(spare, perpend_bolt_slack(&joint->bolts[i]) - moved);
        }
        if (spare > most + 1e-9) {
            most = spare;
            snug = k;
        }
    }
    return snug;
}

static void fill_slide(
    struct perpend_step *step, const struct perpend_joint *joint, double turned_before)
{
    struct perpend_point face = perpend_face_direction(joint->face);
    struct perpend_slope direction = slide_direction(joint->face);
    double turn = step->change.right * direction.right + step->change.back * direction.back;
    step->pivot = snug_bolt(joint, fabs(turned_before) + fabs(turn));
    struct perpend_point pivot;
    double radius;
    if (step->pivot == PERPEND_NO_BOLT)
        perpend_joint_circle(joint, &pivot, &radius);
    else
        pivot = joint->bolts[step->pivot].at;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        const struct perpend_point *at = &joint->bolts[i].at;
        struct perpend_point arm = {
            at->right - pivot.right, at->back - pivot.back, at->up - pivot.up};
        struct perpend_point sweep = perpend_cross(face, arm);
        step->bolts[i].slide =
            (struct perpend_point){turn * sweep.right, turn * sweep.back, turn * sweep.up};
    }
}

static void fill_opening(struct perpend_step *step, const struct perpend_joint *joint)
{
    double shim[PERPEND_BOLTS_MOST], thickest = 0.0;
    shims_for_change(joint, step->change, shim);
    for (size_t i = 0; i < joint->bolt_count; i++) {
        thickest = fmax(thickest, shim[i]);
        if (shim[i] == 0.0 && step->pivot == PERPEND_NO_BOLT)
            step->pivot = i;
        if (step->move == PERPEND_MOVE_SCREW)
            step->bolts[i].turns = shim[i] / bolt_pitch(&joint->bolts[i]);
        else
            step->bolts[i].shim = shim[i];
        step->bolts[i].wanted = shim[i];
    }
    if (step->move == PERPEND_MOVE_SHIM)
        step->nearest_common = perpend_common_thickness(thickest);
}

static int add_step(struct perpend_plan *plan, const struct situation *situation, size_t unit_index,
    struct perpend_slope change)
{
    const struct unit *unit = &situation->units[unit_index];
    const struct perpend_joint *joint = &situation->input->mount->joints[unit->joint];
    struct perpend_step *step = &plan->steps[plan->step_count];
    *step = (struct perpend_step){
        .joint = unit->joint,
        .move = unit->move,
        .bolts = calloc(joint->bolt_count, sizeof *step->bolts),
        .bolt_count = joint->bolt_count,
        .pivot = PERPEND_NO_BOLT,
        .change = change,
        .watch = {NAN, NAN, NAN},
        .nearest_common = NAN,
    };
    if (!step->bolts)
        return PERPEND_ERR_MEMORY;
    plan->step_count++;
    if (unit->move == PERPEND_MOVE_SLIDE)
        fill_slide(
            step, joint, situation->input->turned ? situation->input->turned[unit->joint] : 0.0);
    else
        fill_opening(step, joint);
    return PERPEND_OK;
}

/* Joint by joint; in a joint the shims go in before it is slid, while its bolts are loose. */
static int add_steps(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice)
{
    static const enum perpend_move order[] = {
        PERPEND_MOVE_SHIM, PERPEND_MOVE_SCREW, PERPEND_MOVE_SLIDE};
    plan->steps = calloc(situation->unit_count + 1, sizeof *plan->steps);
    if (!plan->steps)
        return PERPEND_ERR_MEMORY;
    for (size_t joint = 0; joint < situation->input->mount->joint_count; joint++)
        for (size_t k = 0; k < sizeof order / sizeof order[0]; k++)
            for (size_t i = 0; i < situation->unit_count; i++) {
                const struct unit *unit = &situation->units[i];
                if (unit->joint != joint || unit->move != order[k] || !(choice->used & UNIT(i)))
                    continue;
                int status = add_step(plan, situation, i, choice->change[i]);
                if (status != PERPEND_OK)
                    return status;
            }
    return PERPEND_OK;
}

static void add_tip(
    struct perpend_plan *plan, const struct perpend_step *step, const struct situation *situation)
{
    struct perpend_slope expected = step->change;
    if (situation->input->response)
        expected = perpend_response_expect(situation->input->response, step->change);
    struct perpend_point pivot = step_pivot(step, situation->input->mount);
    struct perpend_point arm = {-pivot.right, -pivot.back, -pivot.up};
    struct perpend_point moved = perpend_cross(turn_for_change(expected), arm);
    plan->tip.right += moved.right;
    plan->tip.back += moved.back;
    plan->tip.up += moved.up;
}

/* Where the play runs out for one axis: a slide that serves it, or nobody. */
static struct perpend_shortfall shortfall_of(const struct situation *situation,
    const struct choice *choice, struct perpend_slope axis, double missing)
{
    struct perpend_shortfall found = {
        .present = true,
        .joint = NOBODY,
        .move = PERPEND_MOVE_SLIDE,
        .wanted = NAN,
        .allowed = NAN,
    };
    for (size_t i = 0; i < situation->unit_count; i++) {
        const struct unit *unit = &situation->units[i];
        double serves = unit->direction.right * axis.right + unit->direction.back * axis.back;
        if (unit->move != PERPEND_MOVE_SLIDE || fabs(serves) < 0.5)
            continue;
        struct perpend_point centre;
        double radius,
            own = choice->change[i].right * axis.right + choice->change[i].back * axis.back;
        perpend_joint_circle(&situation->input->mount->joints[unit->joint], &centre, &radius);
        double allowed = fabs(own) * radius;
        if (found.joint != NOBODY && allowed <= found.allowed)
            continue;
        found.joint = unit->joint;
        found.wanted = fabs(own + missing) * radius;
        found.allowed = allowed;
    }
    return found;
}

static void note_shortfalls(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice)
{
    static const struct perpend_slope axes[2] = {{1, 0}, {0, 1}};
    const double missing[2] = {
        plan->wanted.right - plan->asked.right, plan->wanted.back - plan->asked.back};
    for (size_t k = 0; k < 2; k++)
        if (fabs(missing[k]) > SHORT_SLIP + 1e-6 * perpend_slope_size(plan->wanted))
            plan->short_of[k] = shortfall_of(situation, choice, axes[k], missing[k]);
}

static bool input_good(const struct perpend_plan_input *input)
{
    if (!input->mount || !input->cutter || !input->facing || !isfinite(input->lean.right) ||
        !isfinite(input->lean.back) || input->mount->joint_count > PERPEND_JOINTS_MOST)
        return false;
    for (size_t i = 0; i < input->mount->joint_count; i++) {
        const struct perpend_joint *joint = &input->mount->joints[i];
        if (joint->bolt_count < 2 || joint->bolt_count > PERPEND_BOLTS_MOST)
            return false;
        if (input->turned && !isfinite(input->turned[i]))
            return false;
    }
    return true;
}

int perpend_plan_make(const struct perpend_plan_input *input, struct perpend_plan *plan)
{
    struct situation situation;
    struct choice choice;
    struct perpend_plan made = {.steps = NULL};
    if (!input_good(input))
        return PERPEND_ERR_VALUE;
    int status = situation_set(&situation, input);
    if (status == PERPEND_OK)
        status = choose(&situation, &choice);
    if (status == PERPEND_OK)
        status = add_steps(&made, &situation, &choice);
    struct perpend_response identity = perpend_response_start();
    const struct perpend_response *response = input->response ? input->response : &identity;
    made.wanted = perpend_response_ask(response, input->lean);
    for (size_t i = 0; status == PERPEND_OK && i < made.step_count; i++) {
        made.asked.right += made.steps[i].change.right;
        made.asked.back += made.steps[i].change.back;
        add_tip(&made, &made.steps[i], &situation);
    }
    struct perpend_slope expected = perpend_response_expect(response, made.asked);
    made.leaves = (struct perpend_slope){
        input->lean.right + expected.right, input->lean.back + expected.back};
    if (status == PERPEND_OK)
        status = perpend_ridge_facing(made.leaves, input->cutter, input->facing, &made.ridge);
    if (status != PERPEND_OK) {
        perpend_plan_finish(&made);
        return status;
    }
    note_shortfalls(&made, &situation, &choice);
    *plan = made;
    return PERPEND_OK;
}

void perpend_plan_finish(struct perpend_plan *plan)
{
    if (!plan)
        return;
    for (size_t i = 0; i < plan->step_count; i++)
        free(plan->steps[i].bolts);
    free(plan->steps);
    memset(plan, 0, sizeof *plan);
}
