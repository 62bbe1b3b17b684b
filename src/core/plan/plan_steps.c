/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The chosen moves as steps for the hands, bolt by bolt. */
#include <math.h>
#include <stdlib.h>

#include <perpend/shims.h>
#include <perpend/status.h>

#include "core/mount/mount_parts.h"
#include "core/plan/plan_parts.h"

/* A play just used up is not exceeded, mm. */
#define PLAY_SLIP 1e-9

/* Of the bolts that may stay snug, those with at least this share of the most play to spare will
   do; of them the one nearest to the tool, so that its tip moves least. */
#define SPARE_SHARE 0.5

static double flat_distance(enum perpend_face face, struct perpend_point a, struct perpend_point b)
{
    struct flat p = flat_of(face, a), q = flat_of(face, b);
    return hypot(p.a - q.a, p.b - q.b);
}

/* The least play that is left at any bolt when the joint turns about bolt k; < 0: too little. */
static double play_left(const struct perpend_joint *joint, double turn, size_t k)
{
    double least = INFINITY;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        double moved =
            fabs(turn) * flat_distance(joint->face, joint->bolts[i].at, joint->bolts[k].at);
        if (i != k)
            least = fmin(least, perpend_bolt_slack(&joint->bolts[i]) - moved);
    }
    return least;
}

/* The bolt to keep snug as a pivot; PERPEND_NO_BOLT when about none the others stay in their play.
 */
static size_t snug_bolt(const struct perpend_joint *joint, double turn)
{
    size_t snug = PERPEND_NO_BOLT;
    double most = -INFINITY, nearest = INFINITY;
    for (size_t k = 0; k < joint->bolt_count; k++)
        most = fmax(most, play_left(joint, turn, k));
    for (size_t k = 0; k < joint->bolt_count; k++) {
        double left = play_left(joint, turn, k);
        struct perpend_point at = joint->bolts[k].at;
        double away = sqrt(perpend_dot(at, at));
        if (left < -PLAY_SLIP || left < SPARE_SHARE * most || away > nearest - PLAY_SLIP)
            continue;
        nearest = away;
        snug = k;
    }
    return snug;
}

static void fill_slide(
    struct perpend_step *step, const struct perpend_mount *mount, double turned_before)
{
    const struct perpend_joint *joint = &mount->joints[step->joint];
    struct perpend_slope direction = slide_direction(joint->face);
    double turn = step->change.right * direction.right + step->change.back * direction.back;
    step->pivot = snug_bolt(joint, fmax(fabs(turned_before + turn), fabs(turn)));
    const struct perpend_move_row *row = perpend_move_find(step->move);
    struct perpend_amount amounts[PERPEND_BOLTS_MOST];
    row->geometry->amounts(row, joint, step->change, step_pivot(step, mount), amounts);
    for (size_t i = 0; i < joint->bolt_count; i++)
        step->bolts[i].amount = amounts[i];
}

/* What the geometry asks of each bolt, and for a screw or without a stock what it gets. */
static void fill_opening(struct perpend_step *step, const struct perpend_joint *joint,
    struct perpend_slope wanted, bool stacked)
{
    double open[PERPEND_BOLTS_MOST];
    double most = openings_for_change(joint, wanted, open);
    for (size_t i = 0; i < joint->bolt_count; i++) {
        step->bolts[i].wanted = open[i];
        if (step->move == PERPEND_MOVE_SCREW)
            step->bolts[i].amount.value = open[i] / bolt_pitch(&joint->bolts[i]);
        else if (!stacked)
            step->bolts[i].amount.value = open[i];
        if (!stacked && open[i] == 0.0 && step->pivot == PERPEND_NO_BOLT)
            step->pivot = i;
    }
    if (step->move == PERPEND_MOVE_SHIM)
        step->nearest_common = perpend_common_thickness(most);
}

/* What the job put in before can come out at the other bolts, where it is as much: that turns the
   spindle as far. */
static void fill_out(struct perpend_step *step)
{
    double most = 0.0;
    for (size_t i = 0; i < step->bolt_count; i++)
        most = fmax(most, step->bolts[i].amount.value + step->bolts[i].gap);
    for (size_t i = 0; i < step->bolt_count; i++) {
        struct perpend_bolt_move *bolt = &step->bolts[i];
        double out = most - bolt->amount.value - bolt->gap;
        bolt->out = out > PERPEND_SAME_SHIM ? out : 0.0;
        if (bolt->out <= fmax(bolt->inside, 0.0) + PERPEND_SAME_SHIM)
            continue;
        for (size_t k = 0; k <= i; k++)
            step->bolts[k].out = 0.0;
        return;
    }
}

bool perpend_step_can_take_out(const struct perpend_step *step)
{
    for (size_t i = 0; i < step->bolt_count; i++)
        if (step->bolts[i].out > 0.0)
            return true;
    return false;
}

/* Without leaves at hand taking out comes first: it wants no material. */
static void take_out_instead(struct perpend_step *step)
{
    if (!perpend_step_can_take_out(step))
        return;
    step->pivot = PERPEND_NO_BOLT;
    for (size_t i = 0; i < step->bolt_count; i++) {
        struct perpend_bolt_move *bolt = &step->bolts[i];
        bolt->amount.value = bolt->out > 0.0 ? -bolt->out : 0.0;
        bolt->wanted = bolt->amount.value;
        bolt->out = 0.0;
        if (bolt->amount.value == 0.0 && step->pivot == PERPEND_NO_BOLT)
            step->pivot = i;
    }
    step->nearest_common = NAN;
}

