/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/fit/least_squares.h"
#include <perpend/status.h>
#include <perpend/units.h>

#include "core/base/covariance.h"
#include "core/fit/sweep_model.h"

#define STRIDE LEAST_SQUARES_MOST

/* Places that lie no farther off their line, or apart, than this share of the arm may count as on
   it, or as one: at a bed slope of 5 mm/m and an arm of 75 mm that is 0.02 mm of gap. */
#define NEARLY 0.05
/* Coordinates closer than this share of the arm are the same number. */
#define SAME_PLACE 1e-9
/* A parameter that no reading tells is known as well as by a reading worth so much of one. */
#define FAINT 1e-4

/* The parameters of an upright spindle over a level bed. */
static const double level[SWEEP_MODEL_MOST] = {0};

double sweep_model_gap(const struct sweep_model *model, const double *parameters,
    const struct perpend_reading *reading, double *row)
{
    const double *p = parameters;
    double right = sin(reading->bearing), back = cos(reading->bearing);
    double dx = reading->x - model->x, dy = reading->y - model->y;
    double along = dx * model->along.right + dy * model->along.back;
    struct perpend_slope lean = sweep_model_lean(model, p);
    double both = p[1] * right + p[2] * back;
    double spindle = lean.right * right + lean.back * back;
    double k = sqrt(1.0 + spindle * spindle), r = model->radius;

    double by_lean = r * both * spindle / (k * k * k); /* of the gap by t·u, s held */
    double by_sum = -r / k;
    row[0] = 1.0;
    row[1] = (by_sum + by_lean) * right;
    row[2] = (by_sum + by_lean) * back;
    double gap = p[0] - r * both / k;
    if (model->bed == SWEEP_MODEL_LINE) {
        row[3] = -along;
        gap -= p[3] * along;
    } else if (model->bed == SWEEP_MODEL_PLANE) {
        row[3] = -dx - by_lean * right;
        row[4] = -dy - by_lean * back;
        gap -= p[3] * dx + p[4] * dy;
    } else {
        gap -= model->known.right * dx + model->known.back * dy;
    }
    return gap;
}

struct perpend_slope sweep_model_bed(const struct sweep_model *model, const double *parameters)
{
    if (model->bed != SWEEP_MODEL_PLANE)
        return model->known;
    return (struct perpend_slope){parameters[3], parameters[4]};
}

struct perpend_slope sweep_model_lean(const struct sweep_model *model, const double *parameters)
{
    struct perpend_slope bed = sweep_model_bed(model, parameters);
    return (struct perpend_slope){parameters[1] - bed.right, parameters[2] - bed.back};
}

struct perpend_slope_covariance sweep_model_lean_covariance(
    const struct sweep_model *model, const double *covariance)
{
    const double *c = covariance;
    struct perpend_slope_covariance lean = {
        c[1 * STRIDE + 1], c[1 * STRIDE + 2], c[2 * STRIDE + 2]};
    if (model->bed == SWEEP_MODEL_PLANE) { /* of a difference, s − b */
        lean.right_right += c[3 * STRIDE + 3] - 2.0 * c[1 * STRIDE + 3];
        lean.right_back += c[3 * STRIDE + 4] - c[1 * STRIDE + 4] - c[3 * STRIDE + 2];
        lean.back_back += c[4 * STRIDE + 4] - 2.0 * c[2 * STRIDE + 4];
    }
    return lean;
}

static double largest_deviation(struct perpend_slope_covariance c)
{
    return sqrt(principal_axes(c).larger);
}

static void form(struct sweep_model *model, enum sweep_model_bed bed)
{
    model->bed = bed;
    model->parameters = bed == SWEEP_MODEL_PLANE ? 5 : bed == SWEEP_MODEL_LINE ? 4 : 3;
}

/* Covariance of the parameters by the geometry alone, each reading good to 1 mm. Of `faint` something is
   known of each parameter besides, so that there is one even when the readings do not determine them. */
static enum perpend_status level_covariance(const struct perpend_reading *readings, size_t count,
    const struct sweep_model *model, double faint, struct least_squares *solved)
{
    size_t p = model->parameters, rows = count + (faint > 0.0 ? p : 0);
    double *design = calloc(rows + 1, (p + 1) * sizeof *design);
    if (design == NULL)
        return PERPEND_ERR_MEMORY;
    for (size_t i = 0; i < count; i++)
        sweep_model_gap(model, level, &readings[i], design + i * p);
    for (size_t i = count; i < rows; i++)
        design[i * p + i - count] = faint * (i == count ? 1.0 : model->radius);
    enum perpend_status status = least_squares_solve(
        &(struct linear_problem){design, design + rows * p, NULL, rows, p}, solved, NULL, NULL);
    free(design);
    return status;
}

