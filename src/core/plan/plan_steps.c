/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The chosen moves as steps for the hands, bolt by bolt. */
#include <assert.h>
#include <stdlib.h>

#include <perpend/shims.h>
#include <perpend/status.h>

#include "core/mount/mount_parts.h"
#include "core/plan/plan_parts.h"

/* mm of ridge that are hardly worth a step, where there is no goal for it. */
#define HARDLY 0.001

/* The trouble of the moves, from 1 to this (src/core/mount/moves.c). */
#define TROUBLE_MOST PERPEND_MOVE_COUNT

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
static size_t snug_bolt(
    const struct perpend_joint *joint, struct perpend_slope change, double turned_before)
{
    struct perpend_slope direction = slide_direction(joint->face);
    double turn = change.right * direction.right + change.back * direction.back;
    size_t snug = PERPEND_NO_BOLT;
    double most = -INFINITY, nearest = INFINITY;
    turn = fmax(fabs(turned_before + turn), fabs(turn));
    for (size_t k = 0; k < joint->bolt_count; k++)
        most = fmax(most, play_left(joint, turn, k));
    for (size_t k = 0; k < joint->bolt_count; k++) {
        double left = play_left(joint, turn, k);
        struct perpend_point at = joint->bolts[k].at;
        double away = sqrt(perpend_dot(at, at));
        if (left < -PLAY_SLIP || left < SPARE_SHARE * most - PLAY_SLIP ||
            away > nearest - PLAY_SLIP)
            continue;
        nearest = away;
        snug = k;
    }
    return snug;
}

/* Nothing, or the thinnest that can be had, for a shim that is thinner, and the change that they make. */
static void round_thin(struct perpend_step *step, const struct joint_move *move,
    const struct perpend_joint *joint, struct perpend_amount *amounts)
{
    bool thin = false;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        double *shim = &amounts[i].value;
        if (*shim <= 0.0 || *shim >= PERPEND_THINNEST_SHIM)
            continue;
        *shim = *shim < PERPEND_THINNEST_SHIM / 2.0 ? 0.0 : PERPEND_THINNEST_SHIM;
        thin = true;
    }
    if (thin)
        step->change = move->row->geometry->fit(move->row, joint, amounts).change;
}

/* Amounts that make the step's change; what is opened keeps a bolt that gets nothing snug. */
static void fill_amounts(
    struct perpend_step *step, const struct joint_move *move, const struct perpend_mount *mount)
{
    const struct perpend_joint *joint = &mount->joints[step->joint];
    struct perpend_amount amounts[PERPEND_BOLTS_MOST];
    move->row->geometry->amounts(move->row, joint, step->change, step_pivot(step, mount), amounts);
    for (size_t i = joint->bolt_count; i-- > 0 && move->row->limit != PERPEND_LIMIT_PLAY;)
        if (perpend_amount_is_none(amounts[i]))
            step->pivot = i;
    if (move->row->limit == PERPEND_LIMIT_STOCK)
        round_thin(step, move, joint, amounts);
    for (size_t i = 0; i < joint->bolt_count; i++) {
        step->bolts[i].amount = amounts[i];
        if (move->row->limit == PERPEND_LIMIT_STOCK)
            step->bolts[i].wanted = amounts[i].value;
    }
}

/* What is in the mount comes out at the other bolts, where it is as much as would go in: that turns the
   spindle as far, and wants no material. */
static void take_out_instead(struct perpend_step *step)
{
    double most = 0.0;
    for (size_t i = 0; i < step->bolt_count; i++)
        most = fmax(most, step->bolts[i].amount.value);
    for (size_t i = 0; i < step->bolt_count; i++) {
        const struct perpend_bolt_move *bolt = &step->bolts[i];
        if (most - bolt->amount.value > fmax(bolt->inside, 0.0) + PERPEND_SAME_SHIM)
            return;
    }
    step->pivot = PERPEND_NO_BOLT;
    step->nearest_common = NAN;
    for (size_t i = 0; i < step->bolt_count; i++) {
        struct perpend_bolt_move *bolt = &step->bolts[i];
        double out = most - bolt->amount.value;
        bolt->amount.value = bolt->wanted = out > PERPEND_SAME_SHIM ? -out : 0.0;
        bolt->stack_count = 0;
        if (bolt->amount.value == 0.0 && step->pivot == PERPEND_NO_BOLT)
            step->pivot = i;
    }
}

/* What the geometry asks of each bolt of a joint that is opened, whatever the stock makes of it. */
static void fill_wanted(
    struct perpend_step *step, const struct perpend_joint *joint, struct perpend_slope change)
{
    double open[PERPEND_BOLTS_MOST];
    double most = openings_for_change(joint, change, open);
    for (size_t i = 0; i < joint->bolt_count; i++)
        step->bolts[i].wanted = open[i];
    if (step->move == PERPEND_MOVE_SHIM)
        step->nearest_common = perpend_common_thickness(most);
}

static struct perpend_step *step_of_move(
    struct perpend_plan *plan, const struct situation *situation, size_t move)
{
    struct perpend_step *step = plan->steps;
    while (step->joint != situation->moves[move].joint ||
           step->move != situation->moves[move].row->move)
        step++;
    return step;
}

/* The leaves of one bolt. */
static void fill_stack(
    struct perpend_bolt_move *bolt, const struct situation *situation, const unsigned *counts)
{
    const struct heap *heap = &situation->heap;
    for (size_t k = 0; k < heap->kinds; k++) {
        double thick = situation->input->stock->leaves[heap->leaf[k]].thick;
        if (counts[k] == 0)
            continue;
        bolt->stack[bolt->stack_count++] =
            (struct perpend_stack_part){.leaf = heap->leaf[k], .thick = thick, .count = counts[k]};
        bolt->amount.value += counts[k] * thick;
    }
}

