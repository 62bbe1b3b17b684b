/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rigid move, a shift and two turns, that comes nearest to what bolts did. */
#include <math.h>

#include "core/mount/move_parts.h"

/* A turn that is nearer than this to another, as a share of its square, is the same. */
#define THE_SAME 1e-6

static void subtract(struct perpend_point *from, double times, struct perpend_point what)
{
    from->right -= times * what.right;
    from->back -= times * what.back;
    from->up -= times * what.up;
}

static void take_about_mean(struct perpend_point *at, size_t count)
{
    struct perpend_point sum = {0, 0, 0};
    for (size_t i = 0; i < count; i++)
        subtract(&sum, -1.0, at[i]);
    for (size_t i = 0; i < count; i++)
        subtract(&at[i], 1.0 / (double)count, sum);
}

static double product(const struct perpend_point *a, const struct perpend_point *b, size_t count)
{
    double sum = 0.0;
    for (size_t i = 0; i < count; i++)
        sum += perpend_dot(a[i], b[i]);
    return sum;
}

void rigid_fit(struct rigid *rigid)
{
    size_t count = rigid->count;
    struct perpend_point *moved = rigid->moved, *first = rigid->by[0], *second = rigid->by[1];
    take_about_mean(moved, count);
    take_about_mean(first, count);
    take_about_mean(second, count);
    double size = product(first, first, count), whole = product(second, second, count);
    double shared = size > 0.0 ? product(first, second, count) / size : 0.0;
    for (size_t i = 0; i < count; i++)
        subtract(&second[i], shared, first[i]);
    double own = product(second, second, count);
    rigid->turn[1] = own > THE_SAME * fmax(size, whole) ? product(second, moved, count) / own : 0.0;
    rigid->turn[0] = size > 0.0 ? product(first, moved, count) / size : 0.0;
    rigid->off = 0.0;
    for (size_t i = 0; i < count; i++) {
        subtract(&moved[i], rigid->turn[0], first[i]);
        subtract(&moved[i], rigid->turn[1], second[i]);
        double left = sqrt(perpend_dot(moved[i], moved[i]));
        rigid->off = isfinite(left) ? fmax(rigid->off, left) : NAN;
        if (isnan(rigid->off))
            break;
    }
    rigid->turn[0] -= shared * rigid->turn[1];
}
