/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which joints and moves: fewest joints disturbed, then slides within the play, then fewest
   shims, among those that leave as little lean as any choice can. */
#include <math.h>

#include <perpend/status.h>

#include "plan_parts.h"

/* As good as the best: within this share and this much of it, mm of merit. */
#define AS_GOOD_SHARE 1.001
#define AS_GOOD_SLIP 1e-9

/* With more joints than this only choices of up to a few are tried, beside all of them. */
#define JOINTS_EXACT 8
#define JOINTS_FEW 3

static bool as_good(double merit, double best)
{
    return merit <= best * AS_GOOD_SHARE + AS_GOOD_SLIP;
}

static size_t bits_in(unsigned long long set)
{
    size_t count = 0;
    for (; set; set &= set - 1)
        count++;
    return count;
}

static void evaluate(const struct situation *situation, unit_set set, struct choice *choice)
{
    struct perpend_slope lean = situation->input->lean, sum = {0, 0};
    reach_nearest(situation, lean, set, choice->change);
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
        choice->shims += situation->units[i].move == PERPEND_MOVE_SHIM;
    }
    choice->joints = bits_in(joints);
    choice->left = expect_after(situation, lean, sum);
    choice->merit =
        situation->input->facing->stepover * (fabs(choice->left.right) + fabs(choice->left.back));
}

/* Leave out what is not needed: shims first, then screws, then slides. */
static void prune(const struct situation *situation, struct choice *choice, double best)
{
    static const enum perpend_move order[] = {
        PERPEND_MOVE_SHIM, PERPEND_MOVE_SCREW, PERPEND_MOVE_SLIDE};
    for (size_t k = 0; k < sizeof order / sizeof order[0]; k++)
        for (size_t i = situation->unit_count; i-- > 0;) {
            if (!(choice->used & UNIT(i)) || situation->units[i].move != order[k])
                continue;
            struct choice without;
            evaluate(situation, choice->used & ~UNIT(i), &without);
            if (as_good(without.merit, best))
                *choice = without;
        }
}

static bool better(const struct choice *a, const struct choice *b)
{
    if (a->joints != b->joints)
        return a->joints < b->joints;
    if (a->shims != b->shims)
        return a->shims < b->shims;
    return bits_in(a->used) < bits_in(b->used);
}

static unit_set units_of(const struct situation *situation, unsigned long long joints)
{
    unit_set set = 0;
    for (size_t i = 0; i < situation->unit_count; i++)
        if (joints & (1ULL << situation->units[i].joint))
            set |= UNIT(i);
    return set;
}

int choose(const struct situation *situation, struct choice *best)
{
    size_t joint_count = situation->input->mount->joint_count;
    unsigned long long all = (1ULL << joint_count) - 1;
    evaluate(situation, units_of(situation, all), best);
    double reach = best->merit;
    prune(situation, best, reach);
    for (unsigned long long joints = 0; joints < all; joints++) {
        if (joint_count > JOINTS_EXACT && bits_in(joints) > JOINTS_FEW)
            continue;
        struct choice choice;
        evaluate(situation, units_of(situation, joints), &choice);
        if (!as_good(choice.merit, reach))
            continue;
        prune(situation, &choice, reach);
        if (better(&choice, best))
            *best = choice;
    }
    return PERPEND_OK;
}
