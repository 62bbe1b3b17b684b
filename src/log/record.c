/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "files/moment.h"
#include "log/book.h"

size_t log_sweep_counted(const struct log_sweep *sweep)
{
    size_t count = 0;
    for (size_t i = 0; i < sweep->reading_count + sweep->cut_count; i++)
        count += sweep->readings[i].counts;
    return count;
}

const char *log_sweep_name(const struct log_record *record, int64_t sweep)
{
    for (size_t i = 0; i < record->sweep_count; i++)
        if (record->sweeps[i].id == sweep)
            return record->sweeps[i].name;
    return NULL;
}

bool log_bed_separated(const struct log_answer *answer)
{
    return !isnan(answer->bed.right) && !isnan(answer->bed.back);
}

bool log_find_bolt(
    const struct perpend_mount *mount, const char *joint, const char *bolt, struct perpend_did *did)
{
    for (size_t j = 0; j < mount->joint_count; j++)
        for (size_t b = 0; b < mount->joints[j].bolt_count; b++)
            if (strcmp(mount->joints[j].name, joint) == 0 &&
                strcmp(mount->joints[j].bolts[b].name, bolt) == 0) {
                did->joint = j;
                did->bolt = b;
                return true;
            }
    return false;
}

struct perpend_moment log_moment(const struct log_time *time)
{
    char text[LOG_TIME_ISO];
    struct perpend_moment moment = {0};
    (void)moment_parse(log_time_iso(text, time), &moment); /* none in an odd zone */
    return moment;
}

static bool make_did(struct log_record *record, const struct log_sweep *from,
    struct perpend_sweep *to, struct fault *fault)
{
    to->did_kind = from->did_kind;
    if (from->did_count == 0 || from->did_kind != PERPEND_DID_LIST)
        return true;
    to->did = calloc(from->did_count, sizeof *to->did);
    if (!to->did)
        return log_memory_fault(fault);
    for (size_t i = 0; i < from->did_count; i++) {
        struct perpend_did *did = &to->did[i];
        did->move = from->did[i].move;
        did->amount = from->did[i].amount;
        if (record->readable &&
            !log_find_bolt(&record->machine.mount, from->did[i].joint, from->did[i].bolt, did)) {
            record->readable = false;
            fault_set(&record->why, 2, "the machine has no bolt \"%s\" in a joint \"%s\"",
                from->did[i].bolt, from->did[i].joint);
        }
    }
    to->did_count = from->did_count;
    return true;
}

static bool make_sweep(struct log_record *record, struct log_sweep *from, struct fault *fault)
{
    size_t count = log_sweep_counted(from);
    if (count == 0)
        return true;
    from->in_job = record->job.sweep_count;
    struct perpend_sweep *to = &record->job.sweeps[record->job.sweep_count++];
    to->name = strdup(from->name);
    if (record->source == 0)
        to->date = log_moment(&from->at);
    else if (from->date)
        (void)moment_parse(from->date, &to->date);
    to->did_sure = from->did_sure;
    to->x = from->x;
    to->y = from->y;
    to->readings = calloc(count, sizeof *to->readings);
    to->cuts = calloc(count, sizeof *to->cuts);
    if (!to->name || !to->readings || !to->cuts)
        return log_memory_fault(fault);
    for (size_t i = 0; i < from->reading_count; i++)
        if (from->readings[i].counts)
            to->readings[to->reading_count++] = from->readings[i].reading;
    for (size_t i = 0; i < from->cut_count; i++)
        if (from->cuts[i].counts)
            to->cuts[to->cut_count++] = (struct perpend_cut_reading){
                from->cuts[i].reading.bearing, from->cuts[i].reading.value};
    return make_did(record, from, to, fault);
}

/* What is known of the job beside its sweeps. */
static bool make_head(struct log_record *record)
{
    struct perpend_job *job = &record->job;
    if (record->head && !job_head_parse(record->head, strlen(record->head), "job in the log",
                            &record->machine, job, &record->why))
        return false;
    if (record->source == 0)
        job->date = log_moment(&record->started);
    if (record->measured.stated)
        job->measured = record->measured;
    return true;
}

bool log_record_make(struct log_record *record, struct fault *fault)
{
    record->readable = machine_file_parse(record->machine_text, record->machine_length,
        "machine file in the log", &record->machine, &record->why);
    record->readable = record->readable && make_head(record);
    record->goal.lean = record->readable ? record->machine.goal.lean : (double)NAN;
    if (!record->readable && record->why.status == 3) /* the computer's fault, not the file's */
        return log_memory_fault(fault);
    record->job.sweeps = calloc(record->sweep_count + 1, sizeof *record->job.sweeps);
    if (!record->job.sweeps)
        return log_memory_fault(fault);
    bool ok = true;
    for (size_t i = 0; i < record->sweep_count && ok; i++)
        ok = make_sweep(record, &record->sweeps[i], fault);
    return ok;
}

/* The measurements that are complete: the last one may be short of readings. */
static enum perpend_status solve(const struct log_record *record, struct perpend_solution *solution)
{
    struct perpend_job_fault where;
    struct perpend_job part = record->job;
    enum perpend_status status = perpend_job_solve(&record->machine, &part, solution, &where);
    if (status == PERPEND_OK || status == PERPEND_ERR_MEMORY || where.sweep == 0)
        return status;
    part.sweep_count = where.sweep;
    return perpend_job_solve(&record->machine, &part, solution, &where);
}

bool log_solve(struct log_book *book, int64_t job, struct log_solved *solved, struct fault *fault)
{
    struct log_record *record = &solved->record;
    *solved = (struct log_solved){.status = PERPEND_OK};
    if (!log_load(book, job, record, fault))
        return false;
    if (record->readable && record->job.sweep_count > 0)
        solved->status = solve(record, &solved->solution);
    if (solved->status != PERPEND_ERR_MEMORY)
        return true;
    log_record_finish(record);
    return log_memory_fault(fault);
}

void log_solved_finish(struct log_solved *solved)
{
    perpend_solution_finish(&solved->solution);
    log_record_finish(&solved->record);
}

void log_record_finish(struct log_record *record)
{
    if (!record)
        return;
    log_pool_finish(&record->pool);
    perpend_machine_finish(&record->machine);
    perpend_job_finish(&record->job);
    memset(record, 0, sizeof *record);
}
