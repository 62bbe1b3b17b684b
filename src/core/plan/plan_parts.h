/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLAN_PARTS_H
#define PLAN_PARTS_H

/**
 * What the planner's files share. The planner thinks in units: one move of one joint, as what it
 * can do for the lean.
 *
 *   plan_units.c    what each joint's moves can do
 *   plan_reach.c    the nearest to no lean that continuous moves reach
 *   plan_stock.c    the planes that the leaves on hand can make (plan_stock_parts.h)
 *   plan_choice.c   which joints and moves
 *   plan_steps.c    the chosen moves, bolt by bolt
 *   plan_short.c    what could not be done, and for want of what
 *   plan.c          a plan from end to end
 *   plan_watch.c    what the parked arm reads meanwhile
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/plan.h>
#include <perpend/status.h>

#include "core/learn/response_parts.h"
#include "core/mount/move_parts.h"
#include "core/plan/stacks.h"

/** For want of a joint that serves the axis. */
#define NO_JOINT ((size_t)-1)

/* A unit for every move of every joint. */
#define PLAN_UNITS_MOST (PERPEND_MOVE_COUNT * PERPEND_JOINTS_MOST)

/** Units whose shims come from the stock at once: two settle both axes. */
#define PLAN_STACKED_MOST 2

/* --- what moves can do ------------------------------------------------------------------------ */

struct unit {
    size_t joint;
    enum perpend_move move;
    int dims;                       /* 1: changes along `direction` only; 2: any change */
    struct perpend_slope direction; /* of unit size, when dims is 1 */
    double low, high;               /* range of the change along it; infinite for shim, screw */
};

/** Everything that stays the same while one plan is made. */
struct situation {
    const struct perpend_plan_input *input;
    struct gain gain;   /* the response, tamed */
    double weigh[2][2]; /* rows: a lean (right, back) as ridge, mm, across and along the feed */
    double sure_share;  /* no ridge is less than this share of a lean's weighed size */
    struct unit units[PLAN_UNITS_MOST];
    size_t unit_count;
    bool stocked; /* shims come from the heap */
    struct heap heap;
};

enum perpend_status situation_init(
    struct situation *situation, const struct perpend_plan_input *input);
void situation_finish(struct situation *situation);

static inline bool situation_has_goal(const struct situation *situation)
{
    return situation->input->goal > 0.0; /* not for NAN */
}

/** A set of units, a bit each. */
typedef unsigned long long unit_set;

#define UNIT(i) (1ULL << (i))

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

/* --- continuous moves ------------------------------------------------------------------------- */

/** Moves of one direction, taken together. */
struct group {
    struct perpend_slope direction;
    double low, high;
};

/** Right, back, slanting flanges, and two rays; a mount with more slants leaves the rest unused. */
#define REACH_GROUPS_MOST 7

struct reach {
    struct group groups[REACH_GROUPS_MOST];
    size_t count;
};

/** The units of `set`, grouped by direction. */
void reach_of_units(const struct situation *situation, unit_set set, struct reach *reach);

/** One more that only goes forward along `direction`; its value is that of groups[count − 1]. */
void reach_add_ray(struct reach *reach, struct perpend_slope direction);

/**
 * The values of the groups that bring `lean` nearest to none as the ridge weighs it.
 *
 * Returned: value  one a group
 * Value:    weighed size of the lean left, mm
 */
double reach_solve(const struct situation *situation, struct perpend_slope lean,
    const struct reach *reach, double *value);

/**
 * The same, as the change of each unit. Units of one direction share in proportion to their ranges.
 *
 * Returned: change  one a unit of the situation; {0, 0} for those not in the set
 */
void reach_nearest(const struct situation *situation, struct perpend_slope lean, unit_set set,
    struct perpend_slope *change);

/* --- choosing --------------------------------------------------------------------------------- */

/** The shims of one unit from the stock: what goes under each bolt, in grains of the heap. */
struct stacked {
    size_t unit;
    struct bin bins[PERPEND_BOLTS_MOST];
    bool hangs[PERPEND_BOLTS_MOST];   /* between supported bolts, and nothing on hand fits there */
    double plane[PERPEND_BOLTS_MOST]; /* mm up to the plane */
};

/** What is chosen: the change of each unit and what that leaves. */
struct choice {
    unit_set used;
    struct perpend_slope change[PLAN_UNITS_MOST];
    struct perpend_slope left; /* expected through the tamed response */
    double ridge;              /* mm, for the facing */
    double merit;              /* stepover × (|left right| + |left back|), mm: less is better */
    size_t joints;             /* disturbed */
    size_t shims;              /* bolts that get one */
    unsigned leaves;
    struct stacked stacked[PLAN_STACKED_MOST];
    size_t stacked_count;
};

/**
 * Shims of the units in `stacked` from the stock, and the continuous moves in `set` beside them:
 * least ridge, then fewest leaves.
 *
 * Given:    set        continuous units: slides and screws
 *           stacked    one or two shim units, of two dims in all
 * Returned: choice     change of all of them, stacked…, leaves; the rest is the caller's
 * Errors:   PERPEND_ERR_MEMORY, those of the ridge
 */
enum perpend_status stock_choose(const struct situation *situation, unit_set set,
    const size_t *stacked, size_t stacked_count, struct choice *choice);

/** Which bolt of which slot a bin is for. */
struct bin_place {
    size_t slot, bolt;
};

/** The bins that take leaves, thickest first; up to PLAN_STACKED_MOST × PERPEND_BOLTS_MOST. */
size_t stacked_bins(const struct situation *situation, const struct stacked *stacked,
    size_t stacked_count, struct bin *bins, struct bin_place *places);

/** Choose joints and moves. Errors: PERPEND_ERR_MEMORY, those of the ridge. */
enum perpend_status choose(const struct situation *situation, struct choice *best);

/* --- the plan --------------------------------------------------------------------------------- */

/** The chosen moves as steps, joint by joint. Errors: PERPEND_ERR_MEMORY. */
enum perpend_status plan_add_steps(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice);

void plan_note_shortfalls(
    struct perpend_plan *plan, const struct situation *situation, const struct choice *choice);

/** The point a step turns about: the snug bolt, or the middle of the bolts. */
struct perpend_point step_pivot(const struct perpend_step *step, const struct perpend_mount *mount);

/** The turn that makes a lean change, to first order, rad. */
struct perpend_point turn_for_change(struct perpend_slope change);

#endif
