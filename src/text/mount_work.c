/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/bolt_words.h"
#include "text/mount_work.h"
#include "text/say.h"

static void add_work(struct mount_work *work, size_t joint, size_t bolt, double shim,
    struct perpend_point slide, double turns)
{
    if (joint >= PERPEND_JOINTS_MOST || bolt >= PERPEND_BOLTS_MOST)
        return;
    struct bolt_work *at = &work->bolts[joint][bolt];
    at->shim += shim;
    at->slide.right += slide.right;
    at->slide.back += slide.back;
    at->slide.up += slide.up;
    at->turns += turns;
    at->touched = at->touched || shim != 0 || turns != 0 || slide.right != 0 || slide.back != 0 ||
                  slide.up != 0;
}

static void add_plan(struct mount_work *work, const struct perpend_plan *plan)
{
    for (size_t i = 0; i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        for (size_t j = 0; j < step->bolt_count; j++) {
            const struct perpend_bolt_move *move = &step->bolts[j];
            add_work(work, step->joint, j, move->shim, move->slide, move->turns);
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
                add_work(work, sweep->did[j].joint, sweep->did[j].bolt, sweep->did[j].shim,
                    sweep->did[j].slide, sweep->did[j].turns);
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

char *bolt_work_text(enum perpend_unit unit, const struct bolt_work *work)
{
    const struct words words = {.unit = unit};
    struct buffer phrase = {0};
    const bool slid =
        fabs(work->slide.right) + fabs(work->slide.back) + fabs(work->slide.up) > 5e-4;
    if (fabs(work->shim) > 5e-4) {
        buffer_add(&phrase, work->shim > 0 ? "shim +" : "shim −");
        words_thickness(&words, &phrase, fabs(work->shim));
    }
    if (slid) {
        buffer_add(&phrase, phrase.length > 0 ? "; slide " : "slide ");
        words_displacement(&words, &phrase, work->slide);
    }
    if (fabs(work->turns) > 5e-4) {
        buffer_add(&phrase, phrase.length > 0 ? "; screw " : "screw ");
        buffer_add_number(&phrase, fabs(work->turns), 2);
        buffer_add(&phrase, work->turns > 0 ? " turn in" : " turn out");
    }
    if (phrase.length == 0)
        buffer_add(&phrase, "nothing");
    return say_phrase(&phrase);
}
