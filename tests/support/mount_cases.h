/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MOUNT_CASES_H
#define MOUNT_CASES_H

/** Random mounts, and what hands do to a spindle worked out in space without the advisor. */

#include "support/support.h"

#include <string.h>

#include <perpend/perpend.h>

#include "core/mount/mount_parts.h"
#include "core/mount/move_parts.h"

#define CASE_JOINTS 4
#define CASE_BOLTS 6

struct mount_case {
    struct perpend_mount mount;
    struct perpend_joint joints[CASE_JOINTS];
    struct perpend_bolt bolts[CASE_JOINTS][CASE_BOLTS];
};

/* A point of a joint's plane in space: a along the horizontal, b up (or a right, b back). */
static inline struct perpend_point case_point(
    enum perpend_face face, double depth, double a, double b)
{
    switch (face) {
    case PERPEND_FACE_FRONT:
    case PERPEND_FACE_BACK:
        return (struct perpend_point){a, depth, 180 + b};
    case PERPEND_FACE_LEFT:
    case PERPEND_FACE_RIGHT:
        return (struct perpend_point){depth, a, 180 + b};
    default:
        return (struct perpend_point){a, b, 180 + depth};
    }
}

/* Bolts anywhere, in a grid, or in a column; the first three always span both ways unless it is a
   column, which spans up (or a slanting line). */
static inline void case_joint(struct mount_case *it, struct test_random *random, size_t index,
    enum perpend_face face, unsigned allows, bool column, double play)
{
    struct perpend_joint *joint = &it->joints[index];
    double depth = test_uniform(random, -80, 80), a0 = test_uniform(random, -40, 40);
    double slant = column ? test_uniform(random, -0.5, 0.5) : 0.0;
    bool grid = test_pick(random, 2) == 0;
    bool ring = face >= PERPEND_FACE_UP && test_pick(random, 2) == 0; /* a round flange */
    double wide = test_uniform(random, 30, 80), high = test_uniform(random, 40, 90);
    size_t count = column ? 2 + test_pick(random, 3)
                          : (grid ? 4 + 2 * test_pick(random, 2) : 3 + test_pick(random, 4));
    for (size_t i = 0; i < count; i++) {
        double a, b;
        if (ring && !column && !grid) {
            a = wide * sin(2 * PERPEND_PI * (double)i / (double)count);
            b = wide * cos(2 * PERPEND_PI * (double)i / (double)count);
        } else if (column) {
            b = high * (double)i / (double)(count - 1);
            a = slant * b;
        } else if (grid) {
            a = i % 2 ? wide : 0.0;
            b = high * (double)(i / 2) / (double)(count / 2 - 1);
        } else if (i < 3) {
            a = i == 1 ? wide : test_uniform(random, -5, 5);
            b = i == 2 ? high : test_uniform(random, -5, 5);
        } else {
            a = test_uniform(random, 0, wide);
            b = test_uniform(random, 0, high);
        }
        it->bolts[index][i] = (struct perpend_bolt){
            .at = case_point(face, depth, a0 + a, b),
            .thread = 5,
            .hole = 5 + 2 * play,
            .pitch = 0.8,
        };
    }
    *joint = (struct perpend_joint){.face = face,
        .allows = allows,
        .centred = true,
        .centre =
            case_point(face, depth, test_uniform(random, -60, 60), test_uniform(random, -60, 60)),
        .bolts = it->bolts[index],
        .bolt_count = count};
}

static inline enum perpend_face case_upright(struct test_random *random)
{
    return (enum perpend_face)test_pick(random, 4);
}