/* Which leaves go where; the snug bolt. */
static void deal_leaves(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice)
{
    for (size_t i = 0; i < choice->bolt_count; i++) {
        const struct stacked_bolt *stacked = &choice->bolts[i];
        struct perpend_step *step = step_of_move(plan, situation, stacked->move);
        assert(step->bolts != NULL);
        fill_stack(&step->bolts[stacked->bolt], situation, stacked->counts);
        if (stacked->plane < STACKS_GRAIN && step->pivot == PERPEND_NO_BOLT)
            step->pivot = stacked->bolt;
    }
    for (size_t i = 0; i < plan->step_count; i++)
        if (perpend_move_find(plan->steps[i].move)->limit == PERPEND_LIMIT_STOCK)
            take_out_instead(&plan->steps[i]);
}

/* The change a move would make with shims of any thickness, the others as chosen. */
static struct perpend_slope wanted_change(
    const struct situation *situation, const struct choice *choice, size_t index)
{
    struct perpend_slope sum = {0, 0}, change[PLAN_MOVES_MOST];
    move_set stacked = 0;
    for (size_t i = 0; i < situation->move_count; i++) {
        if (!(choice->set & MOVE_BIT(i)))
            continue;
        if (situation->moves[i].stacked)
            stacked |= MOVE_BIT(i);
        else
            sum = slope_sum(sum, 1.0, choice->change[i]);
    }
    reach_nearest(situation, expect_after(situation, situation->input->lean, sum), stacked, change);
    return change[index];
}

static move_set moves_of_joint(const struct situation *situation, size_t joint)
{
    move_set own = 0;
    for (size_t i = 0; i < situation->move_count; i++)
        own |= situation->moves[i].joint == joint ? MOVE_BIT(i) : 0;
    return own;
}

/* Whether the floor hardly is the worse for leaving some of the moves out. */
static bool for_holes(const struct situation *situation, const struct choice *choice, move_set out)
{
    const struct perpend_plan_input *input = situation->input;
    double worth = input->goal > 0.0 ? WORTH_SHARE * input->goal : HARDLY, with, without;
    return !input->upright && (choice->set & ~out) != 0 &&
           perpend_ridge_facing(lean_after(situation, choice, choice->set), input->cutter,
               input->facing, &with) == PERPEND_OK &&
           perpend_ridge_facing(lean_after(situation, choice, choice->set & ~out), input->cutter,
               input->facing, &without) == PERPEND_OK &&
           without <= with + worth;
}

static enum perpend_status add_step(struct perpend_plan *plan, const struct situation *situation,
    const struct choice *choice, size_t index)
{
    const struct perpend_plan_input *input = situation->input;
    const struct joint_move *move = &situation->moves[index];
    const struct perpend_joint *joint = &input->mount->joints[move->joint];
    struct perpend_step *step = &plan->steps[plan->step_count];
    *step = (struct perpend_step){
        .joint = move->joint,
        .move = move->row->move,
        .bolts = calloc(joint->bolt_count, sizeof *step->bolts),
        .bolt_count = joint->bolt_count,
        .pivot = PERPEND_NO_BOLT,
        .change = choice->change[index],
        .for_holes = for_holes(situation, choice, MOVE_BIT(index)),
        .watch = {NAN, NAN, NAN, NAN},
        .nearest_common = NAN,
    };
    if (!step->bolts)
        return PERPEND_ERR_MEMORY;
    plan->step_count++;
    for (size_t i = 0; input->inside && i < joint->bolt_count; i++)
        step->bolts[i].inside = input->inside[bolts_before(input->mount, move->joint) + i];
    if (move->row->amount == PERPEND_AMOUNT_DISPLACEMENT)
        step->pivot =
            snug_bolt(joint, step->change, input->turned ? input->turned[move->joint] : 0);
    if (move->row->limit != PERPEND_LIMIT_PLAY)
        fill_wanted(
            step, joint, move->stacked ? wanted_change(situation, choice, index) : step->change);
    if (!move->stacked)
        fill_amounts(step, move, input->mount);
    return PERPEND_OK;
}

/* A joint's chosen moves, those first after which nothing can fall out. */
static enum perpend_status add_joint(struct perpend_plan *plan, const struct situation *situation,
    const struct choice *choice, size_t joint)
{
    for (int trouble = 1; trouble <= TROUBLE_MOST; trouble++)
        for (size_t i = 0; i < situation->move_count; i++) {
            const struct joint_move *move = &situation->moves[i];
            if (move->joint != joint || move->row->trouble != trouble ||
                !(choice->set & MOVE_BIT(i)))
                continue;
            enum perpend_status status = add_step(plan, situation, choice, i);
            if (status != PERPEND_OK)
                return status;
        }
    return PERPEND_OK;
}

enum perpend_status plan_add_steps(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice)
{
    plan->steps = calloc(situation->move_count + 1, sizeof *plan->steps);
    if (!plan->steps)
        return PERPEND_ERR_MEMORY;
    for (int last = 0; last < 2; last++)
        for (size_t joint = 0; joint < situation->input->mount->joint_count; joint++) {
            move_set own = moves_of_joint(situation, joint) & choice->set;
            enum perpend_status status = PERPEND_OK;
            if (own != 0 && for_holes(situation, choice, own) == (last == 1))
                status = add_joint(plan, situation, choice, joint);
            if (status != PERPEND_OK)
                return status;
        }
    deal_leaves(plan, situation, choice);
    return PERPEND_OK;
}
