/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/status.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

#include "core/ridge/ridge_limits.h"
#include "core/ridge/ridge_profile.h"
#include "core/ridge/ridge_search.h"

#define MOST_REPEATS 64
#define ARM_PITCH 5.0
#define MOST_ARM 500.0
#define SETTLE_TRIALS 100000 /* a chance of 95 % comes out to 0.07 % */
#define LEAN_BEARINGS 48

static const double gauge_steps[] = {0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001};

struct settling {
    const struct perpend_reading *readings;
    size_t count;
    const struct perpend_fit *fit;
    const struct perpend_cutter *cutter;
    const struct perpend_facing *facing;
    double goal;
    struct perpend_trials_options options;
    struct perpend_setup setup; /* as it was, with the spread that the fit used */
};

/* The lean's covariance as the fit would give it for readings like these that agree with what was
   found, taken `repeats` times over with another arm or gauge. */
static enum perpend_status expected_covariance(const struct settling *settling,
    const struct perpend_setup *setup, unsigned repeats,
    struct perpend_slope_covariance *covariance)
{
    size_t total = settling->count * repeats;
    struct perpend_reading *readings = malloc(total * sizeof *readings);
    if (!readings)
        return PERPEND_ERR_MEMORY;
    for (size_t i = 0; i < total; i++) {
        readings[i] = settling->readings[i % settling->count];
        readings[i].value = perpend_fit_predict(
            settling->fit, setup, readings[i].bearing, readings[i].x, readings[i].y);
    }
    struct perpend_fit fit;
    enum perpend_status status = perpend_fit_readings(readings, total, setup, NULL, &fit);
    if (status == PERPEND_OK)
        *covariance = fit.lean_covariance;
    free(readings);
    return status;
}

/* What the fit's covariance was widened by: scatter that the gauge does not explain, or a spread
   that few repeats leave unsure. It averages out over repeats and shrinks with a longer arm like
   the rest, but no finer gauge takes it away. */
static enum perpend_status unexplained(
    const struct settling *settling, struct perpend_slope_covariance *covariance)
{
    struct perpend_setup setup = settling->setup;
    setup.arm.relative_uncertainty = 0.0;
    enum perpend_status status = expected_covariance(settling, &setup, 1, covariance);
    if (status != PERPEND_OK)
        return status;
    double widened = fmax(settling->fit->quality.birge, settling->fit->quality.few_repeats);
    double factor = widened * widened - 1.0;
    covariance->right_right *= factor;
    covariance->right_back *= factor;
    covariance->back_back *= factor;
    return PERPEND_OK;
}

/* Whether another sweep, with that arm and gauge and so often, would settle it. */
static enum perpend_status settles(const struct settling *settling,
    const struct perpend_setup *setup, unsigned repeats, bool *answer)
{
    struct perpend_slope_covariance covariance, rest;
    enum perpend_status status = expected_covariance(settling, setup, repeats, &covariance);
    if (status == PERPEND_OK)
        status = unexplained(settling, &rest);
    if (status != PERPEND_OK)
        return status;
    double lengths = settling->setup.arm.length / setup->arm.length;
    double share = lengths * lengths / repeats;
    covariance.right_right += rest.right_right * share;
    covariance.right_back += rest.right_back * share;
    covariance.back_back += rest.back_back * share;
    struct perpend_distribution distribution;
    status = perpend_trials_ridge(settling->fit->lean, covariance, settling->cutter,
        settling->facing, settling->goal, &settling->options, &distribution);
    if (status == PERPEND_OK)
        *answer = perpend_verdict_for(distribution.chance) != PERPEND_VERDICT_TOO_CLOSE;
    return status;
}

/* The first of a row of ever better choices that settles it; the last one when none does. */
typedef enum perpend_status settle_choice(
    const struct settling *settling, unsigned choice, bool *answer);

static enum perpend_status first_that_settles(const struct settling *settling, settle_choice *ask,
    unsigned first, unsigned last, bool *found, unsigned *choice)
{
    *found = false;
    if (first > last)
        return PERPEND_OK;
    enum perpend_status status = ask(settling, last, found);
    if (status != PERPEND_OK || !*found)
        return status;
    while (first < last) {
        unsigned middle = first + (last - first) / 2;
        bool answer;
        status = ask(settling, middle, &answer);
        if (status != PERPEND_OK)
            return status;
        if (answer)
            last = middle;
        else
            first = middle + 1;
    }
    *choice = first;
    return PERPEND_OK;
}

static enum perpend_status ask_repeats(
    const struct settling *settling, unsigned choice, bool *answer)
{
    return settles(settling, &settling->setup, choice, answer);
}

static enum perpend_status ask_step(const struct settling *settling, unsigned choice, bool *answer)
{
    struct perpend_setup setup = settling->setup;
    setup.gauge.step = gauge_steps[choice];
    return settles(settling, &setup, 1, answer);
}

static enum perpend_status ask_arm(const struct settling *settling, unsigned choice, bool *answer)
{
    struct perpend_setup setup = settling->setup;
    setup.arm.length = ARM_PITCH * choice;
    return settles(settling, &setup, 1, answer);
}