/* A mount that can serve both axes, of one to five joints; `play` of every bolt, mm. */
static inline void case_mount(
    struct mount_case *it, struct test_random *random, double play, bool screws)
{
    memset(it, 0, sizeof *it);
    unsigned open = PERPEND_MOVE_SHIM;
    if (screws && test_pick(random, 3) == 0)
        open = PERPEND_MOVE_SCREW;
    size_t count = 0;
    switch (test_pick(random, 5)) {
    case 0: /* a flange */
        case_joint(it, random, count++, test_pick(random, 2) ? PERPEND_FACE_UP : PERPEND_FACE_DOWN,
            open, false, play);
        break;
    case 1: /* an upright plate that slides */
        case_joint(it, random, count++, case_upright(random), open | PERPEND_MOVE_SLIDE,
            test_pick(random, 3) == 0, play);
        break;
    case 2: /* one plate each way, shims only */
        case_joint(it, random, count++, PERPEND_FACE_FRONT, open, test_pick(random, 3) == 0, play);
        case_joint(it, random, count++, PERPEND_FACE_RIGHT, open, false, play);
        break;
    case 3: /* a swivel head on a plate that is shimmed */
        case_joint(it, random, count++, PERPEND_FACE_BACK, PERPEND_MOVE_TURN, false, play);
        case_joint(it, random, count++, PERPEND_FACE_FRONT, open, false, play);
        break;
    default: /* one plate each way, slides only */
        case_joint(it, random, count++, PERPEND_FACE_BACK, PERPEND_MOVE_SLIDE, false, play);
        case_joint(it, random, count++, PERPEND_FACE_LEFT, PERPEND_MOVE_SLIDE, false, play);
    }
    size_t more = test_pick(random, CASE_JOINTS - count + 1);
    while (more-- > 0)
        case_joint(it, random, count++, (enum perpend_face)test_pick(random, 6),
            (unsigned)test_pick(random, 16), test_pick(random, 3) == 0, play);
    it->mount = (struct perpend_mount){it->joints, count};
}

static inline void case_print(const struct mount_case *it, struct perpend_slope lean)
{
    printf("# lean right %.17g back %.17g\n", lean.right, lean.back);
    for (size_t j = 0; j < it->mount.joint_count; j++) {
        const struct perpend_joint *joint = &it->joints[j];
        printf("# joint %zu faces %s allows %u:", j, perpend_face_name(joint->face), joint->allows);
        for (size_t i = 0; i < joint->bolt_count; i++)
            printf(" (%.6g, %.6g, %.6g)", joint->bolts[i].at.right, joint->bolts[i].at.back,
                joint->bolts[i].at.up);
        printf("\n");
    }
}

/* --- in space --------------------------------------------------------------------------------- */

static inline struct perpend_point space_sum(
    struct perpend_point p, double k, struct perpend_point q)
{
    return (struct perpend_point){p.right + k * q.right, p.back + k * q.back, p.up + k * q.up};
}

static inline double space_size(struct perpend_point p)
{
    return sqrt(p.right * p.right + p.back * p.back + p.up * p.up);
}

static inline struct perpend_point space_cross(struct perpend_point p, struct perpend_point q)
{
    return (struct perpend_point){p.back * q.up - p.up * q.back, p.up * q.right - p.right * q.up,
        p.right * q.back - p.back * q.right};
}

static inline double space_dot(struct perpend_point p, struct perpend_point q)
{
    return p.right * q.right + p.back * q.back + p.up * q.up;
}

static inline struct perpend_point space_unit(struct perpend_point p)
{
    double size = space_size(p);
    return (struct perpend_point){p.right / size, p.back / size, p.up / size};
}

/* A rigid turn about a point: the 3 × 3 matrix that turns. */
struct turn {
    double m[3][3];
    struct perpend_point about;
};

/* About a unit axis by an angle whose sine and cosine are given. */
static inline struct turn turn_about(
    struct perpend_point axis, double s, double c, struct perpend_point about)
{
    double k[3] = {axis.right, axis.back, axis.up};
    struct turn turn = {.about = about};
    double skew[3][3] = {{0, -k[2], k[1]}, {k[2], 0, -k[0]}, {-k[1], k[0], 0}};
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            turn.m[i][j] = (i == j ? c : 0.0) + s * skew[i][j] + (1 - c) * k[i] * k[j];
    return turn;
}

