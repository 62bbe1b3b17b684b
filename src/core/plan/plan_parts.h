/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLAN_PARTS_H
#define PLAN_PARTS_H

/**
 * What the planner's files share. The planner thinks in moves: one move of one joint, as what it
 * can do for the lean.
 *
 *   plan_moves.c      what each joint's moves can do, and how much a lean costs
 *   plan_reach.c      the nearest to no lean that continuous moves reach
 *   stacks.c          what thicknesses the leaves on hand make
 *   plan_planes.c     the planes of shims that the leaves make under one joint or two
 *   plan_choice.c     which joints and moves
 *   plan_steps.c      the chosen moves, bolt by bolt
 *   plan_shortfall.c  what could not be done, and for want of what
 *   plan.c            a plan from end to end
 *   plan_watch.c      what the parked arm reads meanwhile
 */

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include <perpend/plan.h>

#include "core/learn/response_parts.h"
#include "core/mount/move_parts.h"
#include "core/plan/stacks.h"

/** For want of a joint that serves the axis. */
#define NO_JOINT ((size_t)-1)

/** Every move of every joint. */
#define PLAN_MOVES_MOST (PERPEND_MOVE_COUNT * PERPEND_JOINTS_MOST)

/** Moves whose shims come from the stock at once: two settle both axes. */
#define PLAN_STACKED_MOST 2

struct joint_move {
    size_t joint;
    const struct perpend_move_row *row;
    struct move_reach reach;
    bool stacked; /* its amounts are stacks from the stock */
};

/** Everything that stays the same while one plan is made. */
struct situation {
    const struct perpend_plan_input *input;
    struct gain gain; /* the response, tamed */
    double weigh[2];  /* what a lean of 1 to the right costs, and one to the back, mm */
    struct joint_move moves[PLAN_MOVES_MOST];
    size_t move_count;
    struct perpend_slope beyond; /* lean that all moves together cannot take away */
    bool stocked;                /* shims come from the heap */
    struct heap heap;
    long work; /* steps that the search may still take: a bound for stocks made to be hard */
};

enum perpend_status situation_init(
    struct situation *situation, const struct perpend_plan_input *input);
void situation_finish(struct situation *situation);

/** What a lean costs, mm: by how much the stepover rises with it, the part along the feed counting by
 *  half, to the right and to the back each by itself. The one measure of what is better. */
double cost_of(const struct situation *situation, struct perpend_slope lean);

static inline struct perpend_slope slope_sum(
    struct perpend_slope a, double k, struct perpend_slope b)
{
    return (struct perpend_slope){a.right + k * b.right, a.back + k * b.back};
}

static inline double slope_cross(struct perpend_slope a, struct perpend_slope b)
{
    return a.right * b.back - a.back * b.right;
}

/** The lean to expect when a change is asked, through the tamed response. */
static inline struct perpend_slope expect_after(
    const struct situation *situation, struct perpend_slope lean, struct perpend_slope change)
{
    const double(*g)[2] = situation->gain.at;
    return (struct perpend_slope){
        lean.right + g[0][0] * change.right + g[0][1] * change.back,
        lean.back + g[1][0] * change.right + g[1][1] * change.back,
    };
}

/** A set of moves, a bit each. */
typedef unsigned move_set;

#define MOVE_BIT(i) (1U << (i))

/* --- continuous moves ------------------------------------------------------------------------- */

/** Moves of one direction, taken together. */
struct group {
    struct perpend_slope direction;
    double low, high;
    int endless; /* moves without bounds among them */
};

/** Right, back, slanting flanges, and two thicknesses that are not yet fixed; a mount with more
 *  slants leaves the rest unused. */
#define REACH_GROUPS_MOST 7

struct reach {
    struct group groups[REACH_GROUPS_MOST];
    size_t count;
};

/** The moves of `set`, grouped by direction. */
void reach_of_moves(const struct situation *situation, move_set set, struct reach *reach);

