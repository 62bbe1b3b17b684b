/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/plan/on_hand.h"

#include <math.h>
#include <string.h>

#include <perpend/status.h>

#include "core/mount/mount_parts.h"
#include "core/plan/stacks.h"

#define MADE_UP 1e-3 /* mm: a stack as thick as this near to a shim is that shim */

enum perpend_status on_hand_init(
    struct on_hand *hand, const struct perpend_machine *machine, const struct perpend_job *job)
{
    const struct perpend_mount *mount = &machine->mount;
    size_t kinds = machine->stock.leaf_count;
    *hand = (struct on_hand){.machine = machine, .stock = {hand->leaves, kinds}};
    if (kinds > PERPEND_LEAVES_MOST || mount->joint_count > PERPEND_JOINTS_MOST ||
        bolts_before(mount, mount->joint_count) > sizeof hand->inside / sizeof hand->inside[0])
        return PERPEND_ERR_VALUE;
    if (kinds > 0)
        memcpy(hand->leaves, machine->stock.leaves, kinds * sizeof *hand->leaves);
    if (job->stock && job->stock_count != kinds)
        return PERPEND_ERR_VALUE;
    for (size_t i = 0; job->stock && i < kinds; i++)
        hand->leaves[i].count = job->stock[i];
    for (size_t i = 0; i < job->inside_count; i++) {
        const struct perpend_did *is = &job->inside[i];
        if (is->joint >= mount->joint_count || is->bolt >= mount->joints[is->joint].bolt_count)
            return PERPEND_ERR_VALUE;
        hand->inside[bolts_before(mount, is->joint) + is->bolt] += is->amount.value;
    }
    return PERPEND_OK;
}

/* Move the leaves that make up a thickness: those on hand go in; taken out, they are on hand again. */
static enum perpend_status move_leaves(struct on_hand *hand, double thickness)
{
    struct perpend_leaf leaves[PERPEND_LEAVES_MOST];
    struct perpend_stock movable = {leaves, hand->stock.leaf_count};
    unsigned counts[STACKS_BINS_MOST][PERPEND_LEAVES_MOST];
    long work = STACKS_WORK_MOST;
    struct heap heap;
    bool out = thickness < 0.0;
    double low = (fabs(thickness) - MADE_UP) / STACKS_GRAIN;
    double high = (fabs(thickness) + MADE_UP) / STACKS_GRAIN;
    if (low < 1.0 || fabs(thickness) > STACKS_TALLEST)
        return PERPEND_OK;
    for (size_t i = 0; i < movable.leaf_count; i++) {
        leaves[i] = hand->leaves[i];
        unsigned all = hand->machine->stock.leaves[i].count, here = hand->leaves[i].count;
        if (out)
            leaves[i].count = all > here ? all - here : 0;
    }
    enum perpend_status status = heap_init(&heap, &movable, fabs(thickness) + MADE_UP);
    if (status != PERPEND_OK)
        return status;
    struct bin bin = {(unsigned)ceil(low), (unsigned)floor(high)};
    unsigned fewest = stacks_fewest(&heap, bin);
    if (fewest != STACKS_NONE && stacks_fill(&heap, &bin, 1, fewest, &work, counts) != STACKS_NONE)
        for (size_t k = 0; k < heap.kinds; k++)
            hand->leaves[heap.leaf[k]].count += out ? counts[0][k] : -counts[0][k];
    heap_finish(&heap);
    return PERPEND_OK;
}

enum perpend_status on_hand_did_plan(struct on_hand *hand, const struct perpend_plan *plan)
{
    enum perpend_status status = PERPEND_OK;
    perpend_plan_take_leaves(plan, &hand->stock);
    for (size_t i = 0; i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        double *inside = hand->inside + bolts_before(&hand->machine->mount, step->joint);
        if (step->move != PERPEND_MOVE_SHIM)
            continue;
        for (size_t k = 0; k < step->bolt_count && status == PERPEND_OK; k++) {
            double shim = step->bolts[k].amount.value;
            inside[k] += shim;
            if (shim < 0.0)
                status = move_leaves(hand, shim);
        }
    }
    return status;
}

enum perpend_status on_hand_did(struct on_hand *hand, const struct perpend_did *did)
{
    if (did->move != PERPEND_MOVE_SHIM || !isfinite(did->amount.value))
        return PERPEND_OK;
    hand->inside[bolts_before(&hand->machine->mount, did->joint) + did->bolt] += did->amount.value;
    return move_leaves(hand, did->amount.value);
}
