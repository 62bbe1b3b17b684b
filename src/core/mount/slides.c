/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Moves that turn a joint in its own plane, within the play of its bolts in their holes. */
#include <math.h>

#include "core/mount/move_parts.h"

struct perpend_slope slide_direction(enum perpend_face face)
{
    struct perpend_point n = perpend_face_direction(face);
    return (struct perpend_slope){.right = n.back, .back = -n.right};
}

/* The least-squares shift and turn of slides, about the middle of the bolts. */
struct slide_fit {
    struct perpend_point middle, drift;
    double turn; /* rad about the face direction */
};

static struct perpend_point apart(struct perpend_point a, struct perpend_point b)
{
    return (struct perpend_point){a.right - b.right, a.back - b.back, a.up - b.up};
}

static struct slide_fit fit_slides(
    const struct perpend_joint *joint, const struct perpend_amount *amounts)
{
    double n = (double)joint->bolt_count;
    struct slide_fit fit = {.turn = 0};
    for (size_t i = 0; i < joint->bolt_count; i++) {
        const struct perpend_point *at = &joint->bolts[i].at, *slide = &amounts[i].shift;
        fit.middle.right += at->right / n;
        fit.middle.back += at->back / n;
        fit.middle.up += at->up / n;
        fit.drift.right += slide->right / n;
        fit.drift.back += slide->back / n;
        fit.drift.up += slide->up / n;
    }
    struct perpend_point face = perpend_face_direction(joint->face);
    double over = 0, under = 0;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_point sweep =
            perpend_cross(face, apart(joint->bolts[i].at, fit.middle)); /* per rad of turn */
        over += perpend_dot(sweep, apart(amounts[i].shift, fit.drift));
        under += perpend_dot(sweep, sweep);
    }
    fit.turn = under > 0.0 ? over / under : 0.0;
    return fit;
}

static struct perpend_slope change_of_slides(const struct perpend_move_row *row,
    const struct perpend_joint *joint, const struct perpend_amount *amounts)
{
    (void)row;
    double turn = fit_slides(joint, amounts).turn;
    struct perpend_slope direction = slide_direction(joint->face);
    return (struct perpend_slope){turn * direction.right, turn * direction.back};
}

/* How far the worst slide is from the shift and turn that fit them all. */
static double misfit_of_slides(const struct perpend_move_row *row,
    const struct perpend_joint *joint, const struct perpend_amount *amounts)
{
    (void)row;
    struct slide_fit fit = fit_slides(joint, amounts);
    struct perpend_point face = perpend_face_direction(joint->face);
    double worst = 0.0;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_point sweep = perpend_cross(face, apart(joint->bolts[i].at, fit.middle));
        struct perpend_point off = apart(amounts[i].shift, fit.drift);
        off = apart(off, (struct perpend_point){
                             fit.turn * sweep.right, fit.turn * sweep.back, fit.turn * sweep.up});
        double size = sqrt(perpend_dot(off, off));
        worst = isfinite(size) ? fmax(worst, size) : NAN;
        if (isnan(worst))
            break;
    }
    return worst;
}

static struct move_reach reach_of_slides(
    const struct perpend_move_row *row, const struct perpend_joint *joint, double turned)
{
    (void)row;
    struct perpend_slope direction = slide_direction(joint->face);
    double most = perpend_joint_turn_slack(joint);
    return (struct move_reach){
        /* up and down: a turn in the plane is about the spindle */
        .dims = direction.right == 0.0 && direction.back == 0.0 ? 0 : 1,
        .direction = direction,
        .low = fmin(-most - turned, 0.0),
        .high = fmax(most - turned, 0.0),
    };
}

static void amounts_of_slides(const struct perpend_move_row *row, const struct perpend_joint *joint,
    struct perpend_slope change, struct perpend_point pivot, struct perpend_amount *amounts)
{
    (void)row;
    struct perpend_point face = perpend_face_direction(joint->face);
    struct perpend_slope direction = slide_direction(joint->face);
    double turn = change.right * direction.right + change.back * direction.back;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_point sweep = perpend_cross(face, apart(joint->bolts[i].at, pivot));
        amounts[i] = (struct perpend_amount){
            .shift = {turn * sweep.right, turn * sweep.back, turn * sweep.up}};
    }
}

static double most_slid(const struct perpend_joint *joint, struct perpend_slope change)
{
    struct perpend_point centre;
    double radius;
    perpend_joint_circle(joint, &centre, &radius);
    return perpend_slope_size(change) * radius;
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
    .change = change_of_slides,
    .misfit = misfit_of_slides,
    .most = most_slid,
};
