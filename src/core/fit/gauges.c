/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of gauges, and what follows for one of them: its sign, its step, a hand. */
#include <math.h>

#include <perpend/sweep.h>
#include <perpend/units.h>

#define INDICATOR                                                                                  \
    .sign = -1.0, .rises = true, .large = {INFINITY, PERPEND_MM_PER_INCH}, .spread_share = 0.5,    \
    .spread_least = 0.005

static const struct perpend_gauge_row rows[PERPEND_GAUGE_KINDS] = {
    [PERPEND_GAUGE_GAP] = {.name = "gap",
        .sign = 1.0,
        .no_minus = true,
        .large = {10.0, 10.0},
        .spread_share = 0.4,
        .spread_least = 0.02},
    [PERPEND_GAUGE_TOUCH] = {.name = "touch",
        .sign = -1.0,
        .by_z = true,
        .large = {INFINITY, INFINITY},
        .spread_share = 0.5,
        .spread_least = 0.01},
    [PERPEND_GAUGE_DIAL] = {.name = "dial", INDICATOR},
    [PERPEND_GAUGE_LEVER] = {.name = "lever", INDICATOR, .angled = true},
};

const struct perpend_gauge_row *perpend_gauge_at(size_t kind)
{
    return kind < PERPEND_GAUGE_KINDS ? &rows[kind] : NULL;
}

double perpend_gauge_gap_per_reading(const struct perpend_gauge *gauge)
{
    const struct perpend_gauge_row *row = perpend_gauge_at(gauge->kind);
    double toward = row->angled ? row->sign * cos(gauge->angle) : row->sign;
    return row->rises && gauge->rises_away ? -toward : toward;
}

double perpend_arm_relative_uncertainty(const struct perpend_arm *arm)
{
    return isnan(arm->relative_uncertainty) ? PERPEND_ARM_LENGTH_UNCERTAINTY / arm->length
                                            : arm->relative_uncertainty;
}

double perpend_gauge_spread(const struct perpend_gauge *gauge)
{
    const struct perpend_gauge_row *row = perpend_gauge_at((size_t)gauge->kind);
    if (!isnan(gauge->spread))
        return gauge->spread;
    return fmax(row->spread_share * gauge->step, row->spread_least);
}

double perpend_gauge_spread_of(
    const struct perpend_gauge *gauge, const double *readings, size_t count)
{
    struct perpend_gauge unstated = *gauge;
    unstated.spread = NAN;
    double usual = perpend_gauge_spread(&unstated), squares = 0.0, mean = 0.0;
    for (size_t i = 0; i < count; i++)
        mean += readings[i] / (double)count;
    for (size_t i = 0; i < count; i++)
        squares += (readings[i] - mean) * (readings[i] - mean);
    return sqrt(
        (PERPEND_GUESSED * usual * usual + squares) / (PERPEND_GUESSED + (double)count - 1.0));
}

double perpend_gauge_uncertainty(const struct perpend_gauge *gauge)
{
    return fabs(perpend_gauge_gap_per_reading(gauge)) *
           hypot(gauge->step / sqrt(12.0), perpend_gauge_spread(gauge));
}

double perpend_gauge_stays(const struct perpend_gauge *gauge)
{
    double steps = perpend_gauge_spread(gauge) / gauge->step;
    double amplitude =
        gauge->step / PERPEND_PI * exp(-2.0 * PERPEND_PI * PERPEND_PI * steps * steps);
    return fmin(gauge->step * gauge->step / 12.0, amplitude * amplitude / 2.0);
}
