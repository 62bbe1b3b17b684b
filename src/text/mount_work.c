/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/bolt_words.h"
#include "text/mount_work.h"
#include "text/say.h"

static void add_work(struct mount_work *work, const struct perpend_did *did)
{
    size_t move = perpend_move_index(did->move);
    if (did->joint >= PERPEND_JOINTS_MOST || did->bolt >= PERPEND_BOLTS_MOST ||
        move == PERPEND_MOVE_COUNT)
        return;
    struct bolt_work *at = &work->bolts[did->joint][did->bolt];
    at->amounts[move] = perpend_amount_sum(at->amounts[move], did->amount);
    at->touched = at->touched || !perpend_amount_is_none(did->amount);
}

static void add_plan(struct mount_work *work, const struct perpend_plan *plan)
{
    for (size_t i = 0; i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        for (size_t j = 0; j < step->bolt_count; j++) {
            const struct perpend_did did = {step->joint, j, step->move, step->bolts[j].amount};
            add_work(work, &did);
        }
    }
}

static void add_measurement(struct mount_work *work, const struct perpend_job *job,
    const struct perpend_measurement *measurement)
{
    for (size_t i = 0; i < measurement->sweep_count; i++) {
        const struct perpend_sweep *sweep = &job->sweeps[measurement->first_sweep + i];
        if (sweep->did_kind == PERPEND_DID_PLAN && measurement->has_plan)
            add_plan(work, &measurement->plan);
        if (sweep->did_kind == PERPEND_DID_LIST)
            for (size_t j = 0; j < sweep->did_count; j++)
                add_work(work, &sweep->did[j]);
    }
}

struct mount_work mount_work_of(
    const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    struct mount_work work = {0};
    add_measurement(&work, job, measurement);
    return work;
}

struct mount_work mount_work_done(
    const struct perpend_job *job, const struct perpend_solution *solution)
{
    struct mount_work work = {0};
    for (size_t i = 0; i < solution->measurement_count; i++)
        add_measurement(&work, job, &solution->measurements[i]);
    return work;
}

struct mount_work mount_work_planned(const struct perpend_plan *plan)
{
    struct mount_work work = {0};
    add_plan(&work, plan);
    return work;
}

bool mount_work_at(const struct mount_work *work, size_t joint)
{
    for (size_t i = 0; i < PERPEND_BOLTS_MOST; i++)
        if (work->bolts[joint][i].touched)
            return true;
    return false;
}

bool mount_work_any(const struct mount_work *work)
{
    for (size_t i = 0; i < PERPEND_JOINTS_MOST; i++)
        if (mount_work_at(work, i))
            return true;
    return false;
}

/* Less than this shows in no word, mm or turns. */
#define SHOWS 5e-4

char *bolt_work_text(enum perpend_unit unit, const struct bolt_work *work)
{
    const struct words words = {.unit = unit};
    struct buffer phrase = {0};
    const struct perpend_move_row *row;
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++) {
        const struct perpend_amount *amount = &work->amounts[i];
        if (fabs(amount->value) + fabs(amount->shift.right) + fabs(amount->shift.back) +
                fabs(amount->shift.up) <=
            SHOWS)
            continue;
        buffer_add(&phrase, phrase.length > 0 ? "; " : "");
        buffer_addf(&phrase, "%s ", row->name);
        switch (row->amount) {
        case PERPEND_AMOUNT_THICKNESS:
            buffer_add(&phrase, amount->value > 0 ? "+" : "−");
            words_thickness(&words, &phrase, fabs(amount->value));
            break;
        case PERPEND_AMOUNT_DISPLACEMENT:
            words_displacement(&words, &phrase, amount->shift);
            break;
        case PERPEND_AMOUNT_TURNS:
            buffer_add_number(&phrase, fabs(amount->value), 2);
            buffer_add(&phrase, amount->value > 0 ? " turn in" : " turn out");
            break;
        }
    }
    if (phrase.length == 0)
        buffer_add(&phrase, "nothing");
    return say_phrase(&phrase);
}
