/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What each move of each joint can do for the lean, and what a lean costs. */
#include <perpend/units.h>

#include "core/plan/plan_parts.h"

/* What lies along the feed hardly shows in the floor, but in deep cuts and drilled holes: it counts by
   this much. */
#define ALONG_THE_FEED 0.5

/* The heap's table is this much taller than the thickest wish: a stack of twice the wish leans the
   spindle as far the other way as it leans now. */
#define TALLER 2.0
#define TALLEST_ROOM 0.2 /* mm */

/* Steps of the search for planes and stacks, a µs each or less. Mounts and stocks as people have
   them take a hundredth of it. */
#define WORK_MOST 500000L

static bool leaf_on_hand(const struct perpend_stock *stock)
{
    for (size_t i = 0; stock && i < stock->leaf_count; i++)
        if (stock->leaves[i].count > 0)
            return true;
    return false;
}

/* Of the two signs of a direction the same one always, so that like moves compare equal. */
static struct move_reach turned_forward(struct move_reach reach)
{
    struct perpend_slope d = reach.direction;
    if (reach.dims != 1 || d.right > 0.0 || (d.right == 0.0 && d.back > 0.0))
        return reach;
    return (struct move_reach){1, {-d.right, -d.back}, -reach.high, -reach.low};
}

static void add_moves(struct situation *situation)
{
    const struct perpend_plan_input *input = situation->input;
    const struct perpend_move_row *row;
    for (size_t i = 0; i < input->mount->joint_count; i++)
        for (size_t m = 0; (row = perpend_move_at(m)) != NULL; m++) {
            const struct perpend_joint *joint = &input->mount->joints[i];
            double turned = input->turned ? input->turned[i] : 0.0;
            if (!(joint->allows & (unsigned)row->move))
                continue;
            struct move_reach reach = row->geometry->reach(row, joint, turned);
            bool stacked = situation->stocked && row->limit == PERPEND_LIMIT_STOCK;
            if (reach.dims > 0)
                situation->moves[situation->move_count++] =
                    (struct joint_move){i, row, turned_forward(reach), stacked};
        }
}

static void weigh(struct situation *situation)
{
    const struct perpend_facing *facing = situation->input->facing;
    double along = facing->both_ways || situation->input->upright ? 1.0 : ALONG_THE_FEED;
    double sine = sin(facing->along), cosine = cos(facing->along);
    situation->weigh[0] = facing->stepover * hypot(cosine, along * sine);
    situation->weigh[1] = facing->stepover * hypot(sine, along * cosine);
}

double cost_of(const struct situation *situation, struct perpend_slope lean)
{
    return hypot(situation->weigh[0] * lean.right, situation->weigh[1] * lean.back);
}

/* mm at the bolt that moves most for the change that is wanted, if one move made it in each axis. */
static double thickest_wish(const struct situation *situation)
{
    const struct perpend_plan_input *input = situation->input;
    struct perpend_response identity = perpend_response_start();
    struct perpend_slope change =
        perpend_response_ask(input->response ? input->response : &identity, input->lean);
    double thickest = 0.0;
    for (size_t i = 0; i < situation->move_count; i++) {
        const struct joint_move *move = &situation->moves[i];
        const struct perpend_joint *joint = &input->mount->joints[move->joint];
        if (move->stacked)
            thickest = fmax(
                thickest, most_moved(move->row, joint, (struct perpend_slope){change.right, 0}) +
                              most_moved(move->row, joint, (struct perpend_slope){0, change.back}));
    }
    return thickest;
}

enum perpend_status situation_init(
    struct situation *situation, const struct perpend_plan_input *input)
{
    *situation = (struct situation){
        .input = input,
        .gain = {{{1, 0}, {0, 1}}},
        .stocked = leaf_on_hand(input->stock),
        .work = WORK_MOST,
    };
    if (input->response)
        situation->gain = response_tamed(input->response);
    add_moves(situation);
    weigh(situation);
    situation->beyond = reach_beyond(situation, MOVE_BIT(situation->move_count) - 1);
    if (!situation->stocked)
        return PERPEND_OK;
    return heap_init(&situation->heap, input->stock,
        fmin(TALLER * thickest_wish(situation) + TALLEST_ROOM, PERPEND_STACK_TALLEST));
}

void situation_finish(struct situation *situation)
{
    heap_finish(&situation->heap);
}