static inline struct perpend_point turn_direction(const struct turn *turn, struct perpend_point p)
{
    const double(*m)[3] = turn->m;
    return (struct perpend_point){
        m[0][0] * p.right + m[0][1] * p.back + m[0][2] * p.up,
        m[1][0] * p.right + m[1][1] * p.back + m[1][2] * p.up,
        m[2][0] * p.right + m[2][1] * p.back + m[2][2] * p.up,
    };
}

static inline struct perpend_point turn_point(const struct turn *turn, struct perpend_point p)
{
    struct perpend_point arm = space_sum(p, -1, turn->about);
    return space_sum(turn_direction(turn, arm), 1, turn->about);
}

static inline struct perpend_point case_normal(enum perpend_face face)
{
    static const struct perpend_point normal[] = {
        [PERPEND_FACE_FRONT] = {0, -1, 0},
        [PERPEND_FACE_BACK] = {0, 1, 0},
        [PERPEND_FACE_LEFT] = {-1, 0, 0},
        [PERPEND_FACE_RIGHT] = {1, 0, 0},
        [PERPEND_FACE_UP] = {0, 0, 1},
        [PERPEND_FACE_DOWN] = {0, 0, -1},
    };
    return normal[face];
}

/* What a step moves at each bolt. */
static inline void step_amounts(const struct perpend_step *step, struct perpend_amount *amounts)
{
    for (size_t i = 0; i < step->bolt_count; i++)
        amounts[i] = step->bolts[i].amount;
}

/* Where a bolt's place on the moving side comes to lie when the joint is opened. */
static inline struct perpend_point opened(
    const struct perpend_joint *joint, const struct perpend_step *step, size_t i, double scale)
{
    double open = step->bolts[i].amount.value;
    open = step->move == PERPEND_MOVE_SCREW ? open * joint->bolts[i].pitch : open;
    return space_sum(joint->bolts[i].at, scale * open, case_normal(joint->face));
}

/* The plane through the three corners of the opened places that span most; of bolts in a line the plane
   through that line that turns about the horizontal (a flange: about the line's own normal). */
static inline struct perpend_point opened_normal(
    const struct perpend_joint *joint, const struct perpend_step *step, double scale)
{
    struct perpend_point face = case_normal(joint->face), best = face;
    double most = 0.0, longest = 0.0;
    struct perpend_point line = {0, 0, 0}, line_before = {0, 0, 0};
    size_t corner[CASE_BOLTS], count = corner_bolts(joint, corner);
    for (size_t a = 0; a < count; a++)
        for (size_t b = a + 1; b < count; b++) {
            size_t i = corner[a], j = corner[b];
            struct perpend_point before = space_sum(joint->bolts[j].at, -1, joint->bolts[i].at);
            struct perpend_point p = opened(joint, step, i, scale);
            struct perpend_point pq = space_sum(opened(joint, step, j, scale), -1, p);
            if (space_size(before) > longest) {
                longest = space_size(before);
                line = pq;
                line_before = before;
            }
            for (size_t c = b + 1; c < count; c++) {
                struct perpend_point pr = space_sum(opened(joint, step, corner[c], scale), -1, p);
                struct perpend_point area = space_cross(pq, pr);
                if (space_size(area) <= most)
                    continue;
                most = space_size(area);
                best = area;
            }
        }
    if (most < 0.02 * longest * longest) {
        struct perpend_point up = {0, 0, 1};
        bool flange = fabs(face.up) > 0.5;
        struct perpend_point hinge =
            space_unit(flange ? space_cross(line_before, face) : space_cross(up, face));
        best = space_cross(hinge, line);
    }
    best = space_unit(best);
    return space_dot(best, face) > 0 ? best
                                     : (struct perpend_point){-best.right, -best.back, -best.up};
}

