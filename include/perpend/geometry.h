/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_GEOMETRY_H
#define PERPEND_GEOMETRY_H

/**
 * The machine frame, after ISO 841 and as a person in front of the machine sees it: X to the
 * right, Y to the back (away from the operator), Z up. A bearing is clockwise from the back seen
 * from above: u(β) = (sin β, cos β) in (right, back).
 */

#ifdef __cplusplus
extern "C" {
#endif

/** A slope in mm per mm: the spindle's lean (its top leans to +right, +back), or how much the bed
 *  rises toward the right and the back, against the X/Y travel. */
struct perpend_slope {
    double right;
    double back;
};

/** A point or a displacement, mm, from the tool tip. */
struct perpend_point {
    double right;
    double back;
    double up;
};

/** Covariance of a slope's two parts, (mm/mm)². */
struct perpend_slope_covariance {
    double right_right;
    double right_back;
    double back_back;
};

/** Magnitude of a slope, mm/mm: √(right² + back²). */
double perpend_slope_size(struct perpend_slope slope);

/** Bearing toward which a slope leans (a bed's: toward which it rises), rad in [0, 2π); 0 for no
 * slope at all. */
double perpend_slope_toward(struct perpend_slope slope);

/**
 * Height of the arm's contact tip above the bed, exactly, up to the constant b0 and Z: with
 * k = √(1 + (t·u)²)
 *
 *     gap = −b·(X, Y) − R (t·u + b·u) / k
 *
 * Given:    lean     t, mm/mm
 *           bed      b, mm/mm
 *           radius   R, arm's length from the axis to the contact tip, mm
 *           bearing  β, rad
 *           x, y     where the carriage stands, mm
 * Value:    the gap less that at the axis with the spindle at X = Y = 0, mm
 * Source:   docs/method.md, "The gap"
 */
double perpend_gap(struct perpend_slope lean, struct perpend_slope bed, double radius,
    double bearing, double x, double y);

/**
 * The turn that brings a lean to zero, to first order: ω = (t_b, −t_r, 0).
 *
 * Given:    lean  t, mm/mm
 * Value:    rad about X, Y, Z (right, back, up)
 * Source:   docs/method.md, "A turn and its parts"
 */
struct perpend_point perpend_turn_for(struct perpend_slope lean);

/** Vector product a × b, and scalar product a·b. */
struct perpend_point perpend_cross(struct perpend_point a, struct perpend_point b);
double perpend_dot(struct perpend_point a, struct perpend_point b);

#ifdef __cplusplus
}
#endif

#endif
