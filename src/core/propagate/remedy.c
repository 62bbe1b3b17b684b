/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/verdict.h>

#include "core/base/covariance.h"
#include "core/fit/expected_fit.h"
#include "core/propagate/ridge_distribution.h"

#define LIKELY 0.7       /* enough of a chance to go for it */
#define WORTH_SAYING 0.2 /* a lesser one is not */
#define ARM_PITCH 5.0
#define MOST_CHOICES 8
#define MOST_READINGS 1000 /* with more, nothing of this is what is missing */

/* How sure another measurement would be, the readings at the same bearings and places, `times` over.
 */
static enum perpend_status expected(const struct perpend_remedy_question *asked,
    const struct perpend_setup *setup, size_t times, struct perpend_fit *fit)
{
    size_t total = asked->count * times;
    struct perpend_reading *readings = malloc(total * sizeof *readings);
    if (readings == NULL)
        return PERPEND_ERR_MEMORY;
    for (size_t i = 0; i < total; i++) {
        readings[i] = asked->readings[i % asked->count];
        readings[i].value = perpend_fit_predict(
            asked->fit, setup, readings[i].bearing, readings[i].x, readings[i].y);
    }
    enum perpend_status status =
        fit_expected(readings, total, setup, asked->fit->quality.scale, fit);
    free(readings);
    return status;
}

/* The chance that a verdict follows: over leans that may be found then, each with what would be
   known of it. */
static enum perpend_status settled_chance(const struct perpend_remedy_question *asked,
    struct perpend_slope_covariance found, const struct perpend_fit *then, double *chance)
{
    const struct perpend_uncertain_lean spread = {asked->fit->lean, found, asked->fit->dof};
    int settled = 0;
    for (int i = 0; i < UNCERTAIN_LEANS; i++) {
        struct perpend_uncertain_lean lean = {
            uncertain_lean_at(&spread, i), then->lean_covariance, then->dof};
        double met;
        enum perpend_status status =
            ridge_chance(&lean, asked->cutter, asked->facing, &asked->goal, &met);
        if (status == PERPEND_ERR_STEPOVER) /* so steep that stripes stand */
            met = 0.0;
        else if (status != PERPEND_OK)
            return status;
        settled += perpend_verdict_for(met) != PERPEND_VERDICT_TOO_CLOSE;
    }
    *chance = (double)settled / UNCERTAIN_LEANS;
    return PERPEND_OK;
}

static enum perpend_status weigh(
    const struct perpend_remedy_question *asked, struct perpend_remedy *remedy)
{
    struct perpend_slope_covariance now = asked->fit->lean_covariance, found;
    struct perpend_setup setup = *asked->setup;
    struct perpend_fit then;
    bool more = remedy->kind == PERPEND_REMEDY_SWEEPS;
    if (remedy->kind == PERPEND_REMEDY_STEP)
        setup.gauge.step = remedy->value;
    if (remedy->kind == PERPEND_REMEDY_ARM)
        setup.arm.length = remedy->value;
    if (remedy->kind == PERPEND_REMEDY_PLATE)
        setup.waves = PERPEND_WAVES_PLATE;
    enum perpend_status status =
        expected(asked, &setup, more ? 1 + (size_t)remedy->value : 1, &then);
    if (status != PERPEND_OK)
        return status;
    if (more) { /* sweeps taken together move the lean by what they add to knowing it */
        found =
            (struct perpend_slope_covariance){now.right_right - then.lean_covariance.right_right,
                now.right_back - then.lean_covariance.right_back,
                now.back_back - then.lean_covariance.back_back};
        struct principal_axes axes = principal_axes(found);
        if (axes.smaller < 0.0) /* along one axis nothing is added */
            found = (struct perpend_slope_covariance){
                fmax(axes.larger, 0.0) * axes.direction.right * axes.direction.right,
                fmax(axes.larger, 0.0) * axes.direction.right * axes.direction.back,
                fmax(axes.larger, 0.0) * axes.direction.back * axes.direction.back};
    } else {
        found = covariance_sum(now, then.lean_covariance);
    }
    return settled_chance(asked, found, &then, &remedy->chance);
}

/* The choices of one kind, the least trouble first. Returns their number. */
static size_t choices_of(const struct perpend_remedy_question *asked, enum perpend_remedy_kind kind,
    double choice[MOST_CHOICES])
{
    static const double sweeps[] = {1, 2, 3, 5};
    static const double steps[] = {0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001};
    static const double longer[] = {1.5, 2.0, 3.0};
    size_t count = 0;
    switch (kind) {
    case PERPEND_REMEDY_SWEEPS:
        for (size_t i = 0; i < sizeof sweeps / sizeof *sweeps; i++)
            choice[count++] = sweeps[i];
        break;
    case PERPEND_REMEDY_STEP:
        for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
            if (steps[i] < asked->setup->gauge.step * (1.0 - 1e-9))
                choice[count++] = steps[i];
        break;
    case PERPEND_REMEDY_ARM:
        for (size_t i = 0; i < sizeof longer / sizeof *longer; i++)
            choice[count++] = ARM_PITCH * ceil(asked->setup->arm.length * longer[i] / ARM_PITCH);
        break;
    case PERPEND_REMEDY_PLATE:
        if (asked->setup->bed_faced && perpend_bed_waves(asked->setup) > PERPEND_WAVES_PLATE)
            choice[count++] = 0.0;
        break;
    }
    return count;
}

static int surest_first(const void *a, const void *b)
{
    const struct perpend_remedy *one = a, *other = b;
    if (one->chance != other->chance)
        return one->chance > other->chance ? -1 : 1;
    return (int)one->kind - (int)other->kind;
}

enum perpend_status perpend_remedies_find(const struct perpend_remedy_question *question,
    struct perpend_remedy remedies[PERPEND_REMEDIES], size_t *count)
{
    size_t found = 0;
    *count = 0;
    if (!(question->goal.ridge > 0.0) && !(question->goal.lean > 0.0))
        return PERPEND_ERR_VALUE;
    if (question->count > MOST_READINGS)
        return PERPEND_OK;
    for (int kind = 0; kind < PERPEND_REMEDIES; kind++) {
        double choice[MOST_CHOICES];
        size_t choices = choices_of(question, (enum perpend_remedy_kind)kind, choice);
        struct perpend_remedy best = {.chance = 0.0};
        for (size_t i = 0; i < choices && best.chance < LIKELY; i++) {
            struct perpend_remedy remedy = {(enum perpend_remedy_kind)kind, choice[i], 0.0};
            enum perpend_status status = weigh(question, &remedy);
            if (status != PERPEND_OK)
                return status;
            if (remedy.chance > best.chance)
                best = remedy;
        }
        if (best.chance >= WORTH_SAYING)
            remedies[found++] = best;
    }
    qsort(remedies, found, sizeof *remedies, surest_first);
    *count = found;
    return PERPEND_OK;
}
