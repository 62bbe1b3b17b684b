/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "files/job_learned.h"

#include <math.h>

#include <perpend/job.h>

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

/* Of the covariance people tell the standard uncertainties, in the gains' order. */
static bool read_uncertainty(const struct value *value, void *at)
{
    double(*covariance)[4] = at, numbers[4] = {0.0};
    if (!read_four(value, numbers))
        return false;
    for (size_t i = 0; i < 4; i++)
        covariance[i][i] = numbers[i] * numbers[i];
    return true;
}

static int write_uncertainty(struct writer *writer, const struct key *key, const void *at)
{
    const double(*covariance)[4] = at;
    double numbers[4];
    for (size_t i = 0; i < 4; i++)
        numbers[i] = sqrt(covariance[i][i]);
    return write_four(writer, key, numbers);
}

static const struct key learned_keys[] = {
    {"gain", true, read_four, offsetof(struct perpend_response, gain), &gain_range, write_four},
    {"uncertainty", true, read_uncertainty, offsetof(struct perpend_response, covariance),
        &uncertainty_range, write_uncertainty},
    {0},
};

static const struct mapping learned_mapping = {
    "learned", "{gain: [0.7, 0, 0, 0.8], uncertainty: [0.1, 0.2, 0.2, 0.1]}", learned_keys};

bool read_learned(const struct value *value, void *at)
{
    struct perpend_job *job = at;
    const struct value section = value_with(value, &learned_mapping);
    job->has_learned = true;
    return read_section(&section, &job->learned);
}

int write_learned(struct writer *writer, const struct key *key, const void *at)
{
    const struct perpend_job *job = at;
    (void)key;
    return job->has_learned ? write_map(writer, &learned_mapping, &job->learned, true) : 0;
}