/* What a step does to everything on the moving side, exactly; moves may be scaled. */
static inline struct turn step_turn(
    const struct perpend_mount *mount, const struct perpend_step *step, double scale)
{
    const struct perpend_joint *joint = &mount->joints[step->joint];
    struct perpend_point face = case_normal(joint->face), about;
    double radius;
    if (step->move == PERPEND_MOVE_TURN) {
        /* clockwise, seen from where it faces */
        double angle = -scale * step->bolts[0].amount.value;
        return turn_about(face, sin(angle), cos(angle), joint->centre);
    }
    if (step->pivot == PERPEND_NO_BOLT)
        perpend_joint_circle(joint, &about, &radius);
    else
        about = joint->bolts[step->pivot].at;
    if (step->move != PERPEND_MOVE_SLIDE) {
        struct perpend_point to = opened_normal(joint, step, scale);
        struct perpend_point axis = space_cross(face, to);
        double s = space_size(axis), c = space_dot(face, to);
        return s > 0 ? turn_about(space_unit(axis), s, c, about) : turn_about(face, 0, 1, about);
    }
    size_t last = joint->bolt_count - 1;
    struct perpend_point before = space_sum(joint->bolts[last].at, -1, joint->bolts[0].at);
    struct perpend_point moved =
        space_sum(step->bolts[last].amount.shift, -1, step->bolts[0].amount.shift);
    struct perpend_point after = space_sum(before, scale, moved);
    double s = space_dot(face, space_cross(before, after)), c = space_dot(before, after);
    return turn_about(face, s / hypot(s, c), c / hypot(s, c), about);
}

/* The lean that rounding can make: what would be thinner than any shim is none, or the thinnest. A joint
   spans 25 mm at least. */
static inline double case_rounded(
    const struct perpend_plan *plan, const struct perpend_mount *mount)
{
    double sum = 0.0;
    for (size_t k = 0; k < plan->step_count; k++) {
        const struct perpend_step *step = &plan->steps[k];
        double open[CASE_BOLTS], most = 0.0;
        if (step->move != PERPEND_MOVE_SHIM || plan->from_stock)
            continue;
        openings_for_change(&mount->joints[step->joint], step->change, open);
        for (size_t i = 0; i < step->bolt_count; i++) {
            double shim = step->bolts[i].amount.value;
            assert_true(shim <= 0.0 || shim >= PERPEND_THINNEST_SHIM);
            most = fmax(most, fabs(shim - open[i]));
        }
        sum += most > 1e-9 ? 2.0 * (most + PERPEND_THINNEST_SHIM) / 25.0 : 0.0;
    }
    return sum;
}

/* The lean after all steps, exactly. */
static inline struct perpend_slope after_steps(
    const struct perpend_plan *plan, const struct perpend_mount *mount, struct perpend_slope lean)
{
    struct perpend_point axis = {lean.right, lean.back, 1.0};
    for (size_t i = 0; i < plan->step_count; i++) {
        struct turn turn = step_turn(mount, &plan->steps[i], 1.0);
        axis = turn_direction(&turn, axis);
    }
    return (struct perpend_slope){axis.right / axis.up, axis.back / axis.up};
}

/* The same to first order: each step's change of an upright axis for moves a ten-thousandth as
   large, times ten thousand. */
static inline struct perpend_slope after_steps_first_order(
    const struct perpend_plan *plan, const struct perpend_mount *mount, struct perpend_slope lean)
{
    const double scale = 1e-4;
    for (size_t i = 0; i < plan->step_count; i++) {
        struct turn turn = step_turn(mount, &plan->steps[i], scale);
        struct perpend_point axis = turn_direction(&turn, (struct perpend_point){0, 0, 1});
        lean.right += axis.right / axis.up / scale;
        lean.back += axis.back / axis.up / scale;
    }
    return lean;
}

#endif
