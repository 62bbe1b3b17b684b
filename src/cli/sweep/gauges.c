/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a session says and expects of each kind of gauge. */
#include "cli/sweep/session.h"

#include <assert.h>
#include <math.h>

#define LOCKED " Leave Z locked for the whole turn."

static const struct gauge_talk talks[] = {
    [PERPEND_GAUGE_GAP] =
        {
            .how = "At each bearing find what just fits under the tip, and type it." LOCKED,
            .stays = "Z",
            .keep = "leave Z locked",
            .moved = "Z was moved",
            .no_minus = true,
            .large = {10, 10},
        },
    [PERPEND_GAUGE_TOUCH] =
        {
            .how = "At each bearing lower the machine until the tip just scrapes, and type Z.",
            .stays = "the zero of Z",
            .keep = "leave Z's zero where it is",
            .moved = "Z was zeroed",
            .large = {INFINITY, INFINITY},
        },
    [PERPEND_GAUGE_DIAL] =
        {
            .how = "At each bearing type what the dial shows." LOCKED,
            .stays = "Z",
            .keep = "leave Z locked",
            .moved = "Z was moved or the gauge zeroed",
            .large = {INFINITY, PERPEND_MM_PER_INCH},
        },
    [PERPEND_GAUGE_LEVER] =
        {
            .how = "At each bearing type what the indicator shows." LOCKED,
            .stays = "Z",
            .keep = "leave Z locked",
            .moved = "Z was moved or the gauge zeroed",
            .large = {INFINITY, PERPEND_MM_PER_INCH},
        },
};
static_assert(sizeof talks / sizeof *talks == PERPEND_GAUGE_KINDS, "a kind has no words");

const struct gauge_talk *session_gauge(const struct session *session)
{
    return &talks[session_machine(session)->setup.gauge.kind];
}
