/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include <perpend/drift.h>
#include <perpend/status.h>

#include "text/about.h"

bool answer_sweeps_of_one_name(
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    const struct perpend_sweep *sweeps = &job->sweeps[measurement->first_sweep];
    size_t length = strlen(sweeps[0].name);
    if (measurement->sweep_count < 2 || length == 0)
        return false;
    for (size_t i = 1; i < measurement->sweep_count; i++)
        if (strncmp(sweeps[i].name, sweeps[0].name, length) != 0 || sweeps[i].name[length] != ',')
            return false;
    return true;
}

bool answer_slope_shows(
    struct perpend_slope slope, const struct perpend_slope_covariance *covariance)
{
    struct perpend_drift from_zero;
    if (perpend_drift_between((struct perpend_slope){0, 0},
            (struct perpend_slope_covariance){0, 0, 0}, slope, *covariance,
            &from_zero) != PERPEND_OK)
        return slope.right != 0.0 || slope.back != 0.0;
    return from_zero.beyond;
}

bool several_places(const struct perpend_measurement *measurement)
{
    const struct perpend_reading *first = &measurement->readings[0];
    for (size_t i = 1; i < measurement->reading_count; i++)
        if (measurement->readings[i].x != first->x || measurement->readings[i].y != first->y)
            return true;
    return false;
}

bool answer_readings_doubtful(const struct answer_about *about)
{
    return about->measurement->doubt.kind != PERPEND_DOUBT_NONE;
}

double answer_agree(const struct answer_about *about)
{
    const struct perpend_machine *machine = about->machine;
    const struct perpend_sweep *sweep = &about->job->sweeps[about->measurement->first_sweep];
    struct perpend_means means;
    if (!perpend_goal_is_set(&machine->goal) ||
        perpend_means_for(&machine->setup, (unsigned)sweep->reading_count, &machine->cutter,
            &machine->facing, &machine->goal, &means) != PERPEND_OK)
        return NAN;
    return means.agree;
}

double agree_shown(double agree, double step)
{
    double steps = floor(agree / step + 1e-9);
    return steps >= 1.0 ? steps * step : agree;
}

bool answer_any_stepover(
    const struct perpend_ridge_limits *limits, const struct perpend_cutter *cutter)
{
    /* a disc that leans cuts a hair less than its diameter */
    return limits->stepover >= 0.999 * cutter->diameter;
}

bool answer_has_plan(const struct perpend_measurement *measurement)
{
    if (!measurement->has_plan || measurement->verdict == PERPEND_VERDICT_MET ||
        measurement->plan_worsens)
        return false;
    return measurement->verdict == PERPEND_VERDICT_NOT_MET ||
           answer_slope_shows(measurement->fit.lean, &measurement->fit.lean_covariance);
}

bool answer_has_steps(const struct perpend_measurement *measurement)
{
    return answer_has_plan(measurement) && measurement->plan.step_count > 0;
}

bool answer_leaves_run_out(const struct answer_about *about, size_t joint)
{
    for (size_t axis = 0; axis < 2; axis++) {
        const struct perpend_shortfall *shortfall = &about->measurement->plan.short_of[axis];
        if (shortfall->present && shortfall->move == PERPEND_MOVE_SHIM &&
            shortfall->joint < about->machine->mount.joint_count && /* some joint serves */
            (joint == ANSWER_ANY_JOINT || joint == shortfall->joint))
            return true;
    }
    return false;
}