enum perpend_status perpend_settle_for(const struct perpend_reading *readings, size_t count,
    const struct perpend_setup *setup, const struct perpend_fit *fit,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal,
    const struct perpend_trials_options *options, struct perpend_settle *settle)
{
    if (!(goal > 0.0))
        return PERPEND_ERR_VALUE;
    struct settling settling = {readings, count, fit, cutter, facing, goal,
        options ? *options : perpend_trials_defaults(), *setup};
    settling.options.exactly = SETTLE_TRIALS;
    settling.setup.gauge.spread = fit->quality.spread_used;

    struct perpend_settle result = {0};
    unsigned choice = 0;
    enum perpend_status status =
        first_that_settles(&settling, ask_repeats, 2, MOST_REPEATS, &result.by_repeats, &choice);
    result.repeats = result.by_repeats ? choice : 0;

    const unsigned step_count = sizeof gauge_steps / sizeof *gauge_steps;
    unsigned finer = 0;
    while (finer < step_count && gauge_steps[finer] >= setup->gauge.step)
        finer++;
    if (status == PERPEND_OK)
        status = first_that_settles(
            &settling, ask_step, finer, step_count - 1, &result.by_step, &choice);
    result.step = result.by_step ? gauge_steps[choice] : NAN;

    unsigned longer = (unsigned)fmin(MOST_ARM, floor(setup->arm.length / ARM_PITCH)) + 1;
    if (status == PERPEND_OK)
        status = first_that_settles(
            &settling, ask_arm, longer, (unsigned)(MOST_ARM / ARM_PITCH), &result.by_arm, &choice);
    result.arm = result.by_arm ? ARM_PITCH * choice : NAN;
    if (status == PERPEND_OK)
        *settle = result;
    return status;
}

/* Largest leans that keep the goal, one a bearing, over a quarter turn. */
struct lean_limits {
    double lean[LEAN_BEARINGS];
};

/* Chance of a lean over the limit less the 5 % allowed, for an upright spindle measured with that
   uncertainty (the logarithm of it) in either direction: the size is Rayleigh distributed. */
static double excess_chance(double log_uncertainty, const void *context)
{
    const struct lean_limits *limits = context;
    double u = exp(log_uncertainty), sum = 0.0;
    for (int i = 0; i < LEAN_BEARINGS; i++) {
        double ratio = limits->lean[i] / u;
        sum += exp(-ratio * ratio / 2.0);
    }
    return sum / LEAN_BEARINGS - (1.0 - PERPEND_VERDICT_SURE);
}

/* Largest standard uncertainty of the lean with which an upright spindle is found to meet the goal;
   NAN when nothing is. */
static double uncertainty_allowed(
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal)
{
    struct lean_limits limits;
    for (int i = 0; i < LEAN_BEARINGS; i++) {
        double bearing = PERPEND_PI / 2.0 * (i + 0.5) / LEAN_BEARINGS;
        limits.lean[i] = ridge_lean_limit(cutter, facing, goal, bearing);
        if (!(limits.lean[i] > 0.0))
            return NAN;
    }
    double low = log(1e-12), high = log(10.0);
    double at_low = excess_chance(low, &limits), at_high = excess_chance(high, &limits);
    return exp(search_root(excess_chance, &limits, low, high, at_low, at_high));
}

enum perpend_status perpend_means_for(const struct perpend_setup *setup, unsigned bearings,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal,
    struct perpend_means *means)
{
    const struct perpend_slope upright = {0.0, 0.0};
    const struct perpend_gauge *gauge = &setup->gauge;
    double arm = setup->arm.length;
    struct perpend_ridge_limits limits;
    if (bearings < 3 || !isfinite(arm) || arm <= 0.0 || !isfinite(gauge->step) ||
        gauge->step <= 0.0)
        return PERPEND_ERR_VALUE;
    enum perpend_status status =
        perpend_ridge_limits_for(upright, cutter, facing, goal, arm, &limits);
    if (status != PERPEND_OK)
        return status;

    /* n equal steps round a circle: the first harmonic's coefficients each have u √(2/n) */
    double per_lean = sqrt(2.0 / bearings) / arm;
    double reading = perpend_gauge_uncertainty(gauge, 0.0);
    double allowed = uncertainty_allowed(cutter, facing, goal);
    double scale = fabs(perpend_gauge_gap_per_reading(gauge));
    double spread = isnan(gauge->spread) ? 0.0 : gauge->spread;
    double of_reading = allowed / per_lean / scale;
    double step = 12.0 * (of_reading - spread) * (of_reading + spread);

    *means = (struct perpend_means){
        .agree = limits.opposite_reading,
        .lean = limits.lean,
        .lean_uncertainty = reading * per_lean,
        .fine_enough = reading * per_lean <= allowed,
        .step_needed = step > 0.0 ? sqrt(step) : NAN,
        .arm_needed = arm * reading * per_lean / allowed,
    };
    return PERPEND_OK;
}