/** One more that only goes forward along `direction`; its value is that of groups[count − 1]. */
void reach_add_ray(struct reach *reach, struct perpend_slope direction);

/**
 * The values of the groups that bring `lean` nearest to none.
 *
 * Returned: value  one a group
 * Value:    cost of the lean that remains, mm
 */
double reach_solve(const struct situation *situation, struct perpend_slope lean,
    const struct reach *reach, double *value);

/** The lean that remains with these values. */
struct perpend_slope reach_left(const struct situation *situation, struct perpend_slope lean,
    const struct reach *reach, const double *value);

/** The lean that the moves of a set leave at best, with shims of any thickness. What moves leave is
 *  compared by how far it lies from there, so that a lean which nothing can take away does not make light
 *  of what could be taken away beside it. */
struct perpend_slope reach_beyond(const struct situation *situation, move_set set);

/**
 * The same, as the change of each move. Moves of one direction share in proportion to their ranges.
 *
 * Returned: change  one a move of the situation; {0, 0} for those not in the set
 * Value:    cost of the lean that remains, mm
 */
double reach_nearest(const struct situation *situation, struct perpend_slope lean, move_set set,
    struct perpend_slope *change);

/** What is worth less than this share of the goal is left alone. */
#define WORTH_SHARE 0.1

/** Whether nothing better is worth another joint, or another leaf, with so much lean that cannot be taken
 *  away, and what is left over it costing so much, mm. */
bool plenty(const struct situation *situation, double over, struct perpend_slope beyond);

/* --- choosing --------------------------------------------------------------------------------- */

/** One bolt under which leaves of the stock go. */
struct stacked_bolt {
    size_t move, bolt;
    struct bin bin;
    double plane;                         /* mm up to the plane */
    unsigned counts[PERPEND_LEAVES_MOST]; /* of the heap's kinds */
};

#define STACKED_BOLTS_MOST (PLAN_STACKED_MOST * PERPEND_BOLTS_MOST)

/** What is chosen: the change of each move and what that leaves. */
struct choice {
    move_set set;
    struct perpend_slope change[PLAN_MOVES_MOST];
    double cost;     /* of the lean that remains beyond the best that can be, mm */
    size_t joints;   /* disturbed */
    size_t shims;    /* bolts that get one */
    unsigned leaves; /* from the stock */
    double effort;   /* size of all its changes together, mm/mm */
    struct stacked_bolt bolts[STACKED_BOLTS_MOST];
    size_t bolt_count;
};

/**
 * The plane of shims from the stock for the stacked moves of a set, its other moves beside them:
 * least cost, then fewest leaves.
 *
 * Given:    choice   its set, with one or two stacked moves of two dims in all
 * Returned: choice   change, leaves, bolts
 * Value:    false when no plane is better than none
 */
bool choose_planes(struct situation *situation, struct choice *choice);

/** Whether anybody would make a change for what it brings: not with less than foil is thick, and not for
 *  less than a tenth of the goal. */
bool worth_doing(
    const struct situation *situation, const struct joint_move *move, struct perpend_slope change);

/** The lean to expect of some of the chosen moves. */
struct perpend_slope lean_after(
    const struct situation *situation, const struct choice *choice, move_set set);

/** Choose joints and moves. */
void choose(struct situation *situation, struct choice *best);

/* --- the plan --------------------------------------------------------------------------------- */

/** The chosen moves as steps, joint by joint. Errors: PERPEND_ERR_MEMORY. */
enum perpend_status plan_add_steps(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice);

/** What the plan falls short of along each axis, and for want of what. */
void plan_note_shortfalls(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice);

/** The point a step turns about: the snug bolt, or the middle of the bolts. */
struct perpend_point step_pivot(const struct perpend_step *step, const struct perpend_mount *mount);

/** The turn that makes a lean change, to first order, rad. */
struct perpend_point turn_for_change(struct perpend_slope change);

#endif
