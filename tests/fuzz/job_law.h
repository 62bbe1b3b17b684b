/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JOB_LAW_H
#define JOB_LAW_H

/** A job that was read is within its bounds, and written and read again it is the same. */

#include "fuzz.h"

static inline void job_check(const struct perpend_job *job)
{
    size_t readings = 0;
    must(job->sweep_count >= 1 && job->sweep_count <= 1000);
    for (size_t i = 0; i < job->sweep_count; i++) {
        const struct perpend_sweep *sweep = &job->sweeps[i];
        must(sweep->name != NULL && text_is_printable(sweep->name, strlen(sweep->name)));
        must(sweep->reading_count >= 1);
        readings += sweep->reading_count;
        for (size_t j = 0; j < sweep->reading_count; j++) {
            const struct perpend_reading *r = &sweep->readings[j];
            must(r->bearing >= 0.0 && r->bearing < 6.283185307179587);
            must(r->value >= -1e4 && r->value <= 1e4 && r->x >= -1e4 && r->x <= 1e4 &&
                 r->y >= -1e4 && r->y <= 1e4);
        }
    }
    must(readings <= 10000);
}

static inline void job_same(const struct perpend_job *a, const struct perpend_job *b)
{
    must(a->sweep_count == b->sweep_count);
    for (size_t i = 0; i < a->sweep_count; i++) {
        const struct perpend_sweep *s = &a->sweeps[i], *t = &b->sweeps[i];
        must(strcmp(s->name, t->name) == 0 && s->x == t->x && s->y == t->y);
        must(s->reading_count == t->reading_count && s->did_kind == t->did_kind &&
             s->did_count == t->did_count);
        for (size_t j = 0; j < s->reading_count; j++) {
            const struct perpend_reading *r = &s->readings[j], *q = &t->readings[j];
            must(r->bearing == q->bearing && r->value == q->value && r->x == q->x && r->y == q->y);
        }
        for (size_t j = 0; j < s->did_count; j++) {
            const struct perpend_did *d = &s->did[j], *e = &t->did[j];
            must(d->joint == e->joint && d->bolt == e->bolt && d->move == e->move &&
                 d->amount.value == e->amount.value && d->amount.value == e->amount.value &&
                 d->amount.shift.right == e->amount.shift.right &&
                 d->amount.shift.back == e->amount.shift.back &&
                 d->amount.shift.up == e->amount.shift.up);
        }
    }
}

static inline void job_round_trip(const struct perpend_job *job)
{
    struct perpend_job back;
    struct fault fault = {0};
    char *text = job_file_write(fuzz_machine(), job);
    must(text != NULL);
    if (!job_file_parse(text, strlen(text), "written", fuzz_machine(), &back, &fault)) {
        fprintf(stderr, "%s\n%s", fault.text, text);
        abort();
    }
    job_same(job, &back);
    perpend_job_finish(&back);
    free(text);
}

#endif
