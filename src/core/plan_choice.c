/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which joints and moves: fewest joints disturbed, then slides within the play, then fewest
   shims, among those that leave as little lean as any choice can. */
#include <math.h>
#include <stdlib.h>

#include <perpend/ridge.h>
#include <perpend/status.h>

#include "plan_parts.h"

/* As good as the best: within this share and this much of it, mm of merit. Leaves come in steps,
   so that with a stock a half µm is nothing. */
#define AS_GOOD_SHARE 1.001
#define AS_GOOD_SLIP 1e-9
#define AS_GOOD_SLIP_STOCKED 5e-4

/* Meets the goal with room to spare, and does most of what there was to do. */
#define GOAL_SHARE 0.25
#define FOUND_SHARE 0.1

/* With more joints than this only choices of up to a few are tried, beside all of them. */
#define JOINTS_EXACT 8
#define JOINTS_FEW 3

/* Searches of the stock in one plan: a bound, far above what real mounts take. */
#define STOCK_SEARCHES_MOST 300

static size_t bits_in(unsigned long long set)
{
    size_t count = 0;
    for (; set; set &= set - 1)
        count++;
    return count;
}

static double merit_of(const struct situation *situation, struct perpend_slope left)
{
    return situation->input->facing->stepover * (fabs(left.right) + fabs(left.back));
}

static double slip_of(const struct situation *situation)
{
    return situation->stocked ? AS_GOOD_SLIP_STOCKED : AS_GOOD_SLIP;
}

/* Nothing better is worth another joint. */
static bool plenty(const struct situation *situation, double merit)
{
    if (merit <= slip_of(situation))
        return true;
    return situation->stocked && situation_has_goal(situation) &&
           merit <= GOAL_SHARE * situation->input->goal &&
           merit <= FOUND_SHARE * merit_of(situation, situation->input->lean);
}

static bool as_good(const struct situation *situation, double merit, double best)
{
    return merit <= best * AS_GOOD_SHARE + slip_of(situation);
}

static bool is_stacked(const struct situation *situation, size_t unit)
{
    return situation->stocked && situation->units[unit].move == PERPEND_MOVE_SHIM;
}

static size_t bolts_shimmed(
    const struct situation *situation, const struct unit *unit, struct perpend_slope change)
{
    const struct perpend_joint *joint = &situation->input->mount->joints[unit->joint];
    double shim[PERPEND_BOLTS_MOST];
    size_t count = 0;
    if (unit->move != PERPEND_MOVE_SHIM)
        return 0;
    shims_for_change(joint, change, shim);
    for (size_t i = 0; i < joint->bolt_count; i++)
        count += shim[i] > 0.0;
    return count;
}

/* Fill in what follows from the changes. */
static int sum_up(const struct situation *situation, struct choice *choice)
{
    const struct perpend_plan_input *input = situation->input;
    struct perpend_slope sum = {0, 0};
    unsigned long long joints = 0;
    choice->used = 0;
    choice->shims = 0;
    for (size_t i = 0; i < situation->unit_count; i++) {
        if (choice->change[i].right == 0.0 && choice->change[i].back == 0.0)
            continue;
        sum.right += choice->change[i].right;
        sum.back += choice->change[i].back;
        choice->used |= UNIT(i);
        joints |= 1ULL << situation->units[i].joint;
        choice->shims += bolts_shimmed(situation, &situation->units[i], choice->change[i]);
    }
    choice->joints = bits_in(joints);
    choice->left = expect_after(situation, input->lean, sum);
    choice->merit = merit_of(situation, choice->left);
    return perpend_ridge_facing(choice->left, input->cutter, input->facing, &choice->ridge);
}

/* The best that the units of `set` can do. */
static int evaluate(const struct situation *situation, unit_set set, struct choice *choice)
{
    size_t stacked[PLAN_STACKED_MOST], count = 0;
    for (size_t i = 0; i < situation->unit_count; i++)
        if ((set & UNIT(i)) && is_stacked(situation, i))
            stacked[count++] = i;
    choice->stacked_count = 0;
    choice->leaves = 0;
    if (count == 0) {
        reach_nearest(situation, situation->input->lean, set, choice->change);
    } else {
        unit_set beside = set;
        for (size_t k = 0; k < count; k++)
            beside &= ~UNIT(stacked[k]);
        int status = stock_choose(situation, beside, stacked, count, choice);
        if (status != PERPEND_OK)
            return status;
    }
    return sum_up(situation, choice);
}

/* Leave out what changes nothing: shims first, then screws, then slides. */
static int prune(const struct situation *situation, struct choice *choice)
{
    double best = choice->merit;
    static const enum perpend_move order[] = {
        PERPEND_MOVE_SHIM, PERPEND_MOVE_SCREW, PERPEND_MOVE_SLIDE};
    struct choice without;
    for (size_t k = 0; k < sizeof order / sizeof order[0]; k++)
        for (size_t i = situation->unit_count; i-- > 0;) {
            if (!(choice->used & UNIT(i)) || situation->units[i].move != order[k])
                continue;
            int status = evaluate(situation, choice->used & ~UNIT(i), &without);
            if (status != PERPEND_OK)
                return status;
            if (as_good(situation, without.merit, best))
                *choice = without;
        }
    return PERPEND_OK;
}

/* --- the sets worth trying -------------------------------------------------------------------- */

/* One set of units tried, and what it came to. */
struct trial {
    unit_set set;
    double merit;
    size_t joints, shims, moves;
    unsigned leaves;
};

