/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLAN_PARTS_H
#define PLAN_PARTS_H

/**
 * What the planner's files share. The planner thinks in units: one move of one joint, as what it
 * can do for the lean.
 *
 *   plan_units.c   what each joint's moves can do
 *   plan_reach.c   the nearest to no lean that continuous moves reach
 *   plan_choice.c  which joints and moves
 *   plan.c         the chosen moves as steps for the hands
 *   plan_watch.c   what the parked arm reads meanwhile
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/plan.h>

#define PLAN_UNITS_MOST (3 * PERPEND_JOINTS_MOST)

/** How a joint's bolts lie for shims: what lean changes they can make. */
struct shim_span {
    int dims;                       /* 0: none; 1: along `direction` only; 2: any */
    struct perpend_slope direction; /* of unit size, when dims is 1 */
};

struct shim_span shim_span_of(const struct perpend_joint *joint);

/** mm that each bolt of a joint wants under it for a lean change; the least is 0. */
void shims_for_change(const struct perpend_joint *joint, struct perpend_slope change, double *shim);

struct unit {
    size_t joint;
    enum perpend_move move;
    int dims;                       /* 1: changes along `direction` only; 2: any change */
    struct perpend_slope direction; /* of unit size, when dims is 1 */
    double low, high;               /* range of the change along it; infinite for shim, screw */
};

/** The lean change per rad of turn about a joint's face direction: a slide's. */
struct perpend_slope slide_direction(enum perpend_face face);

/** Everything that stays the same while one plan is made. */
struct situation {
    const struct perpend_plan_input *input;
    double gain[2][2];  /* the response, tamed */
    double weigh[2][2]; /* lean (right, back) to ridge, mm, across and along the feed */
    struct unit units[PLAN_UNITS_MOST];
    size_t unit_count;
};

int situation_set(struct situation *situation, const struct perpend_plan_input *input);

/** A set of units, a bit each. */
typedef unsigned long long unit_set;

#define UNIT(i) (1ULL << (i))

/** The lean to expect when a change is asked, through the tamed response. */
struct perpend_slope expect_after(
    const struct situation *situation, struct perpend_slope lean, struct perpend_slope change);

/**
 * The changes of the units in `set` that bring `lean` nearest to none as the ridge weighs it, each
 * within its range. Units of one direction share in proportion to their ranges.
 *
 * Returned: change  one a unit of the situation; {0, 0} for those not in the set
 */
void reach_nearest(const struct situation *situation, struct perpend_slope lean, unit_set set,
    struct perpend_slope *change);

/** What is chosen: the change of each unit and what that leaves. */
struct choice {
    unit_set used;
    struct perpend_slope change[PLAN_UNITS_MOST];
    struct perpend_slope left; /* expected through the tamed response */
    double merit;              /* stepover × (|left right| + |left back|), mm: less is better */
    size_t joints, shims;      /* disturbed; shim units */
};

/** Choose joints and moves. Errors: PERPEND_ERR_MEMORY, those of the ridge. */
int choose(const struct situation *situation, struct choice *best);

/** The point a step turns about: the snug bolt, or the middle of the bolts. */
struct perpend_point step_pivot(const struct perpend_step *step, const struct perpend_mount *mount);

/** The turn that makes a lean change, to first order, rad. */
struct perpend_point turn_for_change(struct perpend_slope change);

#endif
