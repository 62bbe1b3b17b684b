/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "files/board_file.h"
#include "files/json.h"

char *survey_json(const struct perpend_machine *machine, const struct perpend_sweep *touches,
    const struct perpend_survey *survey, const struct perpend_cleanup *cleanup)
{
    const struct perpend_reading *touch = touches->readings, *top = &touch[survey->top],
                                 *bottom = &touch[survey->bottom];
    const double depth = machine->facing.depth;
    struct json json = {0};
    json_add(&json, "{perpend: 1, touches: %lld", (long long)survey->touch_count);
    json_put_slope(&json, "slope", survey->slope);
    json_put_uncertainty(&json, "uncertainty", &survey->covariance);
    json_add(&json,
        "waves: %g, waves_length: %g, flatness: %g, highest: [%g, %g, %g], lowest: [%g, %g, %g], "
        "suspect: %g",
        survey->waves, survey->length, survey->over + survey->under, top->x, top->y, survey->over,
        bottom->x, bottom->y, -survey->under,
        survey->suspect.index == PERPEND_FIT_NO_SUSPECT ? (double)NAN
                                                        : (double)survey->suspect.index + 1.0);
    json_add(&json, "zero: {x: %g, y: %g}, even: %g, sure: %g, depth: %g, passes: [",
        cleanup->zero.right, cleanup->zero.back, cleanup->even, cleanup->sure, depth);
    for (unsigned pass = 1; pass <= cleanup->passes && pass <= PERPEND_PASSES_SHOWN; pass++)
        json_add(&json, "{depth: %g, uncut: %g, chance: %g}", pass * depth,
            perpend_cleanup_share(cleanup, pass * depth),
            perpend_cleanup_chance(cleanup, pass * depth));
    json_add(&json, "], count: %lld, first_takes: %g, takes: %g, stays: %g, meets_metal: %i}",
        (long long)cleanup->passes, cleanup->first, cleanup->taken,
        machine->bench.board.thickness - cleanup->taken,
        cleanup->hit < machine->bench.board.metal_count);
    return json_take(&json);
}

static void put_passes(struct json *json, const char *key, const struct perpend_passes *passes)
{
    json_add(json, "%s: {passes: %lld, x: [%g, %g], y: [%g, %g], path: %g, minutes: %g, ridge: %g}",
        key, (long long)passes->count, passes->path.x, passes->path.x + passes->path.wide,
        passes->path.y, passes->path.y + passes->path.deep, passes->length, passes->minutes,
        passes->ridge);
}

char *facing_json(const struct perpend_machine *machine, const struct perpend_facing_plan *plan)
{
    struct json json = {0};
    json_add(&json, "{perpend: 1, along: %s, stepover: %g, depth: %g, feed: %g, speed: %g",
        plan->advised == 1 ? "Y" : "X", machine->facing.stepover, machine->facing.depth,
        machine->bench.feed, machine->bench.speed);
    put_passes(&json, "along_x", &plan->way[0]);
    put_passes(&json, "along_y", &plan->way[1]);
    json_add(&json, "not_reached: {left: %g, right: %g, front: %g, back: %g}, rim: %g}",
        plan->strip[0], plan->strip[1], plan->strip[2], plan->strip[3], plan->rim);
    return json_take(&json);
}