struct trials {
    const struct situation *situation;
    struct trial *list;
    size_t count, room;
    double best; /* least merit so far */
    size_t best_joints;
    size_t searches; /* of the stock */
};

static int add_trial(struct trials *trials, unit_set set, const struct choice *choice)
{
    if (trials->count == trials->room) {
        size_t room = trials->room ? 2 * trials->room : 64;
        struct trial *more = realloc(trials->list, room * sizeof *more);
        if (!more)
            return PERPEND_ERR_MEMORY;
        trials->list = more;
        trials->room = room;
    }
    trials->list[trials->count++] = (struct trial){
        .set = set,
        .merit = choice->merit,
        .joints = choice->joints,
        .shims = choice->shims,
        .moves = bits_in(choice->used),
        .leaves = choice->leaves,
    };
    if (choice->merit < trials->best) {
        trials->best = choice->merit;
        trials->best_joints = choice->joints;
    }
    return PERPEND_OK;
}

/* With shims of any thickness instead of the stock's, no worse than with the stock. */
static double relaxed_merit(const struct situation *situation, unit_set set)
{
    struct perpend_slope change[PLAN_UNITS_MOST], sum = {0, 0};
    reach_nearest(situation, situation->input->lean, set, change);
    for (size_t i = 0; i < situation->unit_count; i++) {
        sum.right += change[i].right;
        sum.back += change[i].back;
    }
    return merit_of(situation, expect_after(situation, situation->input->lean, sum));
}

static int try_set(struct trials *trials, unit_set set, size_t joints, bool stacked)
{
    const struct situation *situation = trials->situation;
    struct choice choice;
    if (stacked) {
        bool hopeless =
            joints > trials->best_joints &&
            relaxed_merit(situation, set) * AS_GOOD_SHARE + slip_of(situation) >= trials->best;
        if (hopeless || trials->searches >= STOCK_SEARCHES_MOST)
            return PERPEND_OK;
        trials->searches++;
    }
    int status = evaluate(situation, set, &choice);
    return status == PERPEND_OK ? add_trial(trials, set, &choice) : status;
}

static unsigned long long joints_of(const struct situation *situation, unit_set set)
{
    unsigned long long joints = 0;
    for (size_t i = 0; i < situation->unit_count; i++)
        if (set & UNIT(i))
            joints |= 1ULL << situation->units[i].joint;
    return joints;
}

/* All ways to use just these joints: every slide and screw of theirs, with no, one or two shims. */
static int try_joints(struct trials *trials, unsigned long long joints)
{
    const struct situation *situation = trials->situation;
    unit_set beside = 0;
    size_t shims[PLAN_UNITS_MOST], count = 0;
    for (size_t i = 0; i < situation->unit_count; i++) {
        if (!(joints & (1ULL << situation->units[i].joint)))
            continue;
        if (situation->units[i].move == PERPEND_MOVE_SHIM)
            shims[count++] = i;
        else
            beside |= UNIT(i);
    }
    /* pairs (a, b) of shims, where `count` stands for none */
    for (size_t a = count + 1; a-- > 0;)
        for (size_t b = count + 1; b-- > 0;) {
            bool single = a == count || b == count;
            if (b < a || (a == b && a < count))
                continue;
            unit_set set = beside;
            if (a < count)
                set |= UNIT(shims[a]);
            if (b < count)
                set |= UNIT(shims[b]);
            if (!single && situation->units[shims[a]].dims + situation->units[shims[b]].dims > 2)
                continue;
            if (joints_of(situation, set) != joints)
                continue;
            int status = try_set(
                trials, set, bits_in(joints), situation->stocked && !(a == count && b == count));
            if (status != PERPEND_OK)
                return status;
        }
    return PERPEND_OK;
}

static int try_all(struct trials *trials)
{
    size_t count = trials->situation->input->mount->joint_count;
    unsigned long long all = (1ULL << count) - 1;
    for (size_t size = 0; size <= count; size++) {
        bool tried = size <= JOINTS_FEW || count <= JOINTS_EXACT || size == count;
        for (unsigned long long joints = 0; tried && joints <= all; joints++) {
            if (bits_in(joints) != size)
                continue;
            int status = try_joints(trials, joints);
            if (status != PERPEND_OK)
                return status;
        }
        if (trials->count > 0 && plenty(trials->situation, trials->best))
            break;
    }
    return PERPEND_OK;
}

/* Of two that reach as far, the one that is less trouble. */
static bool less_trouble(const struct trial *a, const struct trial *b)
{
    if (a->joints != b->joints)
        return a->joints < b->joints;
    if (a->shims != b->shims)
        return a->shims < b->shims;
    if (a->leaves != b->leaves)
        return a->leaves < b->leaves;
    return a->moves < b->moves;
}

int choose(const struct situation *situation, struct choice *best)
{
    struct trials trials = {.situation = situation, .best = INFINITY};
    int status = try_all(&trials);
    const struct trial *chosen = NULL;
    for (size_t i = 0; status == PERPEND_OK && i < trials.count; i++) {
        const struct trial *trial = &trials.list[i];
        if (!plenty(situation, trial->merit) && !as_good(situation, trial->merit, trials.best))
            continue;
        if (!chosen || less_trouble(trial, chosen))
            chosen = trial;
    }
    if (status == PERPEND_OK)
        status = evaluate(situation, chosen ? chosen->set : 0, best);
    if (status == PERPEND_OK)
        status = prune(situation, best);
    free(trials.list);
    return status;
}
