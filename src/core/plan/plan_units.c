/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What each move of each joint can do for the lean. */
#include <math.h>

#include <perpend/ridge.h>
#include <perpend/status.h>
#include <perpend/units.h>

#include "core/mount/mount_parts.h"
#include "core/base/covariance.h"
#include "core/plan/plan_parts.h"

/* Bolts that spread less than this across their line, as a share of their spread along it, lie in
   a line: shims across it would have next to no lever. */
#define LINE_SHARE 0.02

/* A spread below this is none, mm. */
#define NO_SPREAD 1e-3

/* Bolts of one row differ by rounding only. */
#define ROUNDING 1e-9

/* Along the feed a lean weighs at least this share of what it weighs across, so that the plan aims
   at no lean in both axes. */
#define LEAST_WEIGHT 0.1

/* For the ridge's slope at small leans. */
#define SMALL_LEAN 1e-3
#define SHARE_BEARINGS 24
#define SHARE_MARGIN 0.9

/* mm */
#define TALLEST_ROOM 0.2

struct shim_span shim_span_of(const struct perpend_joint *joint)
{
    double n = (double)joint->bolt_count, right = 0, back = 0;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_slope lever = shim_lever(joint->face, joint->bolts[i].at);
        right += lever.right / n;
        back += lever.back / n;
    }
    struct perpend_slope_covariance scatter = {0, 0, 0};
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_slope lever = shim_lever(joint->face, joint->bolts[i].at);
        scatter.right_right += (lever.right - right) * (lever.right - right);
        scatter.right_back += (lever.right - right) * (lever.back - back);
        scatter.back_back += (lever.back - back) * (lever.back - back);
    }
    struct principal_axes axes = principal_axes(scatter);
    double along = sqrt(fmax(axes.larger, 0)), across = sqrt(fmax(axes.smaller, 0));
    if (along < NO_SPREAD)
        return (struct shim_span){.dims = 0};
    if (across > LINE_SHARE * along)
        return (struct shim_span){.dims = 2};
    struct perpend_slope direction = axes.direction;
    /* exactly along an axis where the bolts say so */
    if (scatter.right_right <= NO_SPREAD * NO_SPREAD)
        direction = (struct perpend_slope){0, 1};
    else if (scatter.back_back <= NO_SPREAD * NO_SPREAD)
        direction = (struct perpend_slope){1, 0};
    return (struct shim_span){.dims = 1, .direction = direction};
}

struct perpend_slope span_lever(
    struct shim_span span, enum perpend_face face, struct perpend_point at)
{
    struct perpend_slope lever = shim_lever(face, at);
    if (span.dims == 0)
        return (struct perpend_slope){0, 0};
    if (span.dims == 2)
        return lever;
    double along = lever.right * span.direction.right + lever.back * span.direction.back;
    return (struct perpend_slope){along * span.direction.right, along * span.direction.back};
}

double shims_for_change(
    const struct perpend_joint *joint, struct perpend_slope change, double *shim)
{
    struct shim_span span = shim_span_of(joint);
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_slope lever = span_lever(span, joint->face, joint->bolts[i].at);
        shim[i] = change.right * lever.right + change.back * lever.back;
        least = fmin(least, shim[i]);
        most = fmax(most, shim[i]);
    }
    for (size_t i = 0; i < joint->bolt_count; i++)
        shim[i] = shim[i] - least > ROUNDING * (most - least) ? shim[i] - least : 0.0;
    return most - least;
}

struct perpend_slope slide_direction(enum perpend_face face)
{
    struct perpend_point n = perpend_face_direction(face);
    return (struct perpend_slope){.right = n.back, .back = -n.right};
}

static void add_slide(struct situation *situation, size_t index)
{
    const struct perpend_joint *joint = &situation->input->mount->joints[index];
    struct perpend_slope direction = slide_direction(joint->face);
    if (direction.right == 0.0 && direction.back == 0.0)
        return; /* up and down: a turn in the plane is about the spindle */
    double most = perpend_joint_turn_slack(joint);
    double turned = situation->input->turned ? situation->input->turned[index] : 0.0;
    situation->units[situation->unit_count++] = (struct unit){
        .joint = index,
        .move = PERPEND_MOVE_SLIDE,
        .dims = 1,
        .direction = direction,
        .low = fmin(-most - turned, 0.0),
        .high = fmax(most - turned, 0.0),
    };
}

static void add_opening(struct situation *situation, size_t index, enum perpend_move move)
{
    const struct perpend_joint *joint = &situation->input->mount->joints[index];
    struct shim_span span = shim_span_of(joint);
    if (span.dims == 0)
        return;
    if (move == PERPEND_MOVE_SCREW)
        for (size_t i = 0; i < joint->bolt_count; i++)
            if (bolt_pitch(&joint->bolts[i]) <= 0.0)
                return;
    situation->units[situation->unit_count++] = (struct unit){
        .joint = index,
        .move = move,
        .dims = span.dims,
        .direction = span.direction,
        .low = -INFINITY,
        .high = INFINITY,
    };
}

static void add_units(struct situation *situation)
{
    const struct perpend_mount *mount = situation->input->mount;
    for (size_t i = 0; i < mount->joint_count; i++) {
        if (mount->joints[i].allows & PERPEND_MOVE_SLIDE)
            add_slide(situation, i);
        if (mount->joints[i].allows & PERPEND_MOVE_SCREW)
            add_opening(situation, i, PERPEND_MOVE_SCREW);
        if (mount->joints[i].allows & PERPEND_MOVE_SHIM)
            add_opening(situation, i, PERPEND_MOVE_SHIM);
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
