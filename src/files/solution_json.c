/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include <perpend/mount.h>

#include "files.h"
#include "json_text.h"

/**
 * Format 1: lengths in mm, slopes in mm/m, angles in degrees, whatever the file's unit. A value
 * that is not a number is null. jansson's setters take a NULL value as a failure and pass it on, so
 * one check at each object's end is enough.
 */

#define DIGITS 15
#define PER_METRE 1000.0

/* Set a key; false when the value or the room for it could not be had. */
static bool put(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value) == 0;
}

static json_t *number(double value)
{
    if (!isfinite(value))
        return json_null();
    return json_real(value == 0.0 ? 0.0 : value);
}

/* Degrees from 0 up to but not 360, also once they are rounded to the digits printed. */
static json_t *bearing_json(double bearing)
{
    double degrees = perpend_degrees(bearing);
    return number(degrees > 360.0 - 1e-12 ? 0.0 : degrees);
}

static json_t *text_or_null(const char *text)
{
    return text == NULL ? json_null() : json_string(text);
}

/* The object when all went well, else NULL. */
static json_t *finished(json_t *object, bool done)
{
    if (done)
        return object;
    json_decref(object);
    return NULL;
}

static json_t *slope_json(struct perpend_slope slope)
{
    json_t *object = json_object();
    bool done = put(object, "right", number(slope.right * PER_METRE)) &&
                put(object, "back", number(slope.back * PER_METRE));
    return finished(object, done);
}

static json_t *lean_json(struct perpend_slope lean)
{
    json_t *object = slope_json(lean);
    bool done = put(object, "size", number(perpend_slope_size(lean) * PER_METRE)) &&
                put(object, "toward", bearing_json(perpend_slope_toward(lean)));
    return finished(object, done);
}

static json_t *uncertainty_json(const struct perpend_slope_covariance *covariance)
{
    double right = sqrt(covariance->right_right), back = sqrt(covariance->back_back);
    json_t *object = json_object();
    bool done = put(object, "right", number(right * PER_METRE)) &&
                put(object, "back", number(back * PER_METRE)) &&
                put(object, "correlation", number(covariance->right_back / (right * back)));
    return finished(object, done);
}

static json_t *residuals_json(
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    json_t *array = json_array();
    bool done = array != NULL;
    for (size_t i = 0; done && i < measurement->reading_count; i++) {
        const struct perpend_reading *reading = &measurement->readings[i];
        json_t *object = json_object();
        done =
            put(object, "sweep", text_or_null(job->sweeps[measurement->reading_sweep[i]].name)) &&
            put(object, "at", bearing_json(reading->bearing)) &&
            put(object, "reading", number(reading->value)) &&
            put(object, "residual", number(measurement->residual[i])) &&
            put(object, "suspect", json_boolean(perpend_fit_suspects(&measurement->fit, i)));
        done = json_array_append_new(array, finished(object, done)) == 0;
    }
    return finished(array, done);
}

static json_t *fit_json(
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    const struct perpend_fit *fit = &measurement->fit;
    bool checked = fit->dof > 0; /* nothing is left over to test when every reading is used up */
    json_t *object = json_object();
    bool done = put(object, "centre", number(fit->centre)) &&
                put(object, "rms", number(fit->rms)) &&
                put(object, "dof", json_integer(fit->dof)) &&
                put(object, "chi2", checked ? number(fit->chi2) : json_null()) &&
                put(object, "p", checked ? number(fit->p) : json_null()) &&
                put(object, "residuals", residuals_json(job, measurement));
    return finished(object, done);
}

static json_t *along_json(const struct perpend_facing *facing)
{
    return facing->both_ways ? json_null() : bearing_json(facing->along);
}

static json_t *ridge_json(
    const struct perpend_machine *machine, const struct perpend_measurement *measurement)
{
    const struct perpend_distribution *distribution = &measurement->distribution;
    bool drawn = distribution->trials > 0;
    bool goal = !isnan(machine->goal);
    json_t *object = json_object();
    bool done = put(object, "along", along_json(&machine->facing)) &&
                put(object, "height", number(measurement->ridge.height)) &&
                put(object, "low", drawn ? number(distribution->low) : json_null()) &&
                put(object, "high", drawn ? number(distribution->high) : json_null()) &&
                put(object, "ra", number(measurement->ridge.ra)) &&
                put(object, "goal", number(machine->goal)) &&
                put(object, "chance", drawn && goal ? number(distribution->chance) : json_null()) &&
                put(object, "verdict", text_or_null(perpend_verdict_text(measurement->verdict)));
    return finished(object, done);
}

static json_t *best_json(const struct perpend_ridge *ridge)
{
    json_t *object = json_object();
    bool done = put(object, "along", bearing_json(ridge->best_along)) &&
                put(object, "height", number(ridge->best_height));
    return finished(object, done);
}

static json_t *numbers_json(const double *values, size_t count)
{
    json_t *array = json_array();
    bool done = array != NULL;
    for (size_t i = 0; done && i < count; i++)
        done = json_array_append_new(array, number(values[i])) == 0;
    return finished(array, done);
}

