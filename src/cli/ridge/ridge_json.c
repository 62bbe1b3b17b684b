/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "files/json_text.h"
#include "cli/ridge/ridge_question.h"

/* What does not apply is null; an infinite radius is, too: json_number sees to it. */
static json_t *slope(double value)
{
    return json_number(value * PERPEND_MM_PER_METRE);
}

static json_t *feed(double along)
{
    return json_number(perpend_degrees(along));
}

static json_t *lean_object(const struct ridge_question *question)
{
    struct perpend_slope lean = question->lean;
    if (!question->has_lean)
        return json_null();
    return json_pack("{s:o, s:o, s:o, s:o}", "right", slope(lean.right), "back", slope(lean.back),
        "size", slope(perpend_slope_size(lean)), "toward", feed(perpend_slope_toward(lean)));
}

static json_t *ridge_object(
    const struct ridge_question *question, const struct perpend_ridge *ridge)
{
    if (!question->has_lean)
        return json_null();
    json_t *verdict = isnan(question->goal)
                          ? json_null()
                          : json_string(ridge->height <= question->goal ? "met" : "not met");
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o}", "height",
        json_number(ridge->height), "ra", json_number(ridge->ra), "verdict", verdict,
        "bottom_radius", json_number(ridge->bottom_radius), "drop", json_number(ridge->drop),
        "width", json_number(ridge->width), "full_width", json_number(ridge->full_width),
        "depth_short", ridge->depth_short, "best",
        json_pack("{s:o, s:o}", "along", feed(ridge->best_along), "height",
            json_number(ridge->best_height)));
}

static json_t *limits_object(
    const struct ridge_question *question, const struct perpend_ridge_limits *limits)
{
    if (isnan(question->goal))
        return json_null();
    return json_pack("{s:o, s:o, s:o, s:o, s:o}", "lean", slope(limits->lean), "lean_across",
        slope(limits->lean_across), "lean_along", slope(limits->lean_along), "opposite_reading",
        json_number(limits->opposite_reading), "stepover", json_number(limits->stepover));
}

static json_t *means_object(
    const struct ridge_question *question, const struct ridge_answer *answer)
{
    const struct perpend_means *means = &answer->means;
    if (!answer->has_means)
        return json_null();
    return json_pack("{s:i, s:o, s:o, s:o, s:b, s:o, s:o}", "readings", (int)question->readings,
        "agree", json_number(means->agree), "lean", slope(means->lean), "lean_uncertainty",
        slope(means->lean_uncertainty), "fine_enough", means->fine_enough, "step_needed",
        json_number(means->step_needed), "arm_needed", json_number(means->arm_needed));
}

char *ridge_answer_json(const struct ridge_question *question, const struct ridge_answer *answer)
{
    const struct perpend_ridge *ridge = &answer->ridge;
    bool known = question->has_lean;
    json_t *root =
        json_pack("{s:i, s:o, s:{s:o, s:o}, s:{s:o, s:o, s:o}, s:o, s:o, s:o, s:o, s:o, s:o}",
            "perpend", 1, "lean", lean_object(question), "bit", "diameter",
            json_number(question->cutter.diameter), "corner", json_number(question->cutter.corner),
            "facing", "stepover", json_number(question->facing.stepover), "along",
            question->facing.both_ways ? json_null() : feed(question->facing.along), "depth",
            json_number(question->facing.depth), "goal", json_number(question->goal), "ridge",
            ridge_object(question, ridge), "ridge_x", json_number(known ? ridge->along_x : NAN),
            "ridge_y", json_number(known ? ridge->along_y : NAN), "limits",
            limits_object(question, &answer->limits), "means", means_object(question, answer));
    return json_text(root, JSON_INDENT(2) | JSON_REAL_PRECISION(15), "\n");
}
