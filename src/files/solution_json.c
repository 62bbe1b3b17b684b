/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/moves.h>
#include <perpend/units.h>

#include "files/files.h"
#include "files/json.h"
#include "files/moment.h"

/**
 * Format 1: lengths in mm, slopes in mm/m, angles in degrees, whatever the file's unit. A value
 * that is not a number is null.
 */

/* Degrees from 0 up to but not 360, also once they are rounded to the digits printed. */
static double turned(double bearing)
{
    double degrees = perpend_degrees(bearing);
    return degrees > 360.0 - 1e-12 ? 0.0 : degrees;
}

static void put_fit(
    struct json *json, const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    const struct perpend_fit *fit = &measurement->fit;
    /* nothing is left over to test when every reading is used up */
    bool checked = fit->quality.dof > 0;
    json_add(json, "fit: {centre: %g, rms: %g, dof: %lld, chi2: %g, p: %g, residuals: [",
        fit->centre, fit->quality.rms, (long long)fit->quality.dof,
        checked ? fit->quality.chi2 : NAN, checked ? fit->quality.p : NAN);
    for (size_t i = 0; i < measurement->reading_count; i++)
        json_add(json, "{sweep: %s, at: %g, reading: %g, residual: %g, suspect: %i}",
            job->sweeps[measurement->reading_sweep[i]].name,
            turned(measurement->readings[i].bearing), measurement->readings[i].value,
            measurement->residual[i], perpend_fit_suspects(fit, i));
    json_add(json, "]}");
}

/* What is not told by itself is null: a lean by steps one way, by an arm that did not sweep. */
static void put_cut(struct json *json, const struct perpend_measurement *measurement)
{
    const struct perpend_cut_fit *cut = &measurement->cut;
    json_add(json, "cut: {steps: [");
    for (size_t i = 0; i < measurement->cut_count; i++)
        json_add(json, "{higher: %g, step: %g}", turned(measurement->cuts[i].higher),
            measurement->cuts[i].step);
    json_add(json, "], lean: {right: %g, back: %g}, arm: {right: %g, back: %g}, off: %i}",
        cut->both_ways ? PERPEND_MM_PER_METRE * cut->alone.right : NAN,
        cut->both_ways ? PERPEND_MM_PER_METRE * cut->alone.back : NAN,
        cut->by_arm ? PERPEND_MM_PER_METRE * cut->arm.right : NAN,
        cut->by_arm ? PERPEND_MM_PER_METRE * cut->arm.back : NAN, cut->off);
}

static void put_ridge(struct json *json, const struct perpend_machine *machine,
    const struct perpend_measurement *measurement)
{
    const struct perpend_distribution *distribution = &measurement->distribution;
    const struct perpend_ridge *ridge = &measurement->ridge;
    json_add(json,
        "ridge: {along: %g, height: %g, low: %g, high: %g, ra: %g, goal: %g, chance: %g, "
        "verdict: %s}",
        turned(machine->facing.both_ways ? NAN : machine->facing.along), ridge->height,
        distribution->low, distribution->high, ridge->ra, machine->goal.ridge, distribution->chance,
        perpend_verdict_text(measurement->verdict));
    json_add(json, "ridge_x: %g, ridge_y: %g, best: {along: %g, height: %g}", ridge->along_x,
        ridge->along_y, turned(ridge->best_along), ridge->best_height);
}

/* Of a shim what the geometry asks for; the stack is what the stock makes of it. */
static void put_amount(
    struct json *json, const struct perpend_move_row *row, const struct perpend_bolt_move *move)
{
    if (row->amount == PERPEND_AMOUNT_DISPLACEMENT)
        json_put_point(json, row->key, move->amount.shift);
    else
        json_add(json, "%s: %g", row->key,
            row->amount == PERPEND_AMOUNT_THICKNESS ? move->wanted
            : row->amount == PERPEND_AMOUNT_ANGLE   ? perpend_degrees(move->amount.value)
                                                    : move->amount.value);
}

static void put_bolt(struct json *json, const struct perpend_plan *plan, enum perpend_move made,
    const char *name, const struct perpend_bolt_move *move)
{
    const struct perpend_move_row *row;
    json_add(json, "{name: %s", name);
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++) {
        bool moved = row->move == made;
        if (moved)
            put_amount(json, row, move);
        else
            json_add(json, "%s: null", row->key);
        if (row->limit == PERPEND_LIMIT_STOCK && !(moved && plan->from_stock))
            json_add(json, "stack: null");
        else if (row->limit == PERPEND_LIMIT_STOCK) {
            json_add(json, "stack: [");
            for (size_t j = 0; j < move->stack_count; j++)
                json_add(json, "{thick: %g, count: %lld}", move->stack[j].thick,
                    (long long)move->stack[j].count);
            json_add(json, "]");
        }
    }
    json_add(json, "}");
}

