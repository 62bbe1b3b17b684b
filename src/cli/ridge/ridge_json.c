/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "cli/ridge/ridge_question.h"
#include "files/json.h"

/* What does not apply is null; an infinite radius is, too: json_put_number sees to it. */
static void put_slope(struct json *json, const char *key, double value)
{
    json_put_number(json, key, value * PERPEND_MM_PER_METRE);
}

static void put_lean(struct json *json, struct perpend_slope lean)
{
    json_open(json, "lean", '{');
    put_slope(json, "right", lean.right);
    put_slope(json, "back", lean.back);
    put_slope(json, "size", perpend_slope_size(lean));
    json_put_number(json, "toward", perpend_degrees(perpend_slope_toward(lean)));
    json_close(json, '}');
}

static void put_cut(struct json *json, const struct ridge_question *question)
{
    const struct perpend_facing *facing = &question->facing;
    json_open(json, "bit", '{');
    json_put_number(json, "diameter", question->cutter.diameter);
    json_put_number(json, "corner", question->cutter.corner);
    json_close(json, '}');
    json_open(json, "facing", '{');
    json_put_number(json, "stepover", facing->stepover);
    json_put_number(json, "along", facing->both_ways ? NAN : perpend_degrees(facing->along));
    json_put_number(json, "depth", facing->depth);
    json_close(json, '}');
    json_put_number(json, "goal", question->goal);
}

static void put_ridge(struct json *json, const struct perpend_ridge *ridge, double goal)
{
    json_open(json, "ridge", '{');
    json_put_number(json, "height", ridge->height);
    json_put_number(json, "ra", ridge->ra);
    json_put_text(json, "verdict", isnan(goal) ? NULL : ridge->height <= goal ? "met" : "not met");
    json_put_number(json, "bottom_radius", ridge->bottom_radius);
    json_put_number(json, "drop", ridge->drop);
    json_put_number(json, "width", ridge->width);
    json_put_number(json, "full_width", ridge->full_width);
    json_put_bool(json, "depth_short", ridge->depth_short);
    json_open(json, "best", '{');
    json_put_number(json, "along", perpend_degrees(ridge->best_along));
    json_put_number(json, "height", ridge->best_height);
    json_close(json, '}');
    json_close(json, '}');
}

static void put_limits(struct json *json, const struct perpend_ridge_limits *limits)
{
    json_open(json, "limits", '{');
    put_slope(json, "lean", limits->lean);
    put_slope(json, "lean_across", limits->lean_across);
    put_slope(json, "lean_along", limits->lean_along);
    json_put_number(json, "opposite_reading", limits->opposite_reading);
    json_put_number(json, "stepover", limits->stepover);
    json_close(json, '}');
}

static void put_means(struct json *json, const struct perpend_means *means, unsigned readings)
{
    json_open(json, "means", '{');
    json_put_integer(json, "readings", readings);
    json_put_number(json, "agree", means->agree);
    put_slope(json, "lean", means->lean);
    put_slope(json, "lean_uncertainty", means->lean_uncertainty);
    json_put_bool(json, "fine_enough", means->fine_enough);
    json_put_number(json, "step_needed", means->step_needed);
    json_put_number(json, "arm_needed", means->arm_needed);
    json_close(json, '}');
}

char *ridge_answer_json(const struct ridge_question *question, const struct ridge_answer *answer)
{
    const bool known = question->has_lean;
    struct json json = {0};
    json_open(&json, NULL, '{');
    json_put_integer(&json, "perpend", 1);
    if (known)
        put_lean(&json, question->lean);
    else
        json_put_null(&json, "lean");
    put_cut(&json, question);
    if (known)
        put_ridge(&json, &answer->ridge, question->goal);
    else
        json_put_null(&json, "ridge");
    json_put_number(&json, "ridge_x", known ? answer->ridge.along_x : NAN);
    json_put_number(&json, "ridge_y", known ? answer->ridge.along_y : NAN);
    if (isnan(question->goal))
        json_put_null(&json, "limits");
    else
        put_limits(&json, &answer->limits);
    if (answer->has_means)
        put_means(&json, &answer->means, question->readings);
    else
        json_put_null(&json, "means");
    json_close(&json, '}');
    return json_take(&json);
}
