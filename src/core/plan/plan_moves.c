/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From what was done to each bolt back to the lean change: the least-squares rigid turn. */
#include <math.h>

#include <perpend/plan.h>
#include <perpend/status.h>

#include "core/mount/mount_parts.h"
#include "core/plan/plan_parts.h"

static double opening_of(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_bolt_move *bolts, size_t i)
{
    return move == PERPEND_MOVE_SCREW ? bolts[i].turns * bolt_pitch(&joint->bolts[i])
                                      : bolts[i].shim;
}

/* The openings at the places that carry the joint, and where those are in two coordinates. */
struct openings {
    double a[PERPEND_BOLTS_MOST], b[PERPEND_BOLTS_MOST], open[PERPEND_BOLTS_MOST];
    size_t count;
};

/* The corners carry it: what lies between them can hang, or be a little too thick. */
static void gather_openings(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_bolt_move *bolts, struct shim_span span, struct openings *openings)
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
        openings->open[i] = opening_of(joint, move, bolts, corner[i]);
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

static struct perpend_slope change_of_openings(const struct perpend_joint *joint,
    enum perpend_move move, const struct perpend_bolt_move *bolts)
{
    struct shim_span span = shim_span_of(joint);
    if (span.dims == 0)
        return (struct perpend_slope){0, 0};
    struct openings openings;
    gather_openings(joint, move, bolts, span, &openings);
    struct moments moments = moments_of(&openings);
    struct plane plane = plane_of(&moments, span);
    if (span.dims == 2)
        return (struct perpend_slope){plane.a, plane.b};
    return (struct perpend_slope){plane.b * span.direction.right, plane.b * span.direction.back};
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
    const struct perpend_joint *joint, const struct perpend_bolt_move *bolts)
{
    double n = (double)joint->bolt_count;
    struct slide_fit fit = {.turn = 0};
    for (size_t i = 0; i < joint->bolt_count; i++) {
        const struct perpend_point *at = &joint->bolts[i].at, *slide = &bolts[i].slide;
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
        over += perpend_dot(sweep, apart(bolts[i].slide, fit.drift));
        under += perpend_dot(sweep, sweep);
    }
    fit.turn = under > 0.0 ? over / under : 0.0;
    return fit;
}

static struct perpend_slope change_of_slides(
    const struct perpend_joint *joint, const struct perpend_bolt_move *bolts)
{
    double turn = fit_slides(joint, bolts).turn;
    struct perpend_slope direction = slide_direction(joint->face);
    return (struct perpend_slope){turn * direction.right, turn * direction.back};
}

/* How far the worst slide is from the shift and turn that fit them all. */
static double misfit_of_slides(
    const struct perpend_joint *joint, const struct perpend_bolt_move *bolts)
{
    struct slide_fit fit = fit_slides(joint, bolts);
    struct perpend_point face = perpend_face_direction(joint->face);
    double worst = 0.0;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_point sweep = perpend_cross(face, apart(joint->bolts[i].at, fit.middle));
        struct perpend_point off = apart(bolts[i].slide, fit.drift);
        off = apart(off, (struct perpend_point){
                             fit.turn * sweep.right, fit.turn * sweep.back, fit.turn * sweep.up});
        double size = sqrt(perpend_dot(off, off));
        worst = isfinite(size) ? fmax(worst, size) : NAN;
        if (isnan(worst))
            break;
    }
    return worst;
}

enum perpend_status perpend_moves_change(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_bolt_move *bolts, struct perpend_slope *change)
{
    if (joint->bolt_count < 2 || joint->bolt_count > PERPEND_BOLTS_MOST)
        return PERPEND_ERR_VALUE;
    struct perpend_slope found = move == PERPEND_MOVE_SLIDE
                                     ? change_of_slides(joint, bolts)
                                     : change_of_openings(joint, move, bolts);
    if (!isfinite(found.right) || !isfinite(found.back))
        return PERPEND_ERR_VALUE;
    *change = found;
    return PERPEND_OK;
}

static double misfit_of_openings(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_bolt_move *bolts)
{
    struct shim_span span = shim_span_of(joint);
    double worst = 0.0;
    if (span.dims == 0 || joint->bolt_count <= 3)
        return 0.0;
    struct openings openings;
    gather_openings(joint, move, bolts, span, &openings);
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

enum perpend_status perpend_moves_misfit(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_bolt_move *bolts, double *off)
{
    if (joint->bolt_count < 2 || joint->bolt_count > PERPEND_BOLTS_MOST)
        return PERPEND_ERR_VALUE;
    double worst = move == PERPEND_MOVE_SLIDE ? misfit_of_slides(joint, bolts)
                                              : misfit_of_openings(joint, move, bolts);
    if (isnan(worst))
        return PERPEND_ERR_VALUE;
    *off = worst;
    return PERPEND_OK;
}
