/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A plan from end to end. */
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "core/plan/plan_parts.h"

static void add_tip(
    struct perpend_plan *plan, const struct perpend_step *step, const struct situation *situation)
{
    struct perpend_slope expected = step->change;
    if (situation->input->response)
        expected = perpend_response_expect(situation->input->response, step->change);
    struct perpend_point pivot = step_pivot(step, situation->input->mount);
    struct perpend_point arm = {-pivot.right, -pivot.back, -pivot.up};
    struct perpend_point moved = perpend_cross(turn_for_change(expected), arm);
    plan->tip.right += moved.right;
    plan->tip.back += moved.back;
    plan->tip.up += moved.up;
}

static bool input_good(const struct perpend_plan_input *input)
{
    if (!input->mount || !input->cutter || !input->facing || !isfinite(input->lean.right) ||
        !isfinite(input->lean.back) || input->mount->joint_count > PERPEND_JOINTS_MOST ||
        (input->stock && input->stock->leaf_count > PERPEND_LEAVES_MOST))
        return false;
    for (size_t i = 0; i < input->mount->joint_count; i++) {
        const struct perpend_joint *joint = &input->mount->joints[i];
        if (joint->bolt_count < 2 || joint->bolt_count > PERPEND_BOLTS_MOST)
            return false;
        if (input->turned && !isfinite(input->turned[i]))
            return false;
    }
    return true;
}

/* What follows from the steps. */
static enum perpend_status sum_up(struct perpend_plan *plan, const struct situation *situation)
{
    const struct perpend_plan_input *input = situation->input;
    struct perpend_response identity = perpend_response_start();
    const struct perpend_response *response = input->response ? input->response : &identity;
    plan->wanted = perpend_response_ask(response, input->lean);
    for (size_t i = 0; i < plan->step_count; i++) {
        plan->asked = slope_sum(plan->asked, 1.0, plan->steps[i].change);
        add_tip(plan, &plan->steps[i], situation);
    }
    struct perpend_slope expected = perpend_response_expect(response, plan->asked);
    plan->lean_after = slope_sum(input->lean, 1.0, expected);
    return perpend_ridge_facing(plan->lean_after, input->cutter, input->facing, &plan->ridge);
}

static enum perpend_status make(const struct perpend_plan_input *input, struct perpend_plan *plan)
{
    struct situation situation;
    struct choice choice;
    struct perpend_plan made = {.steps = NULL};
    enum perpend_status status = situation_init(&situation, input);
    if (status == PERPEND_OK) {
        choose(&situation, &choice);
        status = plan_add_steps(&made, &situation, &choice);
    }
    if (status == PERPEND_OK)
        status = sum_up(&made, &situation);
    if (status == PERPEND_OK) {
        plan_note_shortfalls(&made, &situation, &choice);
        made.from_stock = situation.stocked;
        *plan = made;
    } else {
        perpend_plan_finish(&made);
    }
    situation_finish(&situation);
    return status;
}

/* Whether shims are wanted, and not one leaf of the stock serves. */
static bool no_leaf_serves(const struct perpend_plan *plan)
{
    bool wanted = false;
    for (size_t axis = 0; axis < 2; axis++) {
        const struct perpend_shortfall *is = &plan->short_of[axis];
        wanted = wanted || (is->present && is->joint != NO_JOINT &&
                               perpend_move_find(is->move)->limit == PERPEND_LIMIT_STOCK);
    }
    for (size_t i = 0; i < plan->step_count; i++)
        if (perpend_move_find(plan->steps[i].move)->limit == PERPEND_LIMIT_STOCK)
            return false;
    return wanted && plan->from_stock;
}

enum perpend_status perpend_plan_make(
    const struct perpend_plan_input *input, struct perpend_plan *plan)
{
    struct perpend_plan made;
    if (!input_good(input))
        return PERPEND_ERR_VALUE;
    enum perpend_status status = make(input, &made);
    if (status == PERPEND_OK && no_leaf_serves(&made)) {
        struct perpend_plan_input any_thickness = *input;
        any_thickness.stock = NULL;
        perpend_plan_finish(&made);
        status = make(&any_thickness, &made);
    }
    if (status == PERPEND_OK)
        *plan = made;
    return status;
}

void perpend_plan_take_leaves(const struct perpend_plan *plan, struct perpend_stock *stock)
{
    for (size_t i = 0; i < plan->step_count; i++)
        for (size_t j = 0; j < plan->steps[i].bolt_count; j++) {
            const struct perpend_bolt_move *bolt = &plan->steps[i].bolts[j];
            for (size_t k = 0; k < bolt->stack_count; k++) {
                const struct perpend_stack_part *part = &bolt->stack[k];
                if (part->leaf >= stock->leaf_count)
                    continue;
                struct perpend_leaf *leaf = &stock->leaves[part->leaf];
                leaf->count -= part->count < leaf->count ? part->count : leaf->count;
            }
        }
}

void perpend_plan_finish(struct perpend_plan *plan)
{
    if (!plan)
        return;
    for (size_t i = 0; i < plan->step_count; i++)
        free(plan->steps[i].bolts);
    free(plan->steps);
    memset(plan, 0, sizeof *plan);
}
