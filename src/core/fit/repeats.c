/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/status.h>
#include <perpend/sweep.h>
#include <perpend/units.h>

#include "core/fit/repeats.h"

#define SAME 1e-9 /* rad, mm */

struct entry {
    size_t index;
    size_t group;
    double key;
};

static int in_order(const void *a, const void *b)
{
    const struct entry *one = a, *other = b;
    if (one->group != other->group)
        return one->group < other->group ? -1 : 1;
    if (one->key != other->key)
        return one->key < other->key ? -1 : 1;
    return one->index < other->index ? -1 : one->index > other->index;
}

static double bearing_key(double bearing)
{
    double turn = 2.0 * PERPEND_PI;
    double key = fmod(bearing, turn);
    if (key < 0.0)
        key += turn;
    return turn - key <= SAME ? 0.0 : key;
}

static double key_of(const struct perpend_reading *reading, int which)
{
    return which == 0 ? bearing_key(reading->bearing) : which == 1 ? reading->x : reading->y;
}

/* Split groups by one key at a time: by bearing, then by x, then by y. */
static size_t split(
    const struct perpend_reading *readings, struct entry *entries, size_t count, int which)
{
    size_t group = 0;
    for (size_t i = 0; i < count; i++)
        entries[i].key = key_of(&readings[entries[i].index], which);
    qsort(entries, count, sizeof *entries, in_order);
    for (size_t i = 0, before = 0; i < count; i++) {
        size_t was = entries[i].group;
        if (i > 0 && (was != before || entries[i].key - entries[i - 1].key > SAME))
            group++;
        before = was;
        entries[i].group = group;
    }
    return group + 1;
}

enum perpend_status repeats_group(
    const struct perpend_reading *readings, size_t count, size_t *group, size_t *groups)
{
    *groups = 0;
    if (count == 0)
        return PERPEND_OK;
    struct entry *entries = calloc(count, sizeof *entries);
    if (entries == NULL)
        return PERPEND_ERR_MEMORY;
    for (size_t i = 0; i < count; i++)
        entries[i].index = i;
    for (int which = 0; which < 3; which++)
        *groups = split(readings, entries, count, which);
    for (size_t i = 0; i < count; i++)
        group[entries[i].index] = entries[i].group;
    free(entries);
    return PERPEND_OK;
}

enum perpend_status repeats_pooled_spread(const struct perpend_reading *readings, size_t count,
    const size_t *group, size_t groups, double *spread, int *dof)
{
    *spread = 0.0;
    *dof = (int)(count - groups);
    if (*dof == 0)
        return PERPEND_OK;
    double *mean = calloc(groups, 2 * sizeof *mean);
    if (mean == NULL)
        return PERPEND_ERR_MEMORY;
    double *seen = mean + groups;
    double squares = 0.0;
    for (size_t i = 0; i < count; i++) { /* Welford's running update, group by group */
        size_t g = group[i];
        double off = readings[i].value - mean[g];
        seen[g] += 1.0;
        mean[g] += off / seen[g];
        squares += off * (readings[i].value - mean[g]);
    }
    free(mean);
    *spread = sqrt(squares / *dof);
    return PERPEND_OK;
}

double repeats_shared_rounding(double motion)
{
    const double whole = PERPEND_PI * PERPEND_PI / 6.0; /* the sum without its exponentials */
    const double nothing = 40.0; /* exp(-40) is below the last digit of the sum */
    double sum = 0.0, rate = 4.0 * PERPEND_PI * PERPEND_PI * motion * motion;
    if (rate < 0.25) /* the theta function turned over; what is left out is below exp(−π²/rate) */
        return (whole - sqrt(PERPEND_PI * rate) + rate / 2.0) / whole;
    for (int k = 1; rate * k * k < nothing; k++)
        sum += exp(-rate * k * k) / (k * k);
    return sum / whole;
}

double perpend_pooled_spread(const struct perpend_reading *readings, size_t count, int *dof)
{
    double spread = NAN;
    size_t groups;
    *dof = 0;
    if (count == 0)
        return 0.0;
    size_t *group = calloc(count, sizeof *group);
    if (group == NULL)
        return NAN;
    if (repeats_group(readings, count, group, &groups) != PERPEND_OK ||
        repeats_pooled_spread(readings, count, group, groups, &spread, dof) != PERPEND_OK)
        spread = NAN;
    free(group);
    return spread;
}
