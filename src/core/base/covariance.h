/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COVARIANCE_H
#define COVARIANCE_H

/** Symmetric 2 × 2 matrices in (right, back): covariances of slopes, scatters of points. */

#include <math.h>

#include <perpend/geometry.h>

/** Covariance of a sum or a difference of two slopes that have nothing to do with each other. */
static inline struct perpend_slope_covariance covariance_sum(
    struct perpend_slope_covariance a, struct perpend_slope_covariance b)
{
    return (struct perpend_slope_covariance){
        a.right_right + b.right_right, a.right_back + b.right_back, a.back_back + b.back_back};
}

/** Principal axes of such a matrix: its eigenvalues and the larger one's direction, a unit vector;
 *  (1, 0) when they are equal. Rounding may leave the smaller one a little under 0. */
struct principal_axes {
    double larger, smaller;
    struct perpend_slope direction;
};

static inline struct principal_axes principal_axes(struct perpend_slope_covariance matrix)
{
    double middle = (matrix.right_right + matrix.back_back) / 2.0;
    double half = (matrix.right_right - matrix.back_back) / 2.0;
    double spread = hypot(half, matrix.right_back);
    double angle = spread > 0.0 ? atan2(matrix.right_back, half) / 2.0 : 0.0;
    return (struct principal_axes){middle + spread, middle - spread, {cos(angle), sin(angle)}};
}

#endif