/* The leaves of one bolt. */
static void fill_stack(
    struct perpend_bolt_move *bolt, const struct situation *situation, const unsigned *counts)
{
    const struct heap *heap = &situation->heap;
    for (size_t k = 0; k < heap->kinds && bolt->stack_count < PERPEND_STACK_MOST; k++) {
        if (counts[k] == 0)
            continue;
        double thick = situation->input->stock->leaves[heap->leaf[k]].thick;
        bolt->stack[bolt->stack_count++] =
            (struct perpend_stack_part){.leaf = heap->leaf[k], .thick = thick, .count = counts[k]};
        bolt->amount.value += counts[k] * thick;
    }
}

static struct perpend_step *step_of_unit(
    struct perpend_plan *plan, const struct situation *situation, size_t unit)
{
    for (size_t i = 0; i < plan->step_count; i++)
        if (plan->steps[i].joint == situation->units[unit].joint &&
            plan->steps[i].move == situation->units[unit].move)
            return &plan->steps[i];
    return NULL;
}

/* Which leaves go where, all stacks of the plan together. */
static enum perpend_status deal_leaves(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice)
{
    struct bin bins[PLAN_STACKED_MOST * PERPEND_BOLTS_MOST];
    struct bin_place places[PLAN_STACKED_MOST * PERPEND_BOLTS_MOST];
    size_t count = stacked_bins(situation, choice->stacked, choice->stacked_count, bins, places);
    size_t kinds = situation->heap.kinds;
    unsigned *counts = calloc(count * kinds + 1, sizeof *counts), leaves;
    if (!counts)
        return PERPEND_ERR_MEMORY;
    long work = STACKS_WORK_MOST;
    enum perpend_status status =
        stacks_fill(&situation->heap, bins, count, choice->leaves, &work, counts, &leaves);
    for (size_t i = 0; i < count && status == PERPEND_OK; i++) {
        const struct stacked *stacked = &choice->stacked[places[i].slot];
        struct perpend_step *step = step_of_unit(plan, situation, stacked->unit);
        if (step && step->bolts)
            fill_stack(&step->bolts[places[i].bolt], situation, counts + i * kinds);
    }
    free(counts);
    return status;
}

/* The snug bolt, what hangs and what could come out instead, once the leaves are dealt. */
static void finish_stacks(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice)
{
    for (size_t slot = 0; slot < choice->stacked_count; slot++) {
        const struct stacked *stacked = &choice->stacked[slot];
        struct perpend_step *step = step_of_unit(plan, situation, stacked->unit);
        for (size_t i = 0; step && i < step->bolt_count; i++) {
            if (stacked->hangs[i])
                step->bolts[i].gap = stacked->plane[i];
            else if (stacked->bins[i].high == 0 && step->pivot == PERPEND_NO_BOLT)
                step->pivot = i;
        }
        if (step)
            fill_out(step);
    }
}

/* The change a unit of the stock would make with shims of any thickness, the others as chosen. */
static struct perpend_slope wanted_change(
    const struct situation *situation, const struct choice *choice, size_t unit)
{
    struct perpend_slope sum = {0, 0}, change[PLAN_UNITS_MOST];
    unit_set free_units = 0;
    for (size_t i = 0; i < situation->unit_count; i++) {
        if (situation->units[i].move == PERPEND_MOVE_SHIM) {
            if (choice->used & UNIT(i))
                free_units |= UNIT(i);
            continue;
        }
        sum.right += choice->change[i].right;
        sum.back += choice->change[i].back;
    }
    reach_nearest(
        situation, expect_after(situation, situation->input->lean, sum), free_units, change);
    return change[unit];
}

static enum perpend_status add_step(struct perpend_plan *plan, const struct situation *situation,
    const struct choice *choice, size_t index)
{
    const struct unit *unit = &situation->units[index];
    const struct perpend_mount *mount = situation->input->mount;
    const struct perpend_joint *joint = &mount->joints[unit->joint];
    struct perpend_step *step = &plan->steps[plan->step_count];
    *step = (struct perpend_step){
        .joint = unit->joint,
        .move = unit->move,
        .bolts = calloc(joint->bolt_count, sizeof *step->bolts),
        .bolt_count = joint->bolt_count,
        .pivot = PERPEND_NO_BOLT,
        .change = choice->change[index],
        .watch = {NAN, NAN, NAN},
        .nearest_common = NAN,
    };
    if (!step->bolts)
        return PERPEND_ERR_MEMORY;
    plan->step_count++;
    if (situation->input->inside)
        for (size_t i = 0; i < joint->bolt_count; i++)
            step->bolts[i].inside = situation->input->inside[bolts_before(mount, unit->joint) + i];
    bool stacked = situation->stocked && unit->move == PERPEND_MOVE_SHIM;
    const double *turned = situation->input->turned;
    if (unit->move == PERPEND_MOVE_SLIDE)
        fill_slide(step, mount, turned ? turned[unit->joint] : 0.0);
    else
        fill_opening(
            step, joint, stacked ? wanted_change(situation, choice, index) : step->change, stacked);
    if (unit->move == PERPEND_MOVE_SHIM && !stacked) {
        fill_out(step);
        take_out_instead(step);
    }
    return PERPEND_OK;
}

enum perpend_status plan_add_steps(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice)
{
    /* in a joint the shims go in before it is slid, while its bolts are loose */
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
                enum perpend_status status = add_step(plan, situation, choice, i);
                if (status != PERPEND_OK)
                    return status;
            }
    if (choice->stacked_count == 0)
        return PERPEND_OK;
    enum perpend_status status = deal_leaves(plan, situation, choice);
    if (status == PERPEND_OK)
        finish_stacks(plan, situation, choice);
    return status;
}
