/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include <perpend/mount.h>
#include <perpend/units.h>

#include "files/files.h"
#include "files/json_text.h"

/**
 * Format 1: lengths in mm, slopes in mm/m, angles in degrees, whatever the file's unit. A value
 * that is not a number is null.
 */

#define DIGITS 15

/* Degrees from 0 up to but not 360, also once they are rounded to the digits printed. */
static json_t *bearing_json(double bearing)
{
    double degrees = perpend_degrees(bearing);
    return json_number(degrees > 360.0 - 1e-12 ? 0.0 : degrees);
}

static json_t *lean_json(struct perpend_slope lean)
{
    json_t *object = json_slope(lean);
    json_put(&object, "size", json_number(perpend_slope_size(lean) * PERPEND_MM_PER_METRE));
    json_put(&object, "toward", bearing_json(perpend_slope_toward(lean)));
    return object;
}

static json_t *residuals_json(
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    json_t *array = json_array();
    for (size_t i = 0; i < measurement->reading_count; i++) {
        const struct perpend_reading *reading = &measurement->readings[i];
        json_t *object = json_object();
        json_put(
            &object, "sweep", json_text_or_null(job->sweeps[measurement->reading_sweep[i]].name));
        json_put(&object, "at", bearing_json(reading->bearing));
        json_put(&object, "reading", json_number(reading->value));
        json_put(&object, "residual", json_number(measurement->residual[i]));
        json_put(&object, "suspect", json_boolean(perpend_fit_suspects(&measurement->fit, i)));
        json_add(&array, object);
    }
    return array;
}

static json_t *fit_json(
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    const struct perpend_fit *fit = &measurement->fit;
    bool checked =
        fit->quality.dof > 0; /* nothing is left over to test when every reading is used up */
    json_t *object = json_object();
    json_put(&object, "centre", json_number(fit->centre));
    json_put(&object, "rms", json_number(fit->quality.rms));
    json_put(&object, "dof", json_integer(fit->quality.dof));
    json_put(&object, "chi2", checked ? json_number(fit->quality.chi2) : json_null());
    json_put(&object, "p", checked ? json_number(fit->quality.p) : json_null());
    json_put(&object, "residuals", residuals_json(job, measurement));
    return object;
}

static json_t *along_json(const struct perpend_facing *facing)
{
    return facing->both_ways ? json_null() : bearing_json(facing->along);
}

static json_t *ridge_json(
    const struct perpend_machine *machine, const struct perpend_measurement *measurement)
{
    const struct perpend_distribution *distribution = &measurement->distribution;
    json_t *object = json_object();
    json_put(&object, "along", along_json(&machine->facing));
    json_put(&object, "height", json_number(measurement->ridge.height));
    json_put(&object, "low", json_number(distribution->low));
    json_put(&object, "high", json_number(distribution->high));
    json_put(&object, "ra", json_number(measurement->ridge.ra));
    json_put(&object, "goal", json_number(machine->goal));
    json_put(&object, "chance", json_number(distribution->chance));
    json_put(&object, "verdict", json_text_or_null(perpend_verdict_text(measurement->verdict)));
    return object;
}

static json_t *best_json(const struct perpend_ridge *ridge)
{
    json_t *object = json_object();
    json_put(&object, "along", bearing_json(ridge->best_along));
    json_put(&object, "height", json_number(ridge->best_height));
    return object;
}

static json_t *numbers_json(const double *values, size_t count)
{
    json_t *array = json_array();
    for (size_t i = 0; i < count; i++)
        json_add(&array, json_number(values[i]));
    return array;
}

static json_t *response_json(const struct perpend_response *response)
{
    json_t *array = json_array();
    json_add(&array, numbers_json(response->gain[0], 2));
    json_add(&array, numbers_json(response->gain[1], 2));
    return array;
}

static json_t *stack_json(const struct perpend_bolt_move *move)
{
    json_t *array = json_array();
    for (size_t i = 0; i < move->stack_count; i++) {
        json_t *object = json_object();
        json_put(&object, "thick", json_number(move->stack[i].thick));
        json_put(&object, "count", json_integer((json_int_t)move->stack[i].count));
        json_add(&array, object);
    }
    return array;
}

