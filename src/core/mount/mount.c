/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/mount.h>
#include <perpend/status.h>

#include "core/mount/mount_parts.h"

/* A face: the way the fixed side looks, and the two axes of the joint's plane. */
static const struct face {
    const char *name;
    struct perpend_point direction, a, b;
} faces[] = {
    [PERPEND_FACE_FRONT] = {"front", {0, -1, 0}, {1, 0, 0}, {0, 0, 1}},
    [PERPEND_FACE_BACK] = {"back", {0, 1, 0}, {1, 0, 0}, {0, 0, 1}},
    [PERPEND_FACE_LEFT] = {"left", {-1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
    [PERPEND_FACE_RIGHT] = {"right", {1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
    [PERPEND_FACE_UP] = {"up", {0, 0, 1}, {1, 0, 0}, {0, 1, 0}},
    [PERPEND_FACE_DOWN] = {"down", {0, 0, -1}, {1, 0, 0}, {0, 1, 0}},
};

static const struct face *face_of(enum perpend_face face)
{
    static const struct face none = {.name = "?"};
    return (size_t)face < sizeof faces / sizeof *faces ? &faces[face] : &none;
}

const char *perpend_face_name(enum perpend_face face)
{
    return face_of(face)->name;
}

struct perpend_point perpend_face_direction(enum perpend_face face)
{
    return face_of(face)->direction;
}

/* An inch thread: its diameter and hole, inches, and threads to the inch. */
#define INCH(diameter, hole, threads)                                                              \
    {                                                                                              \
        (diameter) * 25.4, (hole)*25.4, 25.4 / (threads)                                           \
    }

/* ISO 273 medium series; ISO 261 coarse pitches. M2, M2.5, M3.5, M7, M14, M16 from memory. Inch: ASME
   B18.2.8, normal fit; ASME B1.1, coarse; from memory. */
static const struct thread {
    double nominal, hole, pitch;
} threads[] = {
    {2.0, 2.4, 0.4},
    {2.5, 2.9, 0.45},
    {3.0, 3.4, 0.5},
    {3.5, 3.9, 0.6},
    {4.0, 4.5, 0.7},
    {5.0, 5.5, 0.8},
    {6.0, 6.6, 1.0},
    {7.0, 7.6, 1.0},
    {8.0, 9.0, 1.25},
    {10.0, 11.0, 1.5},
    {12.0, 13.5, 1.75},
    {14.0, 15.5, 2.0},
    {16.0, 17.5, 2.0},
    INCH(0.086, 0.102, 56), /* number 2 */
    INCH(0.112, 0.128, 40), /* number 4 */
    INCH(0.125, 0.156, 40), /* number 5 */
    INCH(0.138, 0.170, 32), /* number 6 */
    INCH(0.164, 0.196, 32), /* number 8 */
    INCH(0.190, 0.221, 24), /* number 10 */
    INCH(1.0 / 4, 9.0 / 32, 20),
    INCH(5.0 / 16, 11.0 / 32, 18),
    INCH(3.0 / 8, 13.0 / 32, 16),
    INCH(7.0 / 16, 15.0 / 32, 14),
    INCH(1.0 / 2, 9.0 / 16, 13),
    INCH(5.0 / 8, 11.0 / 16, 11),
};

static const struct thread *find_thread(double nominal)
{
    for (size_t i = 0; i < sizeof threads / sizeof threads[0]; i++)
        if (fabs(threads[i].nominal - nominal) < 1e-6)
            return &threads[i];
    return NULL;
}

enum perpend_status perpend_clearance_hole(double thread, double *hole)
{
    const struct thread *found = find_thread(thread);
    if (!found)
        return PERPEND_ERR_NAME;
    *hole = found->hole;
    return PERPEND_OK;
}

enum perpend_status perpend_coarse_pitch(double thread, double *pitch)
{
    const struct thread *found = find_thread(thread);
    if (!found)
        return PERPEND_ERR_NAME;
    *pitch = found->pitch;
    return PERPEND_OK;
}

double perpend_bolt_slack(const struct perpend_bolt *bolt)
{
    double hole = bolt->hole;
    if (!(bolt->thread > 0.0))
        return 0.0;
    if (!(hole > 0.0) && perpend_clearance_hole(bolt->thread, &hole) != PERPEND_OK)
        return 0.0;
    return fmax((hole - bolt->thread) / 2.0, 0.0);
}

size_t bolts_before(const struct perpend_mount *mount, size_t joint)
{
    size_t count = 0;
    for (size_t i = 0; i < joint; i++)
        count += mount->joints[i].bolt_count;
    return count;
}

double bolt_pitch(const struct perpend_bolt *bolt)
{
    double pitch = bolt->pitch;
    if (pitch > 0.0)
        return pitch;
    return perpend_coarse_pitch(bolt->thread, &pitch) == PERPEND_OK ? pitch : 0.0;
}

struct perpend_slope shim_lever(enum perpend_face face, struct perpend_point at)
{
    /* n·(ω × r) with ω = (−change_b, change_r, 0) is linear in the change; these are its factors */
    struct perpend_point n = perpend_face_direction(face);
    struct perpend_point across = perpend_cross(at, n); /* n·(ω × r) = ω·(r × n) */
    return (struct perpend_slope){.right = across.back, .back = -across.right};
}

struct flat flat_of(enum perpend_face face, struct perpend_point at)
{
    const struct face *plane = face_of(face);
    return (struct flat){perpend_dot(at, plane->a), perpend_dot(at, plane->b)};
}

static struct flat flat_bolt(const struct perpend_joint *joint, size_t bolt)
{
    return flat_of(joint->face, joint->bolts[bolt].at);
}

/* --- the smallest circle round points in the joint's plane ------------------------------------ */

struct circle {
    struct flat middle;
    double radius;
};

/* Round two points, q and r being one, or through three; an endless one through three in a line. */
static struct circle circle_through(struct flat p, struct flat q, struct flat r)
{
    double qa = q.a - p.a, qb = q.b - p.b, ra = r.a - p.a, rb = r.b - p.b;
    double twice_area = 2.0 * (qa * rb - qb * ra);
    double size = fmax(hypot(qa, qb), hypot(ra, rb));
    if (q.a == r.a && q.b == r.b)
        return (struct circle){{p.a + qa / 2, p.b + qb / 2}, hypot(qa, qb) / 2};
    if (fabs(twice_area) <= 1e-12 * size * size)
        return (struct circle){p, INFINITY};
    double qq = qa * qa + qb * qb, rr = ra * ra + rb * rb;
    double a = (rb * qq - qb * rr) / twice_area, b = (qa * rr - ra * qq) / twice_area;
    return (struct circle){{p.a + a, p.b + b}, hypot(a, b)};
}

/* Room for rounding, so that a point that made the circle is never taken for one outside it. */
static bool holds_all(const struct circle *circle, const struct perpend_joint *joint)
{
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct flat p = flat_bolt(joint, i);
        if (hypot(p.a - circle->middle.a, p.b - circle->middle.b) >
            circle->radius * (1.0 + 1e-12) + 1e-12)
            return false;
    }
    return true;
}

/* It passes through two or three of them; bolts are few, so every choice is tried. */
static struct circle smallest_circle(const struct perpend_joint *joint)
{
    struct circle best = {{0, 0}, INFINITY};
    for (size_t i = 0; i < joint->bolt_count; i++)
        for (size_t j = 0; j <= i; j++)
            for (size_t k = 0; k <= j; k++) {
                struct circle circle =
                    circle_through(flat_bolt(joint, i), flat_bolt(joint, j), flat_bolt(joint, k));
                if (circle.radius < best.radius && holds_all(&circle, joint))
                    best = circle;
            }
    return best;
}

void perpend_joint_circle(
    const struct perpend_joint *joint, struct perpend_point *centre, double *radius)
{
    const struct face *plane = face_of(joint->face);
    struct circle circle = smallest_circle(joint);
    struct perpend_point n = plane->direction;
    double depth = 0.0, a = circle.middle.a, b = circle.middle.b; /* depth: the bolts' mean */
    for (size_t i = 0; i < joint->bolt_count; i++)
        depth += perpend_dot(joint->bolts[i].at, n) / (double)joint->bolt_count;
    *centre = (struct perpend_point){
        depth * n.right + a * plane->a.right + b * plane->b.right,
        depth * n.back + a * plane->a.back + b * plane->b.back,
        depth * n.up + a * plane->a.up + b * plane->b.up,
    };
    *radius = circle.radius;
}

double perpend_joint_rim(const struct perpend_joint *joint, struct perpend_point *centre)
{
    double rim = 0.0;
    if (joint->centred)
        *centre = joint->centre;
    else
        perpend_joint_circle(joint, centre, &rim);
    struct flat middle = flat_of(joint->face, *centre);
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct flat p = flat_bolt(joint, i);
        rim = fmax(rim, hypot(p.a - middle.a, p.b - middle.b));
    }
    return rim;
}

double perpend_joint_turn_slack(const struct perpend_joint *joint)
{
    struct perpend_point centre;
    double radius, least = INFINITY;
    perpend_joint_circle(joint, &centre, &radius);
    for (size_t i = 0; i < joint->bolt_count; i++)
        least = fmin(least, perpend_bolt_slack(&joint->bolts[i]));
    return radius > 0.0 && isfinite(least) ? least / radius : 0.0;
}

/* --- the corners of the pattern --------------------------------------------------------------- */

/* A bolt nearer than this to the line between two corners is between them, mm. */
#define ON_LINE 0.5

/* How far r lies to the left of the way from p to q, mm. */
static double left_of(struct flat p, struct flat q, struct flat r)
{
    double length = hypot(q.a - p.a, q.b - p.b);
    if (length == 0.0)
        return hypot(r.a - p.a, r.b - p.b);
    return ((q.a - p.a) * (r.b - p.b) - (q.b - p.b) * (r.a - p.a)) / length;
}

/* Of the bolts clearly right of the way from `from` to `to`, the farthest, and so on on both sides
   of it (quickhull); corners are written between the two. */
static size_t corners_between(
    const struct perpend_joint *joint, size_t from, size_t to, size_t *corner)
{
    size_t farthest = joint->bolt_count;
    double most = ON_LINE;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        double out = -left_of(flat_bolt(joint, from), flat_bolt(joint, to), flat_bolt(joint, i));
        if (i != from && i != to && out > most) {
            most = out;
            farthest = i;
        }
    }
    if (farthest == joint->bolt_count)
        return 0;
    size_t count = corners_between(joint, from, farthest, corner);
    corner[count++] = farthest;
    return count + corners_between(joint, farthest, to, corner + count);
}

size_t corner_bolts(const struct perpend_joint *joint, size_t *corner)
{
    size_t first = 0, last = 0;
    for (size_t i = 1; i < joint->bolt_count; i++) {
        struct flat p = flat_bolt(joint, i), f = flat_bolt(joint, first),
                    l = flat_bolt(joint, last);
        if (p.a < f.a || (p.a == f.a && p.b < f.b))
            first = i;
        if (p.a > l.a || (p.a == l.a && p.b > l.b))
            last = i;
    }
    size_t count = 0;
    corner[count++] = first;
    if (first == last)
        return count;
    count += corners_between(joint, first, last, corner + count);
    corner[count++] = last;
    return count + corners_between(joint, last, first, corner + count);
}
