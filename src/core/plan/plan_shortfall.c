/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What could not be done, and for want of what: play, leaves, or a joint that serves the axis. */
#include "core/plan/plan_parts.h"

/* What misses less than this of the wish is not short: from rounding, and from leaves that come in
   steps. */
#define SHORT_SHARE 1e-6
#define SHORT_SHARE_STOCKED 0.05

/* A move serves an axis when at least this much of its change goes that way. */
#define SERVES 0.5

/* A wish along one axis, the part of it that was met, and what missed. */
struct wish {
    struct perpend_slope axis;
    double whole, missing;
};

static double along(struct perpend_slope change, struct perpend_slope axis)
{
    return change.right * axis.right + change.back * axis.back;
}

/* mm at the bolt that moves most when a move makes a change along an axis. */
static double moved_along(const struct situation *situation, const struct joint_move *move,
    struct wish wish, double change)
{
    const struct perpend_joint *joint = &situation->input->mount->joints[move->joint];
    struct perpend_slope none = {0, 0};
    return most_moved(move->row, joint, slope_sum(none, change, wish.axis));
}

/* Half of the thinnest leaf on hand, mm: nearer than that the stock does not come in general. */
static double half_leaf(const struct situation *situation)
{
    const struct perpend_stock *stock = situation->input->stock;
    double thinnest = 0.0;
    for (size_t i = 0; i < stock->leaf_count; i++)
        if (stock->leaves[i].count > 0 && stock->leaves[i].thick > 0.0)
            if (thinnest == 0.0 || stock->leaves[i].thick < thinnest)
                thinnest = stock->leaves[i].thick;
    return thinnest / 2.0;
}

/* Whether it is this move that runs out: of play, or of leaves. */
static bool runs_out(const struct situation *situation, const struct joint_move *move,
    double change, const struct perpend_shortfall *shortfall)
{
    double missing = shortfall->wanted - shortfall->allowed;
    if (!move->stacked && move->row->limit == PERPEND_LIMIT_STOCK)
        return shortfall->wanted > PERPEND_STACK_TALLEST;
    if (!move->stacked)
        return change > move->reach.high || change < move->reach.low;
    return missing > half_leaf(situation) && missing > SHORT_SHARE_STOCKED * shortfall->wanted;
}

/* What is missing may be too little for anybody to do it: see worth_doing in plan_choice.c. */
static bool let_be(
    const struct situation *situation, const struct joint_move *move, struct wish wish)
{
    struct perpend_slope missing = slope_sum((struct perpend_slope){0, 0}, wish.missing, wish.axis);
    return !worth_doing(situation, move, missing);
}

/* The move that serves the axis and got farthest before it ran out; nobody when none serves it. */
static struct perpend_shortfall shortfall_of(
    const struct situation *situation, const struct choice *choice, struct wish wish)
{
    struct perpend_shortfall found = {.present = false};
    bool served = false;
    for (size_t i = 0; i < situation->move_count; i++) {
        const struct joint_move *move = &situation->moves[i];
        double serves = move->reach.dims == 2 ? 1.0 : along(move->reach.direction, wish.axis);
        if (fabs(serves) < SERVES)
            continue;
        double own = along(choice->change[i], wish.axis);
        struct perpend_shortfall here = {
            .present = true,
            .joint = move->joint,
            .move = move->row->move,
            .wanted = moved_along(situation, move, wish, own + wish.missing),
            .allowed = own * wish.missing < 0.0 ? 0.0 : moved_along(situation, move, wish, own),
        };
        bool out = runs_out(situation, move, (own + wish.missing) * serves, &here);
        served = served || out || situation->stocked || let_be(situation, move, wish);
        if (out && (!found.present || here.allowed > found.allowed))
            found = here;
    }
    if (served)
        return found; /* perhaps none: leaves come in steps, and a little is left alone */
    return (struct perpend_shortfall){
        .present = true,
        .joint = NO_JOINT,
        .move = PERPEND_MOVE_SHIM,
        .wanted = NAN,
        .allowed = NAN,
    };
}

void plan_note_shortfalls(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice)
{
    const struct wish wishes[2] = {
        {{1, 0}, plan->wanted.right, plan->wanted.right - plan->asked.right},
        {{0, 1}, plan->wanted.back, plan->wanted.back - plan->asked.back},
    };
    for (size_t k = 0; k < 2; k++)
        if (fabs(wishes[k].missing) > SHORT_SHARE * fabs(wishes[k].whole) &&
            wishes[k].whole * wishes[k].missing > 0.0)
            plan->short_of[k] = shortfall_of(situation, choice, wishes[k]);
}
