/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of gauges. */
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
