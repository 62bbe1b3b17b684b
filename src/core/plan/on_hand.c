/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/plan/on_hand.h"

#include <math.h>
#include <stdlib.h>

#include <perpend/status.h>

#include "core/mount/mount_parts.h"

#define MADE_UP 1e-3 /* mm: a stack as thick as this near to a shim is that shim */

enum perpend_status on_hand_init(struct on_hand *hand, const struct perpend_machine *machine)
{
    const struct perpend_mount *mount = &machine->mount;
    size_t kinds = machine->stock.leaf_count;
    *hand = (struct on_hand){
        .machine = machine,
        .stock = {malloc((kinds + 1) * sizeof(struct perpend_leaf)), kinds},
        .inside = calloc(bolts_before(mount, mount->joint_count) + 1, sizeof(double)),
    };
    if (!hand->stock.leaves || !hand->inside)
        return PERPEND_ERR_MEMORY;
    for (size_t i = 0; i < kinds; i++)
        hand->stock.leaves[i] = machine->stock.leaves[i];
    return PERPEND_OK;
}

void on_hand_finish(struct on_hand *hand)
{
    free(hand->stock.leaves);
    free(hand->inside);
}

/* Leaves of one kind that may move: those on hand go in; out come those that are not. */
static unsigned movable(const struct on_hand *hand, size_t kind, bool out)
{
    unsigned left = hand->stock.leaves[kind].count;
    return out ? hand->machine->stock.leaves[kind].count - left : left;
}

/* The next thinner kind after `before`, or as thick and later in the list; from the thickest on
   when `before` is the number of kinds, which also says that there are no more. */
static size_t next_thinner(const struct perpend_stock *stock, size_t before)
{
    size_t found = stock->leaf_count;
    for (size_t i = 0; i < stock->leaf_count; i++) {
        double thick = stock->leaves[i].thick;
        if (before < stock->leaf_count &&
            (thick > stock->leaves[before].thick ||
                (thick == stock->leaves[before].thick && i <= before)))
            continue;
        if (found == stock->leaf_count || thick > stock->leaves[found].thick)
            found = i;
    }
    return found;
}

/* Move the thickest leaves that make up a thickness; what does not come out moves none. The second
   turn does what the first one found to come out. */
static void move_leaves(struct on_hand *hand, double thickness, bool out)
{
    const size_t kinds = hand->stock.leaf_count;
    for (int turn = 0; turn < 2; turn++) {
        double rest = thickness;
        for (size_t kind = next_thinner(&hand->stock, kinds); kind < kinds;
             kind = next_thinner(&hand->stock, kind)) {
            struct perpend_leaf *leaf = &hand->stock.leaves[kind];
            /* not below none: what is left may be a hair less than nothing */
            double most =
                leaf->thick > 0.0 ? fmax(floor((rest + MADE_UP) / leaf->thick), 0.0) : 0.0;
            unsigned room = movable(hand, kind, out);
            unsigned count = most < (double)room ? (unsigned)most : room;
            rest -= count * leaf->thick;
            if (turn == 1)
                leaf->count = out ? leaf->count + count : leaf->count - count;
        }
        if (fabs(rest) > MADE_UP)
            return;
    }
}

void on_hand_did_plan(struct on_hand *hand, const struct perpend_plan *plan)
{
    perpend_plan_take_leaves(plan, &hand->stock);
    for (size_t i = 0; i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        double *inside = hand->inside + bolts_before(&hand->machine->mount, step->joint);
        for (size_t k = 0; k < step->bolt_count; k++) {
            inside[k] += step->bolts[k].amount.value;
            if (step->bolts[k].amount.value < 0.0)
                move_leaves(hand, -step->bolts[k].amount.value, true);
        }
    }
}

void on_hand_did(struct on_hand *hand, const struct perpend_did *did)
{
    if (did->move != PERPEND_MOVE_SHIM || !isfinite(did->amount.value))
        return;
    hand->inside[bolts_before(&hand->machine->mount, did->joint) + did->bolt] += did->amount.value;
    move_leaves(hand, fabs(did->amount.value), did->amount.value < 0.0);
}
