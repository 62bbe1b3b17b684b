/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/geometry.h>
#include <perpend/units.h>

double perpend_slope_size(struct perpend_slope slope)
{
    return hypot(slope.right, slope.back);
}

double perpend_slope_toward(struct perpend_slope slope)
{
    /* rounding leaves a lean of nothing with a direction of its own, another on every machine */
    if (fabs(slope.right) < 1e-13 && fabs(slope.back) < 1e-13)
        return 0.0;
    double bearing = atan2(slope.right, slope.back);
    if (bearing < 0.0)
        bearing += 2.0 * PERPEND_PI;
    /* a bearing a hair under 0 rounds to 2π itself, which is 0 again */
    return bearing < 2.0 * PERPEND_PI ? bearing : 0.0;
}

double perpend_gap(struct perpend_slope lean, struct perpend_slope bed, double radius,
    double bearing, double x, double y)
{
    double right = sin(bearing), back = cos(bearing);
    double spindle = lean.right * right + lean.back * back;
    double floor_rise = bed.right * right + bed.back * back;
    return -(bed.right * x + bed.back * y) -
           radius * (spindle + floor_rise) / sqrt(1.0 + spindle * spindle);
}

struct perpend_point perpend_turn_for(struct perpend_slope lean)
{
    return (struct perpend_point){.right = lean.back, .back = -lean.right, .up = 0.0};
}

struct perpend_point perpend_cross(struct perpend_point a, struct perpend_point b)
{
    return (struct perpend_point){
        .right = a.back * b.up - a.up * b.back,
        .back = a.up * b.right - a.right * b.up,
        .up = a.right * b.back - a.back * b.right,
    };
}

double perpend_dot(struct perpend_point a, struct perpend_point b)
{
    return a.right * b.right + a.back * b.back + a.up * b.up;
}