/* How much worse than an even sweep; INFINITY when the readings do not determine the form at all. */
static enum perpend_status find_dilution(
    const struct perpend_reading *readings, size_t count, struct sweep_model *model)
{
    struct least_squares solved;
    model->dilution = INFINITY;
    model->line_dilution = 0.0;
    if (count < model->parameters)
        return PERPEND_OK;
    enum perpend_status status = level_covariance(readings, count, model, 0.0, &solved);
    if (status == PERPEND_OK) {
        double even = model->radius * sqrt((double)count / 2.0);
        const double *c = solved.covariance;
        model->dilution = even * largest_deviation(sweep_model_lean_covariance(model, c));
        if (model->bed == SWEEP_MODEL_LINE)
            model->line_dilution = even * sqrt(c[3 * STRIDE + 3]);
    }
    return status == PERPEND_ERR_UNDETERMINED ? PERPEND_OK : status;
}

/* Middle of the places, the direction along which they lie, and how far they reach from the middle
   along it and off it. */
static void lay_out(const struct perpend_reading *readings, size_t count, struct sweep_model *model,
    double *reach_along, double *reach_off)
{
    struct perpend_slope_covariance scatter = {0.0, 0.0, 0.0};
    *reach_along = *reach_off = 0.0;
    model->x = model->y = 0.0;
    for (size_t i = 0; i < count; i++) {
        model->x += (readings[i].x - model->x) / (double)(i + 1);
        model->y += (readings[i].y - model->y) / (double)(i + 1);
    }
    for (size_t i = 0; i < count; i++) {
        double dx = readings[i].x - model->x, dy = readings[i].y - model->y;
        scatter.right_right += dx * dx;
        scatter.right_back += dx * dy;
        scatter.back_back += dy * dy;
    }
    struct perpend_slope along = principal_axes(scatter).direction;
    model->along = along;
    for (size_t i = 0; i < count; i++) {
        double dx = readings[i].x - model->x, dy = readings[i].y - model->y;
        *reach_along = fmax(*reach_along, fabs(dx * along.right + dy * along.back));
        *reach_off = fmax(*reach_off, fabs(dy * along.right - dx * along.back));
    }
}

enum perpend_status sweep_model_choose(const struct perpend_reading *readings, size_t count,
    const struct perpend_setup *setup, struct sweep_model *model)
{
    double reach_along, reach_off;
    double arm = setup->arm.length;
    model->radius = arm;
    model->known = (struct perpend_slope){0.0, 0.0};
    if (setup_knows_bed(setup))
        model->known = setup->bed;
    lay_out(readings, count, model, &reach_along, &reach_off);
    double same = SAME_PLACE * (arm + hypot(model->x, model->y));
    if (setup->bed_faced || setup_knows_bed(setup) || reach_along <= same)
        form(model, SWEEP_MODEL_ONE_PLACE);
    else
        form(model, reach_off <= same ? SWEEP_MODEL_LINE : SWEEP_MODEL_PLANE);
    for (;;) {
        enum perpend_status status = find_dilution(readings, count, model);
        if (status != PERPEND_OK)
            return status;
        bool known = model->dilution <= SWEEP_MODEL_MOST_DILUTION;
        bool all_known = known && model->line_dilution <= SWEEP_MODEL_MOST_DILUTION;
        if (!all_known && model->bed == SWEEP_MODEL_PLANE && reach_off < NEARLY * arm)
            form(model, SWEEP_MODEL_LINE);
        else if (!all_known && model->bed == SWEEP_MODEL_LINE && reach_along < NEARLY * arm)
            form(model, SWEEP_MODEL_ONE_PLACE);
        else
            return known ? PERPEND_OK : PERPEND_ERR_UNDETERMINED;
    }
}

static double predicted_variance(const struct sweep_model *model,
    const struct least_squares *solved, const struct perpend_reading *reading)
{
    double row[SWEEP_MODEL_MOST] = {0.0}, sum = 0.0;
    sweep_model_gap(model, level, reading, row);
    for (size_t i = 0; i < model->parameters; i++) {
        for (size_t j = 0; j < model->parameters; j++)
            sum += row[i] * solved->covariance[i * STRIDE + j] * row[j];
    }
    return sum;
}

/* The bearing, of the eight that have names, and the swept place where another reading tells most.
 */
enum perpend_status sweep_model_need(const struct perpend_reading *readings, size_t count,
    const struct sweep_model *model, struct perpend_fit *fit)
{
    static const double degrees[8] = {180.0, 0.0, 90.0, 270.0, 45.0, 135.0, 225.0, 315.0};
    const struct perpend_reading nowhere = {.bearing = 0.0};
    struct least_squares solved;
    double best = -1.0;
    enum perpend_status status = level_covariance(readings, count, model, FAINT, &solved);
    if (status != PERPEND_OK)
        return status;
    fit->need.kind = PERPEND_NEED_BEARING;
    for (size_t i = 0; i == 0 || i < count; i++) {
        const struct perpend_reading *at = count > 0 ? &readings[i] : &nowhere;
        for (int j = 0; j < 8; j++) {
            struct perpend_reading next = {
                .bearing = perpend_radians(degrees[j]), .x = at->x, .y = at->y};
            double variance = predicted_variance(model, &solved, &next);
            if (j >= 4) /* the four plain bearings are easier to aim at */
                variance /= 1.5;
            if (variance > best * (1.0 + 1e-6)) {
                best = variance;
                fit->need.bearing = next.bearing;
                fit->need.x = next.x;
                fit->need.y = next.y;
            }
        }
    }
    return PERPEND_OK;
}
