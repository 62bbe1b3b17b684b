/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of gauges. */
#include <perpend/sweep.h>

static const struct perpend_gauge_row rows[PERPEND_GAUGE_KINDS] = {
    [PERPEND_GAUGE_GAP] = {.name = "gap", .sign = 1.0},
    [PERPEND_GAUGE_TOUCH] = {.name = "touch", .sign = -1.0, .by_z = true},
    [PERPEND_GAUGE_DIAL] = {.name = "dial", .sign = -1.0, .rises = true},
    [PERPEND_GAUGE_LEVER] = {.name = "lever", .sign = -1.0, .rises = true, .angled = true},
};

const struct perpend_gauge_row *perpend_gauge_at(size_t kind)
{
    return kind < PERPEND_GAUGE_KINDS ? &rows[kind] : NULL;
}
