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

/* The openings at the places that carry the joint, and where those are in two coordinates. */
struct openings {
    double a[PERPEND_BOLTS_MOST], b[PERPEND_BOLTS_MOST], open[PERPEND_BOLTS_MOST];
    size_t count;
};

/* The corners carry it: what lies between them can hang, or be a little too thick. */
static void gather_openings(const struct perpend_joint *joint, const struct perpend_move_row *row,
    const struct perpend_amount *amounts, struct shim_span span, struct openings *openings)
{
    size_t corner[PERPEND_BOLTS_MOST];
    openings->count = corner_bolts(joint, corner);
    if (span.dims == 2 && openings->count < 3) {
        openings->count = joint->bolt_count;
        for (size_t i = 0; i < joint->bolt_count; i++)
            corner[i] = i;
    }
    for (size_t i = 0; i < openings->count; i++) {
        const struct perpend_bolt *bolt = &joint->bolts[corner[i]];
        struct perpend_slope lever = shim_lever(joint->face, bolt->at);
        openings->open[i] = amounts[corner[i]].value * row->geometry->opening(bolt);
        openings->a[i] = span.dims == 2 ? lever.right : flat_of(joint->face, bolt->at).a;
        openings->b[i] =
            span.dims == 2 ? lever.back
                           : lever.right * span.direction.right + lever.back * span.direction.back;
    }
}

/* Means of the openings' places and heights, and second moments about them. */
struct moments {
    double a, b, open;
    double aa, ab, bb, ao, bo;
};

static struct moments moments_of(const struct openings *openings)
{
    double n = (double)openings->count;
    struct moments moments = {.a = 0};
    for (size_t i = 0; i < openings->count; i++) {
        moments.a += openings->a[i] / n;
        moments.b += openings->b[i] / n;
        moments.open += openings->open[i] / n;
    }
    for (size_t i = 0; i < openings->count; i++) {
        double a = openings->a[i] - moments.a, b = openings->b[i] - moments.b;
        double open = openings->open[i] - moments.open;
        moments.aa += a * a;
        moments.ab += a * b;
        moments.bb += b * b;
        moments.ao += a * open;
        moments.bo += b * open;
    }
    return moments;
}

/* Places nearer to a line than this, as a share of their spread squared, are in it. */
#define LINE 1e-6

/* The least-squares plane of the openings: its slopes along the two coordinates. */
struct plane {
    double a, b;
};

static struct plane plane_of(const struct moments *m, struct shim_span span)
{
    double determinant = m->aa * m->bb - m->ab * m->ab;
    /* bolts in a line cannot tell a turn about the vertical, and nobody asked for one */
    if (span.dims == 1 && !(determinant > LINE * (m->aa + m->bb) * (m->aa + m->bb)))
        return (struct plane){0.0, m->bo / m->bb};
    return (struct plane){(m->ao * m->bb - m->bo * m->ab) / determinant,
        (m->bo * m->aa - m->ao * m->ab) / determinant};
}

static struct perpend_slope change_of_openings(const struct perpend_move_row *row,
    const struct perpend_joint *joint, const struct perpend_amount *amounts)
{
    struct shim_span span = shim_span_of(joint);
    if (span.dims == 0)
        return (struct perpend_slope){0, 0};
    struct openings openings;
    gather_openings(joint, row, amounts, span, &openings);
    struct moments moments = moments_of(&openings);
    struct plane plane = plane_of(&moments, span);
    if (span.dims == 2)
        return (struct perpend_slope){plane.a, plane.b};
    return (struct perpend_slope){plane.b * span.direction.right, plane.b * span.direction.back};
}

static double misfit_of_openings(const struct perpend_move_row *row,
    const struct perpend_joint *joint, const struct perpend_amount *amounts)
{
    struct shim_span span = shim_span_of(joint);
    double worst = 0.0;
    if (span.dims == 0 || joint->bolt_count <= 3)
        return 0.0;
    struct openings openings;
    gather_openings(joint, row, amounts, span, &openings);
    struct moments m = moments_of(&openings);
    struct plane plane = plane_of(&m, span);
    for (size_t i = 0; i < openings.count; i++) {
        double at = m.open + plane.a * (openings.a[i] - m.a) + plane.b * (openings.b[i] - m.b);
        if (!isfinite(openings.open[i] - at))
            return NAN;
        worst = fmax(worst, fabs(openings.open[i] - at));
    }
    return worst;
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

static double most_opened(const struct perpend_joint *joint, struct perpend_slope change)
{
    double open[PERPEND_BOLTS_MOST];
    return openings_for_change(joint, change, open);
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
    .change = change_of_openings,
    .misfit = misfit_of_openings,
    .most = most_opened,
};

const struct perpend_move_geometry move_screws = {
    .opening = bolt_pitch,
    .reach = reach_of_openings,
    .amounts = amounts_of_openings,
    .change = change_of_openings,
    .misfit = misfit_of_openings,
    .most = most_opened,
};
