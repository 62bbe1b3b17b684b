/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which joints and moves: fewest joints disturbed, then slides within the play, then fewest
   shims, among those that leave as little lean as any choice can. */
#include <math.h>
#include <stdlib.h>

#include <perpend/ridge.h>
#include <perpend/status.h>

#include "core/plan/plan_parts.h"

/* As good as the best: within this share of it and this much, mm of merit. Leaves come in steps, so
   that with a stock a half µm is nothing. */
#define AS_GOOD_SHARE 1e-6
#define AS_GOOD_SLIP 1e-9
#define AS_GOOD_SHARE_STOCKED 1e-3
#define AS_GOOD_SLIP_STOCKED 5e-4

/* Meets the goal with room to spare, and does most of what there was to do. */
#define GOAL_SHARE 0.25
#define FOUND_SHARE 0.1

/* With more joints than this only choices of up to a few are tried, beside all of them. */
#define JOINTS_EXACT 8
#define JOINTS_FEW 3

/* Sines of angles between the changes of two moves. */
#define PARALLEL 1e-9
#define NEARLY_PARALLEL 0.3

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
    double share = situation->stocked ? AS_GOOD_SHARE_STOCKED : AS_GOOD_SHARE;
    return merit <= best * (1.0 + share) + slip_of(situation);
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
    openings_for_change(joint, change, shim);
    for (size_t i = 0; i < joint->bolt_count; i++)
        count += shim[i] > 0.0;
    return count;
}

/* Fill in what follows from the changes. */
static enum perpend_status sum_up(const struct situation *situation, struct choice *choice)
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
static enum perpend_status evaluate(
    const struct situation *situation, unit_set set, struct choice *choice)
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
        enum perpend_status status = stock_choose(situation, beside, stacked, count, choice);
        if (status != PERPEND_OK)
            return status;
    }
    return sum_up(situation, choice);
}

/* Leave out what changes nothing: shims first, then screws, then slides. */
static enum perpend_status prune(const struct situation *situation, struct choice *choice)
{
    double best = choice->merit;
    static const enum perpend_move order[] = {
        PERPEND_MOVE_SHIM, PERPEND_MOVE_SCREW, PERPEND_MOVE_SLIDE};
    struct choice without;
    for (size_t k = 0; k < sizeof order / sizeof order[0]; k++)
        for (size_t i = situation->unit_count; i-- > 0;) {
            if (!(choice->used & UNIT(i)) || situation->units[i].move != order[k])
                continue;
            enum perpend_status status = evaluate(situation, choice->used & ~UNIT(i), &without);
            if (status != PERPEND_OK)
                return status;
            if (as_good(situation, without.merit, best))
                *choice = without;
        }
    return PERPEND_OK;
}

/* --- the sets worth trying -------------------------------------------------------------------- */

/* One set of units: what it could come to if the stock had every thickness, and what it came to. */
struct trial {
    unit_set set;
    size_t joints;
    double relaxed;
    bool done;
    double merit;
    size_t shims, moves;
    unsigned leaves;
    double effort; /* size of all its changes together, mm/mm */
};

struct trials {
    const struct situation *situation;
    struct trial *list;
    size_t count, room;
};

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

static enum perpend_status list_set(struct trials *trials, unit_set set, size_t joints)
{
    double relaxed = relaxed_merit(trials->situation, set);
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
        .joints = joints,
        .relaxed = relaxed,
    };
    return PERPEND_OK;
}

static unsigned long long joints_of(const struct situation *situation, unit_set set)
{
    unsigned long long joints = 0;
    for (size_t i = 0; i < situation->unit_count; i++)
        if (set & UNIT(i))
            joints |= 1ULL << situation->units[i].joint;
    return joints;
}

/* Two moves whose changes lie nearly the same way would work against one another, far, for a little
   across. */
static bool clash(const struct situation *situation, unit_set set, size_t index)
{
    const struct unit *unit = &situation->units[index];
    for (size_t i = 0; i < situation->unit_count; i++) {
        const struct unit *other = &situation->units[i];
        if (!(set & UNIT(i)) || other->dims != 1 || unit->dims != 1)
            continue;
        double across = fabs(unit->direction.right * other->direction.back -
                             unit->direction.back * other->direction.right);
        if (across > PARALLEL && across < NEARLY_PARALLEL)
            return true;
    }
    return false;
}

/* Two shims that together say everything: one axis each, and not the same. */
static bool complement(const struct situation *situation, size_t a, size_t b)
{
    const struct unit *first = &situation->units[a], *second = &situation->units[b];
    if (first->dims != 1 || second->dims != 1)
        return false;
    return fabs(first->direction.right * second->direction.back -
                first->direction.back * second->direction.right) >= NEARLY_PARALLEL;
}

/* The slides and screws reach as far without the shims. */
static bool shims_idle(const struct situation *situation, unit_set set, unit_set beside)
{
    return set != beside &&
           as_good(situation, relaxed_merit(situation, beside), relaxed_merit(situation, set));
}

