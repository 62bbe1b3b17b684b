/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/verdict.h>

#include "core/base/covariance.h"
#include "core/fit/expected_fit.h"
#include "core/propagate/goal_region.h"
#include "core/propagate/ridge_distribution.h"

#define LIKELY 0.7       /* enough of a chance to go for it */
#define WORTH_SAYING 0.2 /* a lesser one is not */
#define WORTH_MORE 0.05  /* what is more trouble must settle so many more */
#define ARM_PITCH 5.0
#define MOST_CHOICES 8
#define FARTHER 1.2        /* times as far apart as now: less is no change */
#define MOST_READINGS 1000 /* with more, nothing of this is what is missing */
#define FOUND 89           /* leans that may be found, and what each may be off by */
#define OFF 233

/* The readings of another measurement: at the same bearings and places, `times` over; or, for
   places `side` apart, those of the first place at three corners of a square. Returns their number. */
static size_t plan_readings(const struct perpend_remedy_question *asked, size_t times, double side,
    struct perpend_reading *readings)
{
    const struct perpend_reading *first = &asked->readings[0];
    size_t total = 0;
    for (size_t turn = 0; turn < times; turn++) {
        for (size_t i = 0; i < asked->count; i++) {
            struct perpend_reading reading = asked->readings[i];
            if (side > 0.0 && (reading.x != first->x || reading.y != first->y))
                continue;
            reading.x += turn > 0 ? side : 0.0;
            reading.y += turn > 1 ? side : 0.0;
            readings[total++] = reading;
        }
    }
    return total;
}

/* How sure that measurement would be. */
static enum perpend_status expected(const struct perpend_remedy_question *asked,
    const struct perpend_setup *setup, const struct perpend_remedy *remedy, struct perpend_fit *fit)
{
    const bool places = remedy->kind == PERPEND_REMEDY_PLACES;
    const size_t times = remedy->kind == PERPEND_REMEDY_SWEEPS ? 1 + (size_t)remedy->value
                         : places                              ? 3
                                                               : 1;
    struct perpend_reading *readings = malloc(asked->count * times * sizeof *readings);
    if (readings == NULL)
        return PERPEND_ERR_MEMORY;
    size_t total = plan_readings(asked, times, places ? remedy->value : 0.0, readings);
    for (size_t i = 0; i < total; i++)
        readings[i].value = perpend_fit_predict(
            asked->fit, setup, readings[i].bearing, readings[i].x, readings[i].y);
    enum perpend_status status =
        fit_expected(readings, total, setup, asked->fit->quality.scale, fit);
    free(readings);
    return status;
}

/* The chance that a verdict follows: over leans that may be found then, each with what would be
   known of it. */
static double settled_chance(const struct perpend_fit *now, const struct goal_region *region,
    const struct perpend_slope_covariance *found, const struct perpend_fit *then)
{
    struct perpend_slope lean[FOUND], off[OFF];
    int settled = 0;
    lattice_leans(found, now->dof, region->feed, LATTICE_OF_89, lean);
    lattice_leans(&then->lean_covariance, then->dof, region->feed, LATTICE_OF_233, off);
    for (size_t i = 0; i < FOUND; i++) {
        lean[i].right += now->lean.right;
        lean[i].back += now->lean.back;
        double met = goal_region_share(region, lean[i], off, OFF);
        settled += perpend_verdict_for(met) != PERPEND_VERDICT_TOO_CLOSE;
    }
    return (double)settled / FOUND;
}

static enum perpend_status weigh(const struct perpend_remedy_question *asked,
    const struct goal_region *region, struct perpend_remedy *remedy)
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
    if (remedy->kind == PERPEND_REMEDY_PLACES)
        setup.bed_known = false;
    enum perpend_status status = expected(asked, &setup, remedy, &then);
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
    remedy->chance = settled_chance(asked->fit, region, &found, &then);
    return PERPEND_OK;
}

/* How far apart the places of this measurement lie, mm. */
static double widest(const struct perpend_remedy_question *asked)
{
    const struct perpend_reading *first = &asked->readings[0];
    double most = 0.0;
    for (size_t i = 1; i < asked->count; i++)
        most = fmax(most, hypot(asked->readings[i].x - first->x, asked->readings[i].y - first->y));
    return most;
}

/* The choices of one kind, the least trouble first. Returns their number. */
static size_t choices_of(const struct perpend_remedy_question *asked, enum perpend_remedy_kind kind,
    double choice[MOST_CHOICES])
{
    static const double sweeps[] = {1, 2, 3, 5};
    static const double steps[] = {0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001};
    static const double longer[] = {1.5, 2.0, 3.0};
    static const double sides[] = {100, 150, 200, 300, 500};
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
    case PERPEND_REMEDY_PLACES:
        for (size_t i = 0; i < sizeof sides / sizeof *sides; i++)
            if (asked->fit->bed_separated && sides[i] > FARTHER * widest(asked))
                choice[count++] = sides[i];
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
    struct goal_region region;
    size_t found = 0;
    *count = 0;
    if (!(question->goal.ridge > 0.0) && !(question->goal.lean > 0.0))
        return PERPEND_ERR_VALUE;
    if (question->count > MOST_READINGS ||
        !goal_region_make(question->cutter, question->facing, &question->goal, &region))
        return PERPEND_OK;
    for (int kind = 0; kind < PERPEND_REMEDIES; kind++) {
        double choice[MOST_CHOICES];
        size_t choices = choices_of(question, (enum perpend_remedy_kind)kind, choice);
        struct perpend_remedy best = {.chance = 0.0};
        for (size_t i = 0; i < choices && best.chance < LIKELY; i++) {
            struct perpend_remedy remedy = {(enum perpend_remedy_kind)kind, choice[i], 0.0};
            enum perpend_status status = weigh(question, &region, &remedy);
            if (status != PERPEND_OK)
                return status;
            if (remedy.chance > best.chance + WORTH_MORE)
                best = remedy;
        }
        if (best.chance >= WORTH_SAYING)
            remedies[found++] = best;
    }
    qsort(remedies, found, sizeof *remedies, surest_first);
    *count = found;
    return PERPEND_OK;
}
