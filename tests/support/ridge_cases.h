/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef RIDGE_CASES_H
#define RIDGE_CASES_H

/**
 * Random bits, leans and facings, and their ridge by brute force.
 */

#include <perpend/ridge.h>
#include <perpend/units.h>

#include "support/support.h"

/*
 * Brute force, written from the picture alone: points of a tilted circle in space (balls of the
 * corner radius round them), the lowest over every pass that reaches a place, many places and the
 * neighbourhood of the highest and lowest of them.
 */
struct tool {
    double l1, l2, z1, z2; /* lateral offset and height of cos θ, sin θ on the circle */
    double corner;
    double reach;
};

static inline struct tool tool_make(
    struct perpend_slope lean, const struct perpend_cutter *cutter, double along)
{
    double k = sqrt(1.0 + lean.right * lean.right + lean.back * lean.back);
    double axis[3] = {lean.right / k, lean.back / k, 1.0 / k};
    /* e1 = Y × axis, made a unit; e2 = axis × e1 */
    double e1[3] = {axis[2], 0.0, -axis[0]};
    double n = hypot(e1[0], e1[2]);
    e1[0] /= n;
    e1[2] /= n;
    double e2[3] = {axis[1] * e1[2] - axis[2] * e1[1], axis[2] * e1[0] - axis[0] * e1[2],
        axis[0] * e1[1] - axis[1] * e1[0]};
    double l[2] = {cos(along), -sin(along)}; /* f × Z for f = (sin, cos) */
    double r = cutter->diameter / 2.0 - cutter->corner;
    struct tool tool = {.l1 = r * (e1[0] * l[0] + e1[1] * l[1]),
        .l2 = r * (e2[0] * l[0] + e2[1] * l[1]),
        .z1 = r * e1[2],
        .z2 = r * e2[2],
        .corner = cutter->corner};
    tool.reach = hypot(tool.l1, tool.l2) + cutter->corner;
    return tool;
}

/* Golden section for the least of a function known to fall and then rise. */
typedef double brute_function(double x, const void *context);

static inline double golden(brute_function *f, const void *context, double low, double high)
{
    const double ratio = 0.6180339887498949;
    double x1 = high - ratio * (high - low), x2 = low + ratio * (high - low);
    double f1 = f(x1, context), f2 = f(x2, context), least = fmin(f1, f2);
    for (int i = 0; i < 75; i++) {
        if (f1 < f2) {
            high = x2;
            x2 = x1;
            f2 = f1;
            x1 = high - ratio * (high - low);
            f1 = f(x1, context);
        } else {
            low = x1;
            x1 = x2;
            f1 = f2;
            x2 = low + ratio * (high - low);
            f2 = f(x2, context);
        }
        least = fmin(least, fmin(f1, f2));
    }
    return least;
}

static inline double scan(
    brute_function *f, const void *context, double low, double high, int samples, bool periodic)
{
    double pitch = (high - low) / samples, least = INFINITY, at = low;
    for (int i = 0; i <= samples; i++) {
        double value = f(low + pitch * i, context);
        if (value < least) {
            least = value;
            at = low + pitch * i;
        }
    }
    double left = periodic ? at - pitch : fmax(low, at - pitch);
    double right = periodic ? at + pitch : fmin(high, at + pitch);
    return fmin(least, golden(f, context, left, right));
}

struct place {
    const struct tool *tool;
    double p, stepover, sign;
};

/* Lowest point over p of the corner's ball that sits at θ on the circle. */
static inline double ball_low(double theta, const void *context)
{
    const struct place *place = context;
    const struct tool *tool = place->tool;
    double c = cos(theta), s = sin(theta);
    double d = place->p - (tool->l1 * c + tool->l2 * s);
    double off = tool->corner * tool->corner - d * d;
    /* out of the ball's reach: farther is worse, so that the search finds its way */
    double drop = off >= 0.0 ? -sqrt(off) : 1e3 + fabs(d);
    return tool->z1 * c + tool->z2 * s + drop;
}

