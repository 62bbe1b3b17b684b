/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_RIDGE_LIMITS_H
#define CORE_RIDGE_LIMITS_H

#include <perpend/ridge.h>

/* No lean beyond 45° is looked at. */
#define RIDGE_MOST_LEAN 1.0

/**
 * Largest lean toward a bearing that keeps the ridge at or under a goal.
 *
 * Given:    cutter, facing   valid
 *           goal             mm
 *           bearing          of the lean, counted from the feed's (X when both ways), rad
 * Value:    mm/mm, at most RIDGE_MOST_LEAN; NAN when even an upright spindle does not keep it
 */
double ridge_lean_limit(const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    double goal, double bearing);

#endif
