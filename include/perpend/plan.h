/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_PLAN_H
#define PERPEND_PLAN_H

/**
 * From a lean to what the hands do next: which joint, which bolts, which leaves.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/fit.h>
#include <perpend/mount.h>
#include <perpend/moves.h>
#include <perpend/response.h>
#include <perpend/ridge.h>
#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

#define PERPEND_NO_BOLT ((size_t)-1)
#define PERPEND_STACK_MOST PERPEND_LEAVES_MOST /* kinds of leaf in one stack */
#define PERPEND_SAME_SHIM 0.004                /* mm: shims no farther apart are the same */
#define PERPEND_STACK_TALLEST                                                                      \
    3.0 /* mm: no plan opens a joint farther by shims; who wants more has
                                     misread something, or measures the mount again */

struct perpend_stack_part {
    size_t leaf; /* index into the stock */
    double thick;
    unsigned count;
};

/** What one bolt gets; one entry for every bolt of the joint, in the joint's order. */
struct perpend_bolt_move {
    struct perpend_amount amount; /* of the step's move; none where the bolt stays. A shim is its
                                     stack's sum, or negative: what the job put in comes out */
    double wanted; /* mm of opening that the geometry asks for, before the stock is looked at; 0 in
                      slides */
    struct perpend_stack_part stack[PERPEND_STACK_MOST];
    size_t stack_count; /* 0 without a stock */
    double inside;      /* mm of shim that are at this bolt before */
};

/** One thing to watch while a step is done: the arm parked at one bearing. */
struct perpend_watch {
    double bearing; /* rad */
    double now; /* what was read there, with the joint as it is, mm as the gauge shows it; NAN where
                   nothing was read, or the joint has been moved, or Z raised, since */
    double reading; /* to be read when it is done, with Z raised; NAN after a test cut alone */
    double grows;   /* by how much the gap has grown then, mm; Z's rise apart */
};

struct perpend_step {
    size_t joint; /* index into the mount */
    enum perpend_move move;
    struct perpend_bolt_move *bolts; /* one a bolt of the joint; owned by the plan */
    size_t bolt_count;
    bool
        for_holes; /* hardly lowers the ridge: it helps deep cuts and drilled holes, and may be left
                       out */
    size_t pivot;  /* bolt that stays snug; PERPEND_NO_BOLT: turn about the bolts' middle */
    struct perpend_slope change; /* lean change this step makes by the ideal geometry */
    struct perpend_watch watch;
    double nearest_common; /* shim steps: common thickness nearest to the thickest wanted, mm; else
                              NAN */
};

/** What the plan could not do, and for want of what. */
struct perpend_shortfall {
    bool present;
    size_t joint; /* where the play runs out; (size_t)-1 when no joint serves the axis */
    enum perpend_move move;
    double wanted;  /* mm at the bolt that moves most */
    double allowed; /* mm */
};

struct perpend_plan {
    struct perpend_step *steps;
    size_t step_count;           /* 0: nothing to do, or nothing can be done */
    struct perpend_slope wanted; /* lean change that would bring the lean to zero, through the
                                    response */
    struct perpend_slope asked;  /* the part of it that the steps make, by the ideal geometry: the
                                    sum of their changes */
    struct perpend_slope lean_after;      /* expected, through the response */
    double ridge;                         /* ridge expected then, mm */
    struct perpend_point tip;             /* how far the tool tip moves, mm */
    struct perpend_shortfall short_of[2]; /* toward the right, toward the back */
    double
        raise; /* mm to raise Z first, else the arm's tip would touch the bed in a step or in the next
                     sweep; 0 when it clears. Set by perpend_plan_watch */
    bool from_stock; /* shims are stacks of leaves on hand; else of the thickness wanted: no stock
                        is stated, or no leaf that is left serves */
};

