/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SWEEP_MODEL_H
#define SWEEP_MODEL_H

/**
 * The model of a sweep that the fit solves, which of its forms the readings can determine, and the
 * reading that would settle what they cannot.
 *
 * Parameters, in order: the gap at the axis over the middle of the places, c′; the sum of lean and
 * bed slope, s = t + b (right, back); then, when places tell it, the bed's slope along the line of
 * the places, or b (right, back).
 */

#include <stddef.h>

#include <perpend/fit.h>
#include <perpend/status.h>

#define SWEEP_MODEL_MOST 5 /* parameters */

enum sweep_model_bed {
    SWEEP_MODEL_ONE_PLACE, /* faced, its slope known, or one place: 3 parameters */
    SWEEP_MODEL_LINE,      /* places in a line: 4 */
    SWEEP_MODEL_PLANE      /* lean and bed apart: 5 */
};

struct sweep_model {
    enum sweep_model_bed bed;
    size_t parameters;
    double radius;
    double x, y;                /* middle of the places */
    struct perpend_slope along; /* unit vector along which the places lie */
    struct perpend_slope known; /* the bed's slope where no places tell it: 0 when it was faced */
    /* largest standard uncertainty of the lean in any direction, over that from as many readings
       evenly spaced on a faced bed */
    double dilution;
    double line_dilution; /* the same for the slope along the line of the places, else 0 */
};

/** Whether the bed's slope was found before; one that was faced has none. */
static inline bool setup_knows_bed(const struct perpend_setup *setup)
{
    return setup->bed_known && !setup->bed_faced;
}

/** As many times worse than an even sweep, and the answer is noise. */
#define SWEEP_MODEL_MOST_DILUTION 50.0

/**
 * Choose the fullest form that the readings determine.
 *
 * Returned: model  also on PERPEND_ERR_UNDETERMINED: the form that failed
 * Errors:   PERPEND_ERR_MEMORY, PERPEND_ERR_UNDETERMINED
 */
enum perpend_status sweep_model_choose(const struct perpend_reading *readings, size_t count,
    const struct perpend_setup *setup, struct sweep_model *model);

/** The gap of one reading under the parameters given, and its derivatives by them. */
double sweep_model_gap(const struct sweep_model *model, const double *parameters,
    const struct perpend_reading *reading, double *row);

/** The lean and the bed's slope (as known, 0 where unknown) in a set of parameters. */
struct perpend_slope sweep_model_lean(const struct sweep_model *model, const double *parameters);
struct perpend_slope sweep_model_bed(const struct sweep_model *model, const double *parameters);

/** Covariance of the lean from that of the parameters, LEAST_SQUARES_MOST to a
 *  row. */
struct perpend_slope_covariance sweep_model_lean_covariance(
    const struct sweep_model *model, const double *covariance);

/**
 * Name the reading that helps most where the model failed: the one whose value the readings so far predict
 * worst.
 *
 * Returned: fit  need only
 * Errors:   PERPEND_ERR_MEMORY
 */
enum perpend_status sweep_model_need(const struct perpend_reading *readings, size_t count,
    const struct sweep_model *model, struct perpend_fit *fit);

#endif
