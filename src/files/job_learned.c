/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "files/job_learned.h"

#include <math.h>

#include <perpend/job.h>

/* As people tell it: the gains, row by row, and the standard uncertainty of each. */
struct learned_part {
    double gain[4], uncertainty[4];
};

static const struct range gain_range = {-4.0, 4.0}, uncertainty_range = {0.001, 1.0};

static bool read_four(const struct value *value, void *at)
{
    double *numbers = at;
    if (entry_count(value) != 4)
        return value_fail(value, "%s must be four numbers, as [1, 0, 0, 1]", value->name);
    for (size_t i = 0; i < 4; i++) {
        const struct value one = entry_of(value, i), number = value_with(&one, value->detail);
        if (!read_number(&number, &numbers[i]))
            return false;
    }
    return true;
}

static int write_four(struct writer *writer, const struct key *key, const void *at)
{
    const double *numbers = at;
    int list = write_start_list(writer, true);
    for (size_t i = 0; i < 4; i++)
        write_entry(writer, list, write_number(writer, key, &numbers[i]));
    return list;
}

static const struct key learned_keys[] = {
    {"gain", true, read_four, offsetof(struct learned_part, gain), &gain_range, write_four},
    {"uncertainty", true, read_four, offsetof(struct learned_part, uncertainty), &uncertainty_range,
        write_four},
    {0},
};

static const struct mapping learned_mapping = {
    "learned", "{gain: [0.7, 0, 0, 0.8], uncertainty: [0.1, 0.2, 0.2, 0.1]}", learned_keys};

bool read_learned(const struct value *value, void *at)
{
    struct perpend_job *job = at;
    const struct value section = value_with(value, &learned_mapping);
    struct learned_part part;
    if (!read_section(&section, &part))
        return false;
    job->has_learned = true;
    for (size_t i = 0; i < 4; i++) {
        job->learned.gain[i / 2][i % 2] = part.gain[i];
        job->learned.covariance[i][i] = part.uncertainty[i] * part.uncertainty[i];
    }
    return true;
}

int write_learned(struct writer *writer, const struct key *key, const void *at)
{
    const struct perpend_job *job = at;
    struct learned_part part;
    (void)key;
    for (size_t i = 0; i < 4; i++) {
        part.gain[i] = job->learned.gain[i / 2][i % 2];
        part.uncertainty[i] = sqrt(job->learned.covariance[i][i]);
    }
    return job->has_learned ? write_map(writer, &learned_mapping, &part, true) : 0;
}
