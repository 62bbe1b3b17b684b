/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which joints and moves: of all sets of them that leave as little lean as any, the one that
   disturbs fewest joints, then the one with the fewest bolts shimmed, leaves, moves. */
#include <perpend/shims.h>

#include "core/plan/plan_parts.h"

/* As good as another: within this share of its cost and this much, mm. Leaves come in steps. */
#define AS_GOOD_SHARE 1e-6
#define AS_GOOD_SLIP 1e-9
#define AS_GOOD_SHARE_STOCKED 1e-3

/* mm: as good with leaves, which come in steps. */
#define AS_GOOD_SLIP_STOCKED 5e-4

/* Meets the goal with room to spare, and does most of what there was to do. */
#define GOAL_SHARE 0.25
#define FOUND_SHARE 0.1

/* Sines of angles between the changes of two moves. */
#define PARALLEL 1e-9
#define NEARLY_PARALLEL 0.3

struct perpend_slope lean_after(
    const struct situation *situation, const struct choice *choice, move_set set)
{
    struct perpend_slope sum = {0, 0};
    for (size_t i = 0; i < situation->move_count; i++)
        if (set & MOVE_BIT(i))
            sum = slope_sum(sum, 1.0, choice->change[i]);
    return expect_after(situation, situation->input->lean, sum);
}

static double moved_by(
    const struct situation *situation, const struct joint_move *move, struct perpend_slope change)
{
    return most_moved(move->row, &situation->input->mount->joints[move->joint], change);
}

bool worth_doing(
    const struct situation *situation, const struct joint_move *move, struct perpend_slope change)
{
    double goal = situation->input->goal;
    bool any_thickness = move->row->limit == PERPEND_LIMIT_STOCK && !move->stacked;
    return !(any_thickness && moved_by(situation, move, change) < PERPEND_THINNEST_SHIM) &&
           !(goal > 0.0 && cost_of(situation, change) < WORTH_SHARE * goal);
}

/* What a lean costs beyond the best that can be. */
static double cost_over(const struct situation *situation, struct perpend_slope lean)
{
    return cost_of(situation, slope_sum(lean, -1.0, situation->beyond));
}

static double slip_of(const struct situation *situation)
{
    return situation->stocked ? AS_GOOD_SLIP_STOCKED : AS_GOOD_SLIP;
}

/* Clearly less. */
static bool less(const struct situation *situation, double cost, double other)
{
    double share = situation->stocked ? AS_GOOD_SHARE_STOCKED : AS_GOOD_SHARE;
    return cost * (1.0 + share) + slip_of(situation) < other;
}

bool plenty(const struct situation *situation, double over, struct perpend_slope beyond)
{
    const struct perpend_plan_input *input = situation->input;
    double cost = cost_of(situation, beyond) + over;
    if (over <= slip_of(situation))
        return true;
    return situation->stocked && input->goal > 0.0 && cost <= GOAL_SHARE * input->goal &&
           cost <= FOUND_SHARE * cost_of(situation, input->lean);
}

static size_t bits_in(unsigned set)
{
    size_t count = 0;
    for (; set; set &= set - 1)
        count++;
    return count;
}

static unsigned joints_of(const struct situation *situation, move_set set)
{
    unsigned joints = 0;
    for (size_t i = 0; i < situation->move_count; i++)
        if (set & MOVE_BIT(i))
            joints |= 1U << situation->moves[i].joint;
    return joints;
}

/* Two moves whose changes lie nearly the same way would work against one another, far, for a little
   across; of two that lie the same way one will do, unless play ends it. */
static bool clash(const struct joint_move *a, const struct joint_move *b)
{
    if (a->reach.dims != 1 || b->reach.dims != 1)
        return false;
    double sine = fabs(slope_cross(a->reach.direction, b->reach.direction));
    bool endless = isinf(a->reach.high) && isinf(b->reach.high);
    return sine < NEARLY_PARALLEL && (sine > PARALLEL || endless);
}

/* Whether a set is tried: no moves that clash, and shims from the stock for two axes at most. */
static bool sensible(const struct situation *situation, move_set set)
{
    int stacked = 0;
    for (size_t i = 0; i < situation->move_count; i++) {
        const struct joint_move *move = &situation->moves[i];
        if (!(set & MOVE_BIT(i)))
            continue;
        stacked += move->stacked ? move->reach.dims : 0;
        for (size_t k = 0; k < i; k++)
            if ((set & MOVE_BIT(k)) && clash(move, &situation->moves[k]))
                return false;
    }
    return stacked <= 2;
}

