/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/moves.h>
#include <perpend/units.h>

#include "files/files.h"
#include "files/json.h"

/**
 * Format 1: lengths in mm, slopes in mm/m, angles in degrees, whatever the file's unit. A value
 * that is not a number is null.
 */

/* Degrees from 0 up to but not 360, also once they are rounded to the digits printed. */
static void put_bearing(struct json *json, const char *key, double bearing)
{
    double degrees = perpend_degrees(bearing);
    json_put_number(json, key, degrees > 360.0 - 1e-12 ? 0.0 : degrees);
}

static void put_lean(struct json *json, struct perpend_slope lean)
{
    json_open(json, "lean", '{');
    json_put_number(json, "right", PERPEND_MM_PER_METRE * lean.right);
    json_put_number(json, "back", PERPEND_MM_PER_METRE * lean.back);
    json_put_number(json, "size", PERPEND_MM_PER_METRE * perpend_slope_size(lean));
    put_bearing(json, "toward", perpend_slope_toward(lean));
    json_close(json, '}');
}

static void put_residuals(
    struct json *json, const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    json_open(json, "residuals", '[');
    for (size_t i = 0; i < measurement->reading_count; i++) {
        const struct perpend_reading *reading = &measurement->readings[i];
        json_open(json, NULL, '{');
        json_put_text(json, "sweep", job->sweeps[measurement->reading_sweep[i]].name);
        put_bearing(json, "at", reading->bearing);
        json_put_number(json, "reading", reading->value);
        json_put_number(json, "residual", measurement->residual[i]);
        json_put_bool(json, "suspect", perpend_fit_suspects(&measurement->fit, i));
        json_close(json, '}');
    }
    json_close(json, ']');
}

static void put_fit(
    struct json *json, const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    const struct perpend_fit *fit = &measurement->fit;
    /* nothing is left over to test when every reading is used up */
    bool checked = fit->quality.dof > 0;
    json_open(json, "fit", '{');
    json_put_number(json, "centre", fit->centre);
    json_put_number(json, "rms", fit->quality.rms);
    json_put_integer(json, "dof", fit->quality.dof);
    json_put_number(json, "chi2", checked ? fit->quality.chi2 : NAN);
    json_put_number(json, "p", checked ? fit->quality.p : NAN);
    put_residuals(json, job, measurement);
    json_close(json, '}');
}

static void put_ridge(struct json *json, const struct perpend_machine *machine,
    const struct perpend_measurement *measurement)
{
    const struct perpend_distribution *distribution = &measurement->distribution;
    const struct perpend_ridge *ridge = &measurement->ridge;
    json_open(json, "ridge", '{');
    put_bearing(json, "along", machine->facing.both_ways ? NAN : machine->facing.along);
    json_put_number(json, "height", ridge->height);
    json_put_number(json, "low", distribution->low);
    json_put_number(json, "high", distribution->high);
    json_put_number(json, "ra", ridge->ra);
    json_put_number(json, "goal", machine->goal);
    json_put_number(json, "chance", distribution->chance);
    json_put_text(json, "verdict", perpend_verdict_text(measurement->verdict));
    json_close(json, '}');
    json_put_number(json, "ridge_x", ridge->along_x);
    json_put_number(json, "ridge_y", ridge->along_y);
    json_open(json, "best", '{');
    put_bearing(json, "along", ridge->best_along);
    json_put_number(json, "height", ridge->best_height);
    json_close(json, '}');
}

static void put_response(struct json *json, const struct perpend_response *response)
{
    json_open(json, "response", '[');
    for (size_t i = 0; i < 2; i++) {
        json_open(json, NULL, '[');
        json_put_number(json, NULL, response->gain[i][0]);
        json_put_number(json, NULL, response->gain[i][1]);
        json_close(json, ']');
    }
    json_close(json, ']');
}

