/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Moves that open a joint unevenly: shims under the bolts, push screws at them. */
#include <math.h>

#include "core/base/covariance.h"
#include "core/mount/mount_parts.h"
#include "core/mount/move_parts.h"

/* Bolts that spread less than this across their line, as a share of their spread along it, lie in
   a line: shims across it would have next to no lever. */
#define LINE_SHARE 0.02

/* A spread below this is none, mm. */
#define NO_SPREAD 1e-3

/* Bolts of one row differ by rounding only. */
#define ROUNDING 1e-9

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

double openings_for_change(
    const struct perpend_joint *joint, struct perpend_slope change, double *open)
{
    struct shim_span span = shim_span_of(joint);
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_slope lever = span_lever(span, joint->face, joint->bolts[i].at);
        open[i] = change.right * lever.right + change.back * lever.back;
        least = fmin(least, open[i]);
        most = fmax(most, open[i]);
    }
    for (size_t i = 0; i < joint->bolt_count; i++)
        open[i] = open[i] - least > ROUNDING * (most - least) ? open[i] - least : 0.0;
    return most - least;
}

/* The bolts that carry the joint: what lies between the corners can hang, or be a little too thick. */
static size_t carrying_bolts(const struct perpend_joint *joint, struct shim_span span, size_t *bolt)
{
    size_t count = corner_bolts(joint, bolt);
    if (span.dims < 2 || count >= 3)
        return count;
    for (size_t i = 0; i < joint->bolt_count; i++)
        bolt[i] = i;
    return joint->bolt_count;
}

static struct move_fit fit_openings(const struct perpend_move_row *row,
    const struct perpend_joint *joint, const struct perpend_amount *amounts)
{
    struct shim_span span = shim_span_of(joint);
    struct rigid rigid = {.count = 0};
    size_t bolt[PERPEND_BOLTS_MOST];
    if (span.dims == 0)
        return (struct move_fit){.off = 0.0};
    rigid.count = carrying_bolts(joint, span, bolt);
    for (size_t i = 0; i < rigid.count; i++) {
        const struct perpend_bolt *at = &joint->bolts[bolt[i]];
        struct perpend_slope lever = shim_lever(joint->face, at->at);
        double along = lever.right * span.direction.right + lever.back * span.direction.back;
        rigid.moved[i].up = amounts[bolt[i]].value * row->geometry->opening(at);
        /* of bolts in a line: a turn that leaves the lean alone, where they can tell one */
        rigid.by[0][i].up = span.dims == 2 ? lever.right : along;
        rigid.by[1][i].up = span.dims == 2 ? lever.back : flat_of(joint->face, at->at).a;
    }
    rigid_fit(&rigid);
    struct perpend_slope change = {rigid.turn[0], rigid.turn[1]};
    if (span.dims == 1)
        change = (struct perpend_slope){
            rigid.turn[0] * span.direction.right, rigid.turn[0] * span.direction.back};
    return (struct move_fit){change, joint->bolt_count > 3 ? rigid.off : 0.0};
}

static struct move_reach reach_of_openings(
    const struct perpend_move_row *row, const struct perpend_joint *joint, double turned)
{
    (void)turned;
    struct shim_span span = shim_span_of(joint);
    for (size_t i = 0; i < joint->bolt_count; i++)
        if (!(row->geometry->opening(&joint->bolts[i]) > 0.0))
            span.dims = 0;
    return (struct move_reach){span.dims, span.direction, -INFINITY, INFINITY};
}

static void amounts_of_openings(const struct perpend_move_row *row,
    const struct perpend_joint *joint, struct perpend_slope change, struct perpend_point pivot,
    struct perpend_amount *amounts)
{
    (void)pivot; /* what gets nothing is the pivot */
    double open[PERPEND_BOLTS_MOST];
    openings_for_change(joint, change, open);
    for (size_t i = 0; i < joint->bolt_count; i++)
        amounts[i] =
            (struct perpend_amount){.value = open[i] / row->geometry->opening(&joint->bolts[i])};
}

static double of_a_shim(const struct perpend_bolt *bolt)
{
    (void)bolt;
    return 1.0;
}

const struct perpend_move_geometry move_shims = {
    .opening = of_a_shim,
    .reach = reach_of_openings,
    .amounts = amounts_of_openings,
    .fit = fit_openings,
};

const struct perpend_move_geometry move_screws = {
    .opening = bolt_pitch,
    .reach = reach_of_openings,
    .amounts = amounts_of_openings,
    .fit = fit_openings,
};
