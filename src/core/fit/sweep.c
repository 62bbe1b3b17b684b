/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/sweep.h>

double perpend_gauge_gap_per_reading(const struct perpend_gauge *gauge)
{
    const struct perpend_gauge_row *row = perpend_gauge_at(gauge->kind);
    double toward = row->angled ? row->sign * cos(gauge->angle) : row->sign;
    return row->rises && gauge->rises_away ? -toward : toward;
}

double perpend_gauge_uncertainty(const struct perpend_gauge *gauge, double spread)
{
    double rounding = gauge->step / sqrt(12.0);
    double repeatability = isnan(gauge->spread) ? spread : gauge->spread;
    return fabs(perpend_gauge_gap_per_reading(gauge)) * hypot(rounding, repeatability);
}
