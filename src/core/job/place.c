/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/status.h>

#include "core/job/place.h"

#define FEWEST 4 /* readings of a place that can be checked by itself */

enum perpend_status measurement_gather(
    const struct perpend_job *job, struct perpend_measurement *measurement)
{
    size_t total = 0, steps = 0, n = 0;
    for (size_t i = 0; i < measurement->sweep_count; i++) {
        total += job->sweeps[measurement->first_sweep + i].reading_count;
        steps += job->sweeps[measurement->first_sweep + i].cut_count;
    }
    /* one more: of none there may be NULL, which would look like no memory */
    measurement->readings = calloc(total + 1, sizeof *measurement->readings);
    measurement->reading_sweep = malloc((total + 1) * sizeof *measurement->reading_sweep);
    measurement->residual = calloc(total + 1, sizeof *measurement->residual);
    measurement->cuts = malloc((steps + 1) * sizeof *measurement->cuts);
    if (!measurement->readings || !measurement->reading_sweep || !measurement->residual ||
        !measurement->cuts)
        return PERPEND_ERR_MEMORY;
    for (size_t i = 0; i < measurement->sweep_count; i++) {
        const struct perpend_sweep *sweep = &job->sweeps[measurement->first_sweep + i];
        for (size_t k = 0; k < sweep->reading_count; k++, n++) {
            measurement->readings[n] = sweep->readings[k];
            measurement->reading_sweep[n] = measurement->first_sweep + i;
        }
        for (size_t k = 0; k < sweep->cut_count; k++)
            measurement->cuts[measurement->cut_count++] = sweep->cuts[k];
    }
    measurement->reading_count = n;
    return PERPEND_OK;
}

void measurement_finish(struct perpend_measurement *measurement)
{
    free(measurement->readings);
    free(measurement->reading_sweep);
    free(measurement->residual);
    free(measurement->cuts);
}

/* The sweeps since the mount was last touched, the one given being the last of them. */
static size_t first_place(const struct perpend_job *job, size_t sweep)
{
    while (sweep > 0 && job->sweeps[sweep - 1].did_kind == PERPEND_DID_UNSTATED)
        sweep--;
    return sweep;
}

static int by_bearing(const void *a, const void *b)
{
    const struct perpend_reading *one = a, *other = b;
    return (one->bearing > other->bearing) - (one->bearing < other->bearing);
}

static bool at_places(const struct perpend_measurement *measurement)
{
    const struct perpend_reading *of = measurement->readings;
    size_t i = 1;
    while (i < measurement->reading_count && of[i].x == of[0].x && of[i].y == of[0].y)
        i++;
    return i < measurement->reading_count;
}

static struct perpend_doubt doubt_of(
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    const struct perpend_suspect *suspect = &measurement->fit.suspect;
    struct perpend_doubt doubt = {.kind = PERPEND_DOUBT_NONE};
    size_t at = 0;
    if (suspect->index != PERPEND_FIT_NO_SUSPECT) {
        at = suspect->index;
        doubt.kind = PERPEND_DOUBT_READING;
        doubt.readings[0] = measurement->readings[at];
        if (suspect->has_twin)
            doubt.readings[1] = measurement->readings[suspect->twin];
    } else if (measurement->fit.closure.off) {
        doubt.kind = PERPEND_DOUBT_CLOSURE;
        for (size_t i = 0; i < 4; i++)
            doubt.readings[i] = measurement->readings[i];
        qsort(doubt.readings, 4, sizeof *doubt.readings, by_bearing);
    } else {
        return doubt;
    }
    doubt.sweep = measurement->reading_sweep[at];
    doubt.place = doubt.sweep - first_place(job, doubt.sweep) + 1;
    for (size_t i = at; i > 0 && measurement->reading_sweep[i - 1] == doubt.sweep; i--)
        doubt.index++;
    doubt.several = at_places(measurement);
    doubt.suspect = *suspect;
    doubt.closure = measurement->fit.closure;
    return doubt;
}

/* Sweeps from `first` to `last` as one measurement; readings that determine nothing raise no doubt. */
static enum perpend_status check(const struct perpend_setup *setup, const struct perpend_job *job,
    size_t first, size_t last, struct perpend_doubt *doubt)
{
    struct perpend_measurement m = {.first_sweep = first, .sweep_count = last - first + 1};
    enum perpend_status status = measurement_gather(job, &m);
    if (status == PERPEND_OK)
        status = perpend_fit_readings(m.readings, m.reading_count, setup, NULL, &m.fit);
    if (status == PERPEND_OK)
        *doubt = doubt_of(job, &m);
    measurement_finish(&m);
    return status == PERPEND_ERR_MEMORY ? status : PERPEND_OK;
}

enum perpend_status perpend_place_check(const struct perpend_setup *setup,
    const struct perpend_job *job, size_t sweep, struct perpend_doubt *doubt)
{
    size_t first = first_place(job, sweep);
    *doubt = (struct perpend_doubt){.kind = PERPEND_DOUBT_NONE};
    enum perpend_status status = check(setup, job, sweep, sweep, doubt);
    if (status == PERPEND_OK && doubt->kind == PERPEND_DOUBT_NONE && first < sweep)
        status = check(setup, job, first, sweep, doubt);
    return status;
}

enum perpend_status measurement_doubt(const struct perpend_setup *setup,
    const struct perpend_job *job, struct perpend_measurement *measurement)
{
    enum perpend_status status = PERPEND_OK;
    size_t sweep = measurement->first_sweep, end = sweep + measurement->sweep_count;
    const bool several = measurement->sweep_count > 1;
    measurement->doubt = doubt_of(job, measurement);
    for (; several && sweep < end && status == PERPEND_OK; sweep++)
        if (measurement->doubt.kind == PERPEND_DOUBT_NONE &&
            job->sweeps[sweep].reading_count >= FEWEST)
            status = check(setup, job, sweep, sweep, &measurement->doubt);
    if (measurement->doubt.kind != PERPEND_DOUBT_NONE)
        measurement->doubt.several = at_places(measurement);
    return status;
}
