/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/sweep.h>

double perpend_gauge_gap_per_reading(const struct perpend_gauge *gauge)
{
    double farther = gauge->rises_away ? 1.0 : -1.0;
    switch (gauge->kind) {
    case PERPEND_GAUGE_TOUCH:
        return -1.0;
    case PERPEND_GAUGE_DIAL:
        return farther;
    case PERPEND_GAUGE_LEVER:
        return farther * cos(gauge->angle);
    case PERPEND_GAUGE_GAP:
        break;
    }
    return 1.0;
}

double perpend_gauge_uncertainty(const struct perpend_gauge *gauge, double spread)
{
    double rounding = gauge->step / sqrt(12.0);
    double repeatability = isnan(gauge->spread) ? spread : gauge->spread;
    return fabs(perpend_gauge_gap_per_reading(gauge)) * hypot(rounding, repeatability);
}