/** What is needed to plan. */
struct perpend_plan_input {
    struct perpend_slope lean; /* as found by the last measurement */
    const struct perpend_mount *mount;
    const struct perpend_stock *stock;       /* NULL or empty: shims are as thick as wanted */
    const struct perpend_response *response; /* NULL: the identity */
    const struct perpend_cutter *cutter;
    const struct perpend_facing *facing;
    double goal;          /* ridge, mm; 0 or NAN when there is none. Only where shims come from a
                             stock: a plan that meets it with room to spare is not bettered by
                             disturbing another joint, and what is worth less than a tenth of it is
                             left alone */
    bool upright;         /* the lean has a goal of its own: no step is for holes alone */
    const double *turned; /* a joint: turn already taken from its play in this job, rad about its
                             face direction; NULL: none */
    const double *inside; /* a bolt, joint by joint in the mount's order: mm of shim that this job
                             has put in; NULL: none */
};

/**
 * Make a plan: fewest joints disturbed, then slides within the play, then fewest shims; shims of a
 * joint lie in a plane. They come from the stock; where shims are wanted and not one leaf of it
 * serves, or none is left, they are as thick as the geometry wants. Shims that are in the mount come
 * out where that does as much as putting in others.
 *
 * One joint is finished before the next is touched; in a joint slides and turns come before shims,
 * which would fall out. Joints that are for holes alone come last.
 *
 * Given:    input   its mount may be empty: then there are no steps
 * Returned: plan    release with perpend_plan_finish; its `watch` fields are NAN until
 *                   perpend_plan_watch is called. Untouched on an error
 * Errors:   PERPEND_ERR_VALUE (a lean that is not finite, bit or facing out of range, more joints,
 *           bolts or leaves than perpend/mount.h allows, a joint of one bolt), PERPEND_ERR_MEMORY, PERPEND_ERR_STEPOVER
 * Source:   docs/method.md, "The mount", "Shims on hand"
 */
enum perpend_status perpend_plan_make(
    const struct perpend_plan_input *input, struct perpend_plan *plan);

/** What is known when a plan's readings are worked out. */
struct perpend_outlook {
    const struct perpend_mount *mount;       /* the one that the plan was made for */
    const struct perpend_response *response; /* as planned with */
    const struct perpend_setup *setup;
    const struct perpend_fit *fit;          /* the last measurement's */
    const struct perpend_reading *readings; /* its readings; the carriage stands at the last */
    size_t reading_count;                   /* ≥ 1 */
};

/**
 * Fill in what to watch at each step: the bearing at which the arm's reading changes most, the
 * reading there before the step (the earlier steps done) and the one to reach, the arm's tip
 * carried along by the turn about the step's pivot; and how far Z has to be raised first.
 *
 * Given:    plan     as made
 * Returned: plan     its `raise`, its steps' `watch`
 * Errors:   PERPEND_ERR_VALUE (no arm, or a gauge that shows nothing)
 */
enum perpend_status perpend_plan_watch(
    struct perpend_plan *plan, const struct perpend_outlook *outlook);

/**
 * The fit that the next sweep should give once the plan is carried out, Z raised as it says: each step
 * turns the spindle about its pivot as far as the response lets it.
 *
 * Given:    plan      as watched
 * Returned: next      as `fit`, with the plan's `lean_after` for a lean and the centre (mm) carried along
 * Source:   docs/method.md, "A turn and its parts", "Learning"
 */
void perpend_plan_foresee(const struct perpend_plan *plan, const struct perpend_outlook *outlook,
    struct perpend_fit *next);

/**
 * Take the leaves that a plan's stacks use out of a stock: they are in the mount once it is done.
 *
 * Given:    plan   made for this stock
 * Returned: stock  counts lowered, never below 0
 */
void perpend_plan_take_leaves(const struct perpend_plan *plan, struct perpend_stock *stock);

/** Release what a plan owns; a zeroed plan and NULL are fine. */
void perpend_plan_finish(struct perpend_plan *plan);

#ifdef __cplusplus
}
#endif

#endif