/* All ways to use just these joints: every slide and screw of theirs, with no, one or two shims. */
static enum perpend_status list_joints(struct trials *trials, unsigned long long joints)
{
    const struct situation *situation = trials->situation;
    unit_set beside = 0;
    size_t shims[PLAN_UNITS_MOST], count = 0;
    for (size_t i = 0; i < situation->unit_count; i++) {
        if (!(joints & (1ULL << situation->units[i].joint)))
            continue;
        if (situation->units[i].move == PERPEND_MOVE_SHIM)
            shims[count++] = i;
        else if (!clash(situation, beside, i))
            beside |= UNIT(i);
    }
    /* `count` stands for none */
    for (size_t a = 0; a <= count; a++)
        for (size_t b = a < count ? a + 1 : count; b <= count; b++) {
            unit_set set = beside;
            if (a < count && !clash(situation, set, shims[a]))
                set |= UNIT(shims[a]);
            if (b < count && !clash(situation, set, shims[b]))
                set |= UNIT(shims[b]);
            if (b < count && !complement(situation, shims[a], shims[b]))
                continue;
            if (joints_of(situation, set) != joints || shims_idle(situation, set, beside))
                continue;
            enum perpend_status status = list_set(trials, set, bits_in(joints));
            if (status != PERPEND_OK)
                return status;
        }
    return PERPEND_OK;
}

static enum perpend_status list_sets(struct trials *trials)
{
    size_t count = trials->situation->input->mount->joint_count;
    unsigned long long all = (1ULL << count) - 1;
    for (unsigned long long joints = 0; joints <= all; joints++) {
        size_t size = bits_in(joints);
        if (size > JOINTS_FEW && count > JOINTS_EXACT && size < count)
            continue;
        enum perpend_status status = list_joints(trials, joints);
        if (status != PERPEND_OK)
            return status;
    }
    return PERPEND_OK;
}

/* The most promising first; of those that promise the same, what disturbs fewer joints. */
static int by_promise(const void *a, const void *b)
{
    const struct trial *first = a, *second = b;
    double apart = floor(first->relaxed / AS_GOOD_SLIP) - floor(second->relaxed / AS_GOOD_SLIP);
    if (apart != 0.0)
        return apart < 0.0 ? -1 : 1;
    if (first->joints != second->joints)
        return first->joints < second->joints ? -1 : 1;
    return (first->set > second->set) - (first->set < second->set);
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
    if (a->moves != b->moves)
        return a->moves < b->moves;
    return a->effort < b->effort - AS_GOOD_SLIP;
}

static const struct trial *least_trouble(const struct trials *trials, double best)
{
    const struct situation *situation = trials->situation;
    const struct trial *chosen = NULL;
    for (size_t i = 0; i < trials->count; i++) {
        const struct trial *trial = &trials->list[i];
        if (!trial->done ||
            (!plenty(situation, trial->merit) && !as_good(situation, trial->merit, best)))
            continue;
        if (!chosen || less_trouble(trial, chosen))
            chosen = trial;
    }
    return chosen;
}

/* Whether a set could still be chosen, given the best merit so far and the fewest joints of a set
   that reaches plenty. */
static bool worth_trying(
    const struct situation *situation, const struct trial *trial, double best, size_t joints)
{
    if (trial->joints > joints)
        return false;
    return plenty(situation, trial->relaxed) || as_good(situation, trial->relaxed, best);
}

static enum perpend_status try_set(
    const struct situation *situation, struct trial *trial, struct choice *choice)
{
    enum perpend_status status = evaluate(situation, trial->set, choice);
    /* with a stock that would take more searches; it waits for the one that is chosen */
    if (status == PERPEND_OK && !situation->stocked)
        status = prune(situation, choice);
    trial->done = true;
    trial->joints = choice->joints;
    trial->merit = choice->merit;
    trial->shims = choice->shims;
    trial->moves = bits_in(choice->used);
    trial->leaves = choice->leaves;
    trial->effort = 0.0;
    for (size_t i = 0; i < situation->unit_count; i++)
        trial->effort += perpend_slope_size(choice->change[i]);
    return status;
}

enum perpend_status choose(const struct situation *situation, struct choice *best)
{
    struct trials trials = {.situation = situation};
    double merit = INFINITY;
    size_t enough = SIZE_MAX, searches = 0;
    unit_set evaluated = 0;
    enum perpend_status status = list_sets(&trials);
    if (status == PERPEND_OK)
        qsort(trials.list, trials.count, sizeof *trials.list, by_promise);
    for (size_t i = 0; status == PERPEND_OK && i < trials.count; i++) {
        struct trial *trial = &trials.list[i];
        if (!worth_trying(situation, trial, merit, enough))
            continue;
        if (situation->stocked && searches++ >= STOCK_SEARCHES_MOST)
            break;
        evaluated = trial->set;
        status = try_set(situation, trial, best);
        merit = fmin(merit, best->merit);
        if (plenty(situation, best->merit) && best->joints < enough)
            enough = best->joints;
    }
    if (status == PERPEND_OK) {
        const struct trial *chosen = least_trouble(&trials, merit);
        if (chosen->set != evaluated)
            status = evaluate(situation, chosen->set, best);
    }
    if (status == PERPEND_OK)
        status = prune(situation, best);
    free(trials.list);
    return status;
}