/* Fill in what follows from the changes; false when a move of the set is not needed. */
static bool sum_up(const struct situation *situation, struct choice *choice)
{
    choice->cost = cost_over(situation, lean_after(situation, choice, choice->set));
    choice->joints = bits_in(joints_of(situation, choice->set));
    choice->shims = 0;
    choice->effort = 0.0;
    for (size_t i = 0; i < situation->move_count; i++) {
        const struct joint_move *move = &situation->moves[i];
        const struct perpend_joint *joint = &situation->input->mount->joints[move->joint];
        double size = perpend_slope_size(choice->change[i]), open[PERPEND_BOLTS_MOST];
        if (!(choice->set & MOVE_BIT(i)))
            continue;
        if (size == 0.0 || !worth_doing(situation, move, choice->change[i]))
            return false;
        choice->effort += size;
        if (move->row->limit != PERPEND_LIMIT_STOCK)
            continue;
        openings_for_change(joint, choice->change[i], open);
        for (size_t k = 0; k < joint->bolt_count; k++)
            choice->shims += open[k] > 0.0;
    }
    return true;
}

/* No shims taller than anybody should put in unasked; all moves give in alike, which makes none worse. */
static void cut_stacks(const struct situation *situation, struct choice *choice)
{
    double share = 1.0;
    for (size_t i = 0; i < situation->move_count; i++)
        if (situation->moves[i].row->limit == PERPEND_LIMIT_STOCK) {
            double tall = moved_by(situation, &situation->moves[i], choice->change[i]);
            share = fmin(share, PERPEND_STACK_TALLEST / fmax(tall, PERPEND_STACK_TALLEST));
        }
    for (size_t i = 0; i < situation->move_count; i++)
        choice->change[i] = slope_sum((struct perpend_slope){0, 0}, share, choice->change[i]);
}

/* The best that the moves of a set can do; false when it is what a smaller set does. */
static bool evaluate(struct situation *situation, move_set set, struct choice *choice)
{
    *choice = (struct choice){.set = set};
    bool stacked = false;
    for (size_t i = 0; i < situation->move_count; i++)
        stacked = stacked || ((set & MOVE_BIT(i)) && situation->moves[i].stacked);
    if (stacked) {
        if (!choose_planes(situation, choice))
            return false;
    } else {
        reach_nearest(situation, situation->input->lean, set, choice->change);
        cut_stacks(situation, choice);
    }
    return sum_up(situation, choice);
}

/* Of two that are good enough the one of less trouble; of as much trouble, the better one. */
static bool less_trouble(
    const struct situation *situation, const struct choice *a, const struct choice *b)
{
    if (a->joints != b->joints)
        return a->joints < b->joints;
    if (a->shims != b->shims)
        return a->shims < b->shims;
    if (a->leaves != b->leaves)
        return a->leaves < b->leaves;
    if (less(situation, a->cost, b->cost) || less(situation, b->cost, a->cost))
        return a->cost < b->cost;
    if (bits_in(a->set) != bits_in(b->set))
        return bits_in(a->set) < bits_in(b->set);
    return a->effort < b->effort - AS_GOOD_SLIP;
}

static bool beats(const struct situation *situation, const struct choice *a, const struct choice *b)
{
    if (!plenty(situation, a->cost, situation->beyond) ||
        !plenty(situation, b->cost, situation->beyond)) {
        if (less(situation, a->cost, b->cost))
            return true;
        if (less(situation, b->cost, a->cost))
            return false;
    }
    return less_trouble(situation, a, b);
}

/* Every set of moves that disturbs so many joints and makes so many moves. */
static void try_sets(struct situation *situation, size_t joints, size_t moves, struct choice *best)
{
    struct choice choice;
    for (move_set set = 1; set < MOVE_BIT(situation->move_count); set++) {
        if (bits_in(set) != moves || bits_in(joints_of(situation, set)) != joints ||
            !sensible(situation, set))
            continue;
        /* with shims of any thickness; the stock does no better */
        reach_nearest(situation, situation->input->lean, set, choice.change);
        double least = cost_over(situation, lean_after(situation, &choice, set));
        bool hopeless = best->joints < joints ? !less(situation, least, best->cost)
                                              : less(situation, best->cost, least);
        if (!hopeless && evaluate(situation, set, &choice) && beats(situation, &choice, best))
            *best = choice;
    }
}

void choose(struct situation *situation, struct choice *best)
{
    *best = (struct choice){.cost = cost_over(situation, situation->input->lean)};
    for (size_t joints = 1; joints <= situation->input->mount->joint_count; joints++) {
        if (plenty(situation, best->cost, situation->beyond))
            return;
        for (size_t moves = 1; moves <= situation->move_count; moves++)
            try_sets(situation, joints, moves, best);
    }
}
