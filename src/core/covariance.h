/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COVARIANCE_H
#define COVARIANCE_H

#include <perpend/geometry.h>

/** Covariance of a sum or a difference of two slopes that have nothing to do with each other. */
static inline struct perpend_slope_covariance covariance_sum(
    struct perpend_slope_covariance a, struct perpend_slope_covariance b)
{
    return (struct perpend_slope_covariance){
        a.right_right + b.right_right, a.right_back + b.right_back, a.back_back + b.back_back};
}

#endif