static void put_stack(struct json *json, const struct perpend_bolt_move *move)
{
    json_open(json, "stack", '[');
    for (size_t i = 0; i < move->stack_count; i++) {
        json_open(json, NULL, '{');
        json_put_number(json, "thick", move->stack[i].thick);
        json_put_integer(json, "count", move->stack[i].count);
        json_close(json, '}');
    }
    json_close(json, ']');
}

/* Of a shim what the geometry asks for; the stack is what the stock makes of it. */
static void put_amount(
    struct json *json, const struct perpend_move_row *row, const struct perpend_bolt_move *move)
{
    if (row->amount == PERPEND_AMOUNT_DISPLACEMENT)
        json_put_point(json, row->key, move->amount.shift);
    else
        json_put_number(json, row->key,
            row->amount == PERPEND_AMOUNT_THICKNESS ? move->wanted : move->amount.value);
}

static void put_bolt(struct json *json, const struct perpend_plan *plan,
    const struct perpend_step *step, const struct perpend_bolt *bolt,
    const struct perpend_bolt_move *move)
{
    const struct perpend_move_row *row;
    json_open(json, NULL, '{');
    json_put_text(json, "name", bolt->name);
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++) {
        bool moved = row->move == step->move;
        if (moved)
            put_amount(json, row, move);
        else
            json_put_null(json, row->key);
        if (row->limit == PERPEND_LIMIT_STOCK && moved && plan->from_stock)
            put_stack(json, move);
        else if (row->limit == PERPEND_LIMIT_STOCK)
            json_put_null(json, "stack");
    }
    json_close(json, '}');
}

static void put_plan(
    struct json *json, const struct perpend_machine *machine, const struct perpend_plan *plan)
{
    json_open(json, "plan", '{');
    json_open(json, "steps", '[');
    for (size_t i = 0; i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        const struct perpend_joint *joint = &machine->mount.joints[step->joint];
        json_open(json, NULL, '{');
        json_put_text(json, "joint", joint->name);
        json_put_text(json, "move", perpend_move_name(step->move));
        json_open(json, "bolts", '[');
        for (size_t j = 0; j < step->bolt_count; j++)
            put_bolt(json, plan, step, &joint->bolts[j], &step->bolts[j]);
        json_close(json, ']');
        json_close(json, '}');
    }
    json_close(json, ']');
    json_put_slope(json, "leaves", plan->leaves);
    json_put_number(json, "ridge", plan->ridge);
    json_put_point(json, "tip", plan->tip);
    json_close(json, '}');
}

static void put_measurement(struct json *json, const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    const struct perpend_fit *fit = &measurement->fit;
    json_open(json, NULL, '{');
    json_open(json, "sweeps", '[');
    for (size_t i = 0; i < measurement->sweep_count; i++)
        json_put_text(json, NULL, job->sweeps[measurement->first_sweep + i].name);
    json_close(json, ']');
    json_put_integer(json, "readings", (long long)measurement->reading_count);
    put_lean(json, fit->lean);
    json_put_uncertainty(json, "uncertainty", &fit->lean_covariance);
    if (fit->bed_separated)
        json_put_slope(json, "bed", fit->bed);
    else
        json_put_null(json, "bed");
    json_put_bool(json, "includes_bed", fit->includes_bed);
    put_fit(json, job, measurement);
    put_ridge(json, machine, measurement);
    put_response(json, &measurement->response);
    if (measurement->has_plan)
        put_plan(json, machine, &measurement->plan);
    else
        json_put_null(json, "plan");
    json_close(json, '}');
}

char *solution_json(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution)
{
    struct json json = {0};
    json_open(&json, NULL, '{');
    json_put_integer(&json, "perpend", 1);
    json_put_text(&json, "machine", machine->name);
    json_open(&json, "measurements", '[');
    for (size_t i = 0; i < solution->measurement_count; i++)
        put_measurement(&json, machine, job, &solution->measurements[i]);
    json_close(&json, ']');
    json_close(&json, '}');
    return json_take(&json);
}
