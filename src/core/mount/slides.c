/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Moves that turn a joint in its own plane: bolt by bolt within the play in their holes, or as one
   piece about its centre. */
#include <math.h>

#include "core/mount/move_parts.h"

struct perpend_slope slide_direction(enum perpend_face face)
{
    struct perpend_point n = perpend_face_direction(face);
    return (struct perpend_slope){.right = n.back, .back = -n.right};
}

static struct perpend_point from_to(struct perpend_point a, struct perpend_point b)
{
    return (struct perpend_point){b.right - a.right, b.back - a.back, b.up - a.up};
}

static struct move_fit fit_slides(const struct perpend_move_row *row,
    const struct perpend_joint *joint, const struct perpend_amount *amounts)
{
    (void)row;
    struct perpend_point face = perpend_face_direction(joint->face);
    struct perpend_slope direction = slide_direction(joint->face);
    struct rigid rigid = {.count = joint->bolt_count};
    for (size_t i = 0; i < joint->bolt_count; i++) {
        rigid.moved[i] = amounts[i].shift;
        rigid.by[0][i] = perpend_cross(face, joint->bolts[i].at);
    }
    rigid_fit(&rigid);
    return (struct move_fit){
        {rigid.turn[0] * direction.right, rigid.turn[0] * direction.back}, rigid.off};
}

static struct move_reach reach_within(const struct perpend_joint *joint, double most, double turned)
{
    struct perpend_slope direction = slide_direction(joint->face);
    return (struct move_reach){
        /* up and down: a turn in the plane is about the spindle */
        .dims = direction.right == 0.0 && direction.back == 0.0 ? 0 : 1,
        .direction = direction,
        .low = fmin(-most - turned, 0.0),
        .high = fmax(most - turned, 0.0),
    };
}

static struct move_reach reach_of_slides(
    const struct perpend_move_row *row, const struct perpend_joint *joint, double turned)
{
    (void)row;
    return reach_within(joint, perpend_joint_turn_slack(joint), turned);
}

static struct move_reach reach_of_turns(
    const struct perpend_move_row *row, const struct perpend_joint *joint, double turned)
{
    (void)row;
    return reach_within(joint, joint->range > 0.0 ? joint->range : INFINITY, turned);
}

static void amounts_of_slides(const struct perpend_move_row *row, const struct perpend_joint *joint,
    struct perpend_slope change, struct perpend_point pivot, struct perpend_amount *amounts)
{
    (void)row;
    struct perpend_point face = perpend_face_direction(joint->face);
    struct perpend_slope direction = slide_direction(joint->face);
    double turn = change.right * direction.right + change.back * direction.back;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_point sweep = perpend_cross(face, from_to(pivot, joint->bolts[i].at));
        amounts[i] = (struct perpend_amount){
            .shift = {turn * sweep.right, turn * sweep.back, turn * sweep.up}};
    }
}

static double opens_nothing(const struct perpend_bolt *bolt)
{
    (void)bolt;
    return 0.0;
}

const struct perpend_move_geometry move_slides = {
    .opening = opens_nothing,
    .reach = reach_of_slides,
    .amounts = amounts_of_slides,
    .fit = fit_slides,
};

/* Seen from where a joint faces a turn about its face direction is anticlockwise. */
static void amounts_of_turns(const struct perpend_move_row *row, const struct perpend_joint *joint,
    struct perpend_slope change, struct perpend_point pivot, struct perpend_amount *amounts)
{
    (void)row, (void)pivot; /* its centre */
    struct perpend_slope direction = slide_direction(joint->face);
    double turn = change.right * direction.right + change.back * direction.back;
    for (size_t i = 0; i < joint->bolt_count; i++)
        amounts[i] = (struct perpend_amount){.value = -turn};
}

/* The joint turns as one piece: what is told of any of its bolts is told of all. */
static struct move_fit fit_turns(const struct perpend_move_row *row,
    const struct perpend_joint *joint, const struct perpend_amount *amounts)
{
    (void)row;
    struct perpend_slope direction = slide_direction(joint->face);
    double told = 0.0;
    for (size_t i = 0; i < joint->bolt_count; i++)
        if (!(fabs(amounts[i].value) <= fabs(told)))
            told = amounts[i].value;
    return (struct move_fit){{-told * direction.right, -told * direction.back}, 0.0};
}

const struct perpend_move_geometry move_turns = {
    .opening = opens_nothing,
    .reach = reach_of_turns,
    .amounts = amounts_of_turns,
    .fit = fit_turns,
};