/* Of a shim what the geometry asks for; the stack is what the stock makes of it. */
static json_t *amount_json(const struct perpend_move_row *row, const struct perpend_bolt_move *move)
{
    if (row->amount == PERPEND_AMOUNT_DISPLACEMENT)
        return json_point(move->amount.shift);
    return json_number(row->amount == PERPEND_AMOUNT_THICKNESS ? move->wanted : move->amount.value);
}

static json_t *bolt_json(const struct perpend_plan *plan, const struct perpend_step *step,
    const struct perpend_bolt *bolt, const struct perpend_bolt_move *move)
{
    json_t *object = json_object();
    const struct perpend_move_row *row;
    json_put(&object, "name", json_text_or_null(bolt->name));
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++) {
        bool moved = row->move == step->move;
        json_put(&object, row->key, moved ? amount_json(row, move) : json_null());
        if (row->limit == PERPEND_LIMIT_STOCK)
            json_put(&object, "stack", moved && plan->from_stock ? stack_json(move) : json_null());
    }
    return object;
}

static json_t *step_json(const struct perpend_machine *machine, const struct perpend_plan *plan,
    const struct perpend_step *step)
{
    const struct perpend_joint *joint = &machine->mount.joints[step->joint];
    json_t *bolts = json_array();
    for (size_t i = 0; i < step->bolt_count; i++)
        json_add(&bolts, bolt_json(plan, step, &joint->bolts[i], &step->bolts[i]));
    json_t *object = json_object();
    json_put(&object, "joint", json_text_or_null(joint->name));
    json_put(&object, "move", json_text_or_null(perpend_move_name(step->move)));
    json_put(&object, "bolts", bolts);
    return object;
}

static json_t *plan_json(const struct perpend_machine *machine, const struct perpend_plan *plan)
{
    json_t *steps = json_array();
    for (size_t i = 0; i < plan->step_count; i++)
        json_add(&steps, step_json(machine, plan, &plan->steps[i]));
    json_t *object = json_object();
    json_put(&object, "steps", steps);
    json_put(&object, "leaves", json_slope(plan->leaves));
    json_put(&object, "ridge", json_number(plan->ridge));
    json_put(&object, "tip", json_point(plan->tip));
    return object;
}

static json_t *sweep_names_json(
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    json_t *array = json_array();
    for (size_t i = 0; i < measurement->sweep_count; i++)
        json_add(&array, json_text_or_null(job->sweeps[measurement->first_sweep + i].name));
    return array;
}

static json_t *measurement_json(const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    const struct perpend_fit *fit = &measurement->fit;
    json_t *object = json_object();
    json_put(&object, "sweeps", sweep_names_json(job, measurement));
    json_put(&object, "readings", json_integer((json_int_t)measurement->reading_count));
    json_put(&object, "lean", lean_json(fit->lean));
    json_put(&object, "uncertainty", json_uncertainty(&fit->lean_covariance));
    json_put(&object, "bed", fit->bed_separated ? json_slope(fit->bed) : json_null());
    json_put(&object, "includes_bed", json_boolean(fit->includes_bed));
    json_put(&object, "fit", fit_json(job, measurement));
    json_put(&object, "ridge", ridge_json(machine, measurement));
    json_put(&object, "ridge_x", json_number(measurement->ridge.along_x));
    json_put(&object, "ridge_y", json_number(measurement->ridge.along_y));
    json_put(&object, "best", best_json(&measurement->ridge));
    json_put(&object, "response", response_json(&measurement->response));
    json_put(&object, "plan",
        measurement->has_plan ? plan_json(machine, &measurement->plan) : json_null());
    return object;
}

static json_t *root_json(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution)
{
    json_t *measurements = json_array();
    for (size_t i = 0; i < solution->measurement_count; i++)
        json_add(&measurements, measurement_json(machine, job, &solution->measurements[i]));
    json_t *root = json_object();
    json_put(&root, "perpend", json_integer(1));
    json_put(&root, "machine", json_text_or_null(machine->name));
    json_put(&root, "measurements", measurements);
    return root;
}

char *solution_json(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution)
{
    return json_text(
        root_json(machine, job, solution), JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS), "\n");
}