/* Lowest point of one pass at lateral offset p. */
static inline double pass_low(const struct tool *tool, double p)
{
    double amplitude = hypot(tool->l1, tool->l2), phase = atan2(tool->l2, tool->l1);
    if (tool->corner == 0.0) {
        double turn = acos(fmin(fmax(p / amplitude, -1.0), 1.0));
        double first = phase + turn, second = phase - turn;
        return fmin(tool->z1 * cos(first) + tool->z2 * sin(first),
            tool->z1 * cos(second) + tool->z2 * sin(second));
    }
    struct place place = {.tool = tool, .p = p};
    /* the balls that reach p stand on one or two arcs: look along both halves of the circle */
    double near = fmin(fmax((p - tool->corner) / amplitude, -1.0), 1.0);
    double far = fmin(fmax((p + tool->corner) / amplitude, -1.0), 1.0);
    return fmin(scan(ball_low, &place, phase + acos(far), phase + acos(near), 16, false),
        scan(ball_low, &place, phase - acos(near), phase - acos(far), 16, false));
}

static inline double floor_low(double x, const void *context)
{
    const struct place *place = context;
    double low = INFINITY;
    double first = ceil((x - place->tool->reach) / place->stepover);
    double last = floor((x + place->tool->reach) / place->stepover);
    for (double j = first; j <= last; j++)
        low = fmin(low, pass_low(place->tool, x - j * place->stepover));
    return place->sign * low;
}

static inline double brute_ridge(struct perpend_slope lean, const struct perpend_cutter *cutter,
    double stepover, double along, int samples)
{
    struct tool tool = tool_make(lean, cutter, along);
    struct place low = {.tool = &tool, .stepover = stepover, .sign = 1.0};
    struct place high = {.tool = &tool, .stepover = stepover, .sign = -1.0};
    return -scan(floor_low, &high, 0.0, stepover, samples, true) -
           scan(floor_low, &low, 0.0, stepover, samples, true);
}

struct case_ {
    struct perpend_slope lean;
    struct perpend_cutter cutter;
    double stepover, along;
};

static inline void print_case(size_t number, const struct case_ *c)
{
    printf("# case %zu: lean %.17g %.17g, diameter %.17g, corner %.17g, stepover %.17g, along "
           "%.17g\n",
        number, c->lean.right, c->lean.back, c->cutter.diameter, c->cutter.corner, c->stepover,
        c->along);
}

/* Leans to 50 mm/m and one in four to 500; also none, along the feed, across it, nearly so. */
static inline struct case_ draw_case(struct test_random *random, bool corner)
{
    struct case_ c = {.cutter = {test_uniform(random, 2.0, 80.0), 0.0}};
    double most = test_pick(random, 4) == 0 ? 0.5 : 0.05;
    double size = test_pick(random, 2) ? most * pow(10.0, test_uniform(random, -6.0, 0.0))
                                       : test_uniform(random, 0.0, most);
    c.along = test_uniform(random, -PERPEND_PI, 2.0 * PERPEND_PI);
    double toward = test_uniform(random, 0.0, 2.0 * PERPEND_PI);
    switch (test_pick(random, 8)) {
    case 0:
        toward = c.along;
        break;
    case 1:
        toward = c.along + PERPEND_PI / 2.0;
        break;
    case 2:
        toward = c.along - PERPEND_PI / 2.0 + pow(10.0, test_uniform(random, -9.0, 0.0));
        break;
    case 3:
        c.along = test_pick(random, 2) ? PERPEND_ALONG_X : PERPEND_ALONG_Y;
        toward = (double)test_pick(random, 4) * PERPEND_PI / 2.0;
        break;
    default:
        break;
    }
    c.lean = (struct perpend_slope){size * sin(toward), size * cos(toward)};
    if (test_pick(random, 50) == 0)
        c.lean = (struct perpend_slope){0.0, 0.0};
    if (corner)
        c.cutter.corner = c.cutter.diameter / 2.0 *
                          (test_pick(random, 2) ? test_uniform(random, 0.001, 0.99)
                                                : pow(10.0, test_uniform(random, -4.0, -0.5)));
    struct tool tool = tool_make(c.lean, &c.cutter, c.along);
    c.stepover = 2.0 * tool.reach * test_uniform(random, corner ? 0.1 : 0.02, 0.999);
    return c;
}

#endif
