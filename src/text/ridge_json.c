/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/ridge_answer.h"
#include "files/json.h"

#define SLOPE(value) ((value)*PERPEND_MM_PER_METRE)

/* What does not apply is null; an infinite radius is, too. */
static void put_cut(struct json *json, const struct ridge_question *question)
{
    const struct perpend_facing *facing = &question->facing;
    json_add(json,
        "bit: {diameter: %g, corner: %g}, facing: {stepover: %g, along: %g, depth: %g}, goal: %g",
        question->cutter.diameter, question->cutter.corner, facing->stepover,
        facing->both_ways ? NAN : perpend_degrees(facing->along), facing->depth, question->goal);
}

static void put_ridge(struct json *json, const struct perpend_ridge *ridge, double goal)
{
    json_add(json,
        "ridge: {height: %g, ra: %g, verdict: %s, bottom_radius: %g, drop: %g, width: %g, "
        "full_width: %g, depth_short: %i, best: {along: %g, height: %g}}",
        ridge->height, ridge->ra,
        isnan(goal)             ? NULL
        : ridge->height <= goal ? "met"
                                : "not met",
        ridge->bottom_radius, ridge->drop, ridge->width, ridge->full_width, ridge->depth_short,
        perpend_degrees(ridge->best_along), ridge->best_height);
}

static void put_limits(struct json *json, const struct perpend_ridge_limits *limits)
{
    json_add(json,
        "limits: {lean: %g, lean_across: %g, lean_along: %g, opposite_reading: %g, stepover: %g}",
        SLOPE(limits->lean), SLOPE(limits->lean_across), SLOPE(limits->lean_along),
        limits->opposite_reading, limits->stepover);
}

static void put_means(struct json *json, const struct perpend_means *means, unsigned readings)
{
    json_add(json,
        "means: {readings: %lld, agree: %g, lean: %g, lean_uncertainty: %g, fine_enough: %i, "
        "step_needed: %g, arm_needed: %g}",
        (long long)readings, means->agree, SLOPE(means->lean), SLOPE(means->lean_uncertainty),
        means->fine_enough, means->step_needed, means->arm_needed);
}

char *ridge_answer_json(const struct ridge_question *question, const struct ridge_answer *answer)
{
    const bool known = question->has_lean;
    const struct perpend_slope lean = question->lean;
    struct json json = {0};
    json_add(&json, "{perpend: 1");
    if (known)
        json_add(&json, "lean: {right: %g, back: %g, size: %g, toward: %g}", SLOPE(lean.right),
            SLOPE(lean.back), SLOPE(perpend_slope_size(lean)),
            perpend_degrees(perpend_slope_toward(lean)));
    else
        json_add(&json, "lean: null");
    put_cut(&json, question);
    if (known)
        put_ridge(&json, &answer->ridge, question->goal);
    else
        json_add(&json, "ridge: null");
    json_add(&json, "ridge_x: %g, ridge_y: %g", known ? answer->ridge.along_x : NAN,
        known ? answer->ridge.along_y : NAN);
    if (isnan(question->goal))
        json_add(&json, "limits: null");
    else
        put_limits(&json, &answer->limits);
    if (answer->has_means)
        put_means(&json, &answer->means, question->readings);
    else
        json_add(&json, "means: null");
    json_add(&json, "}");
    return json_take(&json);
}