static json_t *response_json(const struct perpend_response *response)
{
    json_t *array = json_array();
    bool done = array != NULL &&
                json_array_append_new(array, numbers_json(response->gain[0], 2)) == 0 &&
                json_array_append_new(array, numbers_json(response->gain[1], 2)) == 0;
    return finished(array, done);
}

static json_t *point_json(struct perpend_point point)
{
    return numbers_json((const double[]){point.right, point.back, point.up}, 3);
}

static json_t *stack_json(const struct perpend_bolt_move *move)
{
    json_t *array = json_array();
    bool done = array != NULL;
    for (size_t i = 0; done && i < move->stack_count; i++) {
        json_t *object = json_object();
        done = put(object, "thick", number(move->stack[i].thick)) &&
               put(object, "count", json_integer((json_int_t)move->stack[i].count));
        done = json_array_append_new(array, finished(object, done)) == 0;
    }
    return finished(array, done);
}

static json_t *bolt_json(const struct perpend_machine *machine, const struct perpend_step *step,
    const struct perpend_bolt *bolt, const struct perpend_bolt_move *move)
{
    bool shim = step->move == PERPEND_MOVE_SHIM;
    bool stack = shim && machine->stock.leaf_count > 0;
    json_t *object = json_object();
    bool done =
        put(object, "name", text_or_null(bolt->name)) &&
        /* what the geometry asks for; the stack is what the stock makes of it */
        put(object, "shim", shim ? number(move->wanted) : json_null()) &&
        put(object, "stack", stack ? stack_json(move) : json_null()) &&
        put(object, "slide",
            step->move == PERPEND_MOVE_SLIDE ? point_json(move->slide) : json_null()) &&
        put(object, "turns", step->move == PERPEND_MOVE_SCREW ? number(move->turns) : json_null());
    return finished(object, done);
}

static json_t *step_json(const struct perpend_machine *machine, const struct perpend_step *step)
{
    const struct perpend_joint *joint = &machine->mount.joints[step->joint];
    json_t *bolts = json_array();
    bool done = bolts != NULL;
    for (size_t i = 0; done && i < step->bolt_count; i++)
        done = json_array_append_new(
                   bolts, bolt_json(machine, step, &joint->bolts[i], &step->bolts[i])) == 0;
    json_t *object = json_object();
    bool named = put(object, "joint", text_or_null(joint->name)) &&
                 put(object, "move", text_or_null(perpend_move_name(step->move)));
    return finished(object, put(object, "bolts", finished(bolts, done)) && named);
}

static json_t *plan_json(const struct perpend_machine *machine, const struct perpend_plan *plan)
{
    json_t *steps = json_array();
    bool done = steps != NULL;
    for (size_t i = 0; done && i < plan->step_count; i++)
        done = json_array_append_new(steps, step_json(machine, &plan->steps[i])) == 0;
    json_t *object = json_object();
    done = put(object, "steps", finished(steps, done)) &&
           put(object, "leaves", slope_json(plan->leaves)) &&
           put(object, "ridge", number(plan->ridge)) && put(object, "tip", point_json(plan->tip));
    return finished(object, done);
}

static json_t *sweep_names_json(
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    json_t *array = json_array();
    bool done = array != NULL;
    for (size_t i = 0; done && i < measurement->sweep_count; i++)
        done = json_array_append_new(
                   array, text_or_null(job->sweeps[measurement->first_sweep + i].name)) == 0;
    return finished(array, done);
}

static json_t *measurement_json(const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    const struct perpend_fit *fit = &measurement->fit;
    json_t *object = json_object();
    bool done = put(object, "sweeps", sweep_names_json(job, measurement)) &&
                put(object, "readings", json_integer((json_int_t)measurement->reading_count)) &&
                put(object, "lean", lean_json(fit->lean)) &&
                put(object, "uncertainty", uncertainty_json(&fit->lean_covariance)) &&
                put(object, "bed", fit->bed_separated ? slope_json(fit->bed) : json_null()) &&
                put(object, "includes_bed", json_boolean(fit->includes_bed)) &&
                put(object, "fit", fit_json(job, measurement)) &&
                put(object, "ridge", ridge_json(machine, measurement)) &&
                put(object, "ridge_x", number(measurement->ridge.along_x)) &&
                put(object, "ridge_y", number(measurement->ridge.along_y)) &&
                put(object, "best", best_json(&measurement->ridge)) &&
                put(object, "response", response_json(&measurement->response)) &&
                put(object, "plan",
                    measurement->has_plan ? plan_json(machine, &measurement->plan) : json_null());
    return finished(object, done);
}

static json_t *root_json(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution)
{
    json_t *measurements = json_array();
    bool done = measurements != NULL;
    for (size_t i = 0; done && i < solution->measurement_count; i++)
        done = json_array_append_new(
                   measurements, measurement_json(machine, job, &solution->measurements[i])) == 0;
    json_t *root = json_object();
    bool named =
        put(root, "perpend", json_integer(1)) && put(root, "machine", text_or_null(machine->name));
    return finished(root, put(root, "measurements", finished(measurements, done)) && named);
}

char *solution_json(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution)
{
    return json_text(
        root_json(machine, job, solution), JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS), "\n");
}
