/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef BOARD_WORLD_H
#define BOARD_WORLD_H

/** Random boards: a plane with waves on it, touched on a grid with a gauge as a hand reads it. */

#include "support/support.h"

#include <perpend/board.h>
#include <perpend/machine.h>
#include <perpend/units.h>

#define WAVES 6

struct board_world {
    struct perpend_area area;
    struct perpend_setup setup;
    struct perpend_slope slope;
    double wave[WAVES][4]; /* amplitude, phase, and turns per mm along X and Y */
    struct perpend_reading touches[PERPEND_TOUCHES_MOST];
    size_t count;
};

static inline double board_height(const struct board_world *w, double x, double y)
{
    double height = w->slope.right * x + w->slope.back * y;
    for (size_t i = 0; i < WAVES; i++)
        height += w->wave[i][0] *
                  sin(2.0 * PERPEND_PI * (w->wave[i][2] * x + w->wave[i][3] * y) + w->wave[i][1]);
    return height;
}

/* Waves of that standard deviation, so long; a plane up to 5 mm/m. */
static inline void board_form(struct test_random *random, double waves, double shortest,
    double longest, struct board_world *w)
{
    w->slope.right = test_uniform(random, -0.005, 0.005);
    w->slope.back = test_uniform(random, -0.005, 0.005);
    for (size_t i = 0; i < WAVES; i++) {
        double length = test_uniform(random, shortest, longest);
        double toward = test_uniform(random, 0.0, 2.0 * PERPEND_PI);
        w->wave[i][0] = waves * sqrt(2.0 / WAVES);
        w->wave[i][1] = test_uniform(random, 0.0, 2.0 * PERPEND_PI);
        w->wave[i][2] = sin(toward) / length;
        w->wave[i][3] = cos(toward) / length;
    }
}

/* A grid over the area, a little inside. `error` is the hand's scatter, mm of height; rounded to the
   gauge's step where there is one. */
static inline void board_touch(struct test_random *random, size_t columns, size_t rows,
    double error, bool rounded, struct board_world *w)
{
    const double factor = -perpend_gauge_gap_per_reading(&w->setup.gauge);
    const double step = w->setup.gauge.step;
    w->count = 0;
    for (size_t i = 0; i < columns * rows; i++) {
        struct perpend_reading *touch = &w->touches[w->count++];
        touch->x =
            w->area.x + w->area.wide * (0.05 + 0.9 * (double)(i % columns) / (double)(columns - 1));
        touch->y =
            w->area.y + w->area.deep * (0.05 + 0.9 * (double)(i / columns) / (double)(rows - 1));
        touch->value =
            (board_height(w, touch->x, touch->y) + error * test_normal(random) + 20.0) / factor;
        if (rounded)
            touch->value = step * round(touch->value / step);
    }
}

static inline struct board_world board_world_make(struct test_random *random)
{
    struct board_world w = {
        .area = {test_uniform(random, -300.0, 300.0), test_uniform(random, -300.0, 300.0),
            test_uniform(random, 150.0, 900.0), test_uniform(random, 150.0, 900.0)}};
    struct perpend_machine machine;
    perpend_machine_init(&machine);
    w.setup = machine.setup;
    w.setup.bed_faced = false;
    w.setup.gauge.kind = (enum perpend_gauge_kind)test_pick(random, PERPEND_GAUGE_KINDS);
    w.setup.gauge.step = test_uniform(random, 0.005, 0.06);
    w.setup.gauge.rises_away =
        w.setup.gauge.kind >= PERPEND_GAUGE_DIAL && test_pick(random, 2) == 0;
    w.setup.gauge.angle =
        w.setup.gauge.kind == PERPEND_GAUGE_LEVER ? test_uniform(random, 0.0, 1.0) : 0.0;
    return w;
}

#endif
