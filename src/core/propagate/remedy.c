/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/status.h>
#include <perpend/verdict.h>

#include "core/propagate/ridge_distribution.h"

#define MOST_REPEATS 64
#define ARM_PITCH 5.0
#define MOST_ARM 500.0

static const double gauge_steps[] = {0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001};

struct settling {
    const struct perpend_remedy_question *asked;
    struct perpend_setup setup; /* as it was, with the spread that the fit used */
};

/* The lean's covariance as the fit would give it for readings like these that agree with what was
   found, taken `repeats` times over with another arm or gauge. */
static enum perpend_status expected_covariance(const struct settling *settling,
    const struct perpend_setup *setup, unsigned repeats,
    struct perpend_slope_covariance *covariance)
{
    size_t total = settling->asked->count * repeats;
    struct perpend_reading *readings = malloc(total * sizeof *readings);
    if (!readings)
        return PERPEND_ERR_MEMORY;
    for (size_t i = 0; i < total; i++) {
        readings[i] = settling->asked->readings[i % settling->asked->count];
        readings[i].value = perpend_fit_predict(
            settling->asked->fit, setup, readings[i].bearing, readings[i].x, readings[i].y);
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
    double widened =
        fmax(settling->asked->fit->quality.birge, settling->asked->fit->quality.few_repeats);
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
    const struct perpend_remedy_question *asked = settling->asked;
    struct perpend_uncertain_lean lean = {asked->fit->lean, covariance, INFINITY};
    struct perpend_distribution distribution;
    status =
        ridge_distribution_roughly(&lean, asked->cutter, asked->facing, asked->goal, &distribution);
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

enum perpend_status perpend_remedy_find(
    const struct perpend_remedy_question *question, struct perpend_remedy *remedy)
{
    const struct perpend_setup *setup = question->setup;
    struct settling settling = {question, *setup};
    if (!(question->goal > 0.0))
        return PERPEND_ERR_VALUE;
    settling.setup.gauge.spread = question->fit->quality.spread_used;

    struct perpend_remedy result = {0};
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
        *remedy = result;
    return status;
}
