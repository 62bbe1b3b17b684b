/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What each move of each joint can do for the lean. */
#include <math.h>

#include <perpend/ridge.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "core/mount/mount_parts.h"
#include "core/base/covariance.h"
#include "core/plan/plan_parts.h"

/* Along the feed a lean weighs at least this share of what it weighs across, so that the plan aims
   at no lean in both axes. */
#define LEAST_WEIGHT 0.1

/* For the ridge's slope at small leans. */
#define SMALL_LEAN 1e-3
#define SHARE_BEARINGS 24
#define SHARE_MARGIN 0.9

/* mm */
#define TALLEST_ROOM 0.2

static void add_units(struct situation *situation)
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
            if (reach.dims > 0)
                situation->units[situation->unit_count++] =
                    (struct unit){i, row->move, reach.dims, reach.direction, reach.low, reach.high};
        }
}

/* Rows: ridge, mm, for a lean square to the feed and along it. */
static enum perpend_status weigh_ridge(struct situation *situation)
{
    const struct perpend_cutter *cutter = situation->input->cutter;
    const struct perpend_facing *facing = situation->input->facing;
    double along = facing->both_ways ? 0.0 : facing->along;
    double feed_right = sin(along), feed_back = cos(along);
    struct perpend_slope lengthwise = {SMALL_LEAN * feed_right, SMALL_LEAN * feed_back};
    struct perpend_slope crosswise = {SMALL_LEAN * feed_back, -SMALL_LEAN * feed_right};
    double ridge_along, ridge_across;
    enum perpend_status status = perpend_ridge_facing(lengthwise, cutter, facing, &ridge_along);
    if (status == PERPEND_OK)
        status = perpend_ridge_facing(crosswise, cutter, facing, &ridge_across);
    if (status != PERPEND_OK)
        return status;
    double across_weight = ridge_across / SMALL_LEAN;
    double along_weight = fmax(ridge_along / SMALL_LEAN, LEAST_WEIGHT * across_weight);
    situation->weigh[0][0] = across_weight * feed_back;
    situation->weigh[0][1] = -across_weight * feed_right;
    situation->weigh[1][0] = along_weight * feed_right;
    situation->weigh[1][1] = along_weight * feed_back;
    return PERPEND_OK;
}

/* The ridge of small leans is in proportion to them, so the least share of the weighed size over
   all bearings bounds it from below; the margin covers the bearings between and larger leans. */
static enum perpend_status bound_ridge(struct situation *situation)
{
    double least = INFINITY;
    for (int i = 0; i < SHARE_BEARINGS; i++) {
        double bearing = i * PERPEND_PI / SHARE_BEARINGS, ridge;
        struct perpend_slope lean = {SMALL_LEAN * sin(bearing), SMALL_LEAN * cos(bearing)};
        enum perpend_status status =
            perpend_ridge_facing(lean, situation->input->cutter, situation->input->facing, &ridge);
        if (status != PERPEND_OK)
            return status;
        const double(*w)[2] = situation->weigh;
        double size = hypot(
            w[0][0] * lean.right + w[0][1] * lean.back, w[1][0] * lean.right + w[1][1] * lean.back);
        least = fmin(least, ridge / size);
    }
    situation->sure_share = SHARE_MARGIN * least;
    return PERPEND_OK;
}

/* mm at the most moved bolt for a change of a given size, whatever its bearing. */
static double most_opened(const struct perpend_joint *joint, const struct unit *unit, double size)
{
    double most = 0.0;
    for (size_t i = 0; i < joint->bolt_count; i++)
        for (size_t j = 0; j < i; j++) {
            struct perpend_slope a = shim_lever(joint->face, joint->bolts[i].at);
            struct perpend_slope b = shim_lever(joint->face, joint->bolts[j].at);
            struct perpend_slope apart = {a.right - b.right, a.back - b.back};
            double span =
                unit->dims == 2
                    ? perpend_slope_size(apart)
                    : fabs(apart.right * unit->direction.right + apart.back * unit->direction.back);
            most = fmax(most, span * size);
        }
    return most;
}

/* The heap's table is as tall as twice the thickest wish and a little more: a stack beyond that
   leaves more lean the other way than no stack leaves. */
static enum perpend_status fill_heap(struct situation *situation)
{
    const struct perpend_plan_input *input = situation->input;
    struct perpend_response identity = perpend_response_start();
    double size = perpend_slope_size(
        perpend_response_ask(input->response ? input->response : &identity, input->lean));
    double tallest = 0.0;
    for (size_t i = 0; i < situation->unit_count; i++) {
        const struct unit *unit = &situation->units[i];
        if (unit->move == PERPEND_MOVE_SHIM)
            tallest = fmax(tallest, most_opened(&input->mount->joints[unit->joint], unit, size));
    }
    return heap_init(&situation->heap, input->stock, 2.0 * tallest + TALLEST_ROOM);
}

static bool leaf_on_hand(const struct perpend_stock *stock)
{
    for (size_t i = 0; stock && i < stock->leaf_count; i++)
        if (stock->leaves[i].count > 0)
            return true;
    return false;
}

enum perpend_status situation_init(
    struct situation *situation, const struct perpend_plan_input *input)
{
    *situation = (struct situation){.input = input, .gain = {{{1, 0}, {0, 1}}}};
    if (input->response)
        situation->gain = response_tamed(input->response);
    add_units(situation);
    enum perpend_status status = weigh_ridge(situation);
    if (status != PERPEND_OK || !leaf_on_hand(input->stock))
        return status;
    situation->stocked = true;
    status = bound_ridge(situation);
    return status == PERPEND_OK ? fill_heap(situation) : status;
}

void situation_finish(struct situation *situation)
{
    heap_finish(&situation->heap);
}