static void put_plan(
    struct json *json, const struct perpend_machine *machine, const struct perpend_plan *plan)
{
    json_add(json, "plan: {steps: [");
    for (size_t i = 0; i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        const struct perpend_joint *joint = &machine->mount.joints[step->joint];
        json_add(
            json, "{joint: %s, move: %s, bolts: [", joint->name, perpend_move_name(step->move));
        for (size_t j = 0; j < step->bolt_count; j++)
            put_bolt(json, plan, step->move, joint->bolts[j].name, &step->bolts[j]);
        json_add(json, "]}");
    }
    json_add(json, "]");
    json_put_slope(json, "leaves", plan->lean_after);
    json_add(json, "ridge: %g", plan->ridge);
    json_put_point(json, "tip", plan->tip);
    json_add(json, "}");
}

static void put_adjustment(struct json *json, const struct perpend_measurement *measurement)
{
    const struct perpend_adjustment *adjustment = &measurement->adjustment;
    json_add(json, measurement->adjusted ? "adjustment: {" : "adjustment: null");
    if (!measurement->adjusted)
        return;
    json_put_slope(json, "asked", adjustment->asked);
    json_put_slope(json, "expected", adjustment->expected);
    json_put_slope(json, "obtained", adjustment->obtained);
    json_add(json, "chance: %g, surprise: %i}", adjustment->chance,
        adjustment->outcome == PERPEND_OUTCOME_SURPRISE);
}

static void put_measurement(struct json *json, const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    const struct perpend_fit *fit = &measurement->fit;
    const struct perpend_slope lean = fit->lean;
    json_add(json, "{sweeps: [");
    for (size_t i = 0; i < measurement->sweep_count; i++)
        json_add(json, "%s", job->sweeps[measurement->first_sweep + i].name);
    json_add(json, "], readings: %lld, lean: {right: %g, back: %g, size: %g, toward: %g, goal: %g}",
        (long long)measurement->reading_count, PERPEND_MM_PER_METRE * lean.right,
        PERPEND_MM_PER_METRE * lean.back, PERPEND_MM_PER_METRE * perpend_slope_size(lean),
        turned(perpend_slope_toward(lean)), PERPEND_MM_PER_METRE * machine->goal.lean);
    json_put_uncertainty(json, "uncertainty", &fit->lean_covariance);
    if (fit->bed_separated)
        json_put_slope(json, "bed", fit->bed);
    else
        json_add(json, "bed: null");
    json_add(json, "includes_bed: %i", fit->includes_bed);
    put_fit(json, job, measurement);
    if (measurement->cut_count > 0)
        put_cut(json, measurement);
    else
        json_add(json, "cut: null");
    put_ridge(json, machine, measurement);
    put_adjustment(json, measurement);
    const double(*gain)[2] = measurement->response.gain;
    json_add(
        json, "response: [[%g, %g], [%g, %g]]", gain[0][0], gain[0][1], gain[1][0], gain[1][1]);
    if (measurement->has_plan)
        put_plan(json, machine, &measurement->plan);
    else
        json_add(json, "plan: null");
    json_add(json, "}");
}

/* What the files say of the job besides its readings. */
static void put_record(
    struct json *json, const struct perpend_machine *machine, const struct perpend_job *job)
{
    const struct perpend_measured *measured = &job->measured;
    char date[MOMENT_TEXT];
    moment_text(date, &job->date);
    json_add(json, "{perpend: 1, machine: %s, place: %s, date: %s, who: %s, temperature: %s",
        machine->name, machine->place, date[0] != '\0' ? date : NULL, job->who, job->temperature);
    if (measured->stated)
        json_add(
            json, ", measured: {along_x: %g, along_y: %g}", measured->along_x, measured->along_y);
    else
        json_add(json, "measured: null");
}

char *solution_json(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution)
{
    struct json json = {0};
    put_record(&json, machine, job);
    json_add(&json, "measurements: [");
    for (size_t i = 0; i < solution->measurement_count; i++)
        put_measurement(&json, machine, job, &solution->measurements[i]);
    json_add(&json, "]}");
    return json_take(&json);
}
