/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was left last time against what is found today. */
#include <string.h>

#include <perpend/status.h>

#include "log/book.h"

static bool one_answer(struct log_book *book, int64_t job, const char *which,
    struct log_drift *drift, struct log_answer *answer, struct fault *fault)
{
    struct log_rows rows = {.pool = &drift->pool};
    if (!log_read(book, &log_answers, which, LOG_WITH(log_whole(job)), &rows, fault))
        return false;
    if (rows.count > 0)
        *answer = *(const struct log_answer *)rows.array;
    return true;
}

/* What happened to the machine between the two sweeps; plain remarks on a job are left out. */
static bool find_notes(
    struct log_book *book, int64_t machine, struct log_drift *drift, struct fault *fault)
{
    struct log_rows rows = {.pool = &drift->pool};
    bool ok = log_read(book, &log_notes,
        "FROM note WHERE machine = ? AND at BETWEEN ? AND ? AND (kind <> 'note' OR job IS NULL) "
        "ORDER BY at, id",
        LOG_WITH(log_whole(machine), log_text(drift->left_at.utc), log_text(drift->found_at.utc)),
        &rows, fault);
    drift->notes = rows.array;
    drift->note_count = rows.count;
    return ok;
}

static bool compare(struct log_drift *drift, struct fault *fault)
{
    drift->comparable = drift->left.includes_bed == drift->found.includes_bed;
    drift->includes_bed = drift->left.includes_bed && drift->found.includes_bed;
    if (!drift->comparable || drift->left_unmeasured)
        return true;
    enum perpend_status status = perpend_drift_between(drift->left.lean, drift->left.covariance,
        drift->found.lean, drift->found.covariance, &drift->drift);
    return status == PERPEND_OK ||
           fault_set(fault, 3,
               "the answers of jobs %lld and %lld cannot be compared (%s); 'perpend log check' "
               "looks at them",
               (long long)drift->before, (long long)drift->job, perpend_status_text(status));
}

static bool find_drift(
    struct log_book *book, int64_t job, struct log_drift *drift, struct fault *fault)
{
    int64_t machine = 0;
    drift->job = job;
    if (!log_get(book, "SELECT machine FROM job WHERE id = ?", LOG_WITH(log_whole(job)), &machine,
            fault))
        return false;
    if (machine == 0)
        return log_missing_fault(book, "job", job, fault);
    /* the job before it that measured anything */
    if (!log_get(book,
            "SELECT id FROM job WHERE machine = ?1 AND (started, id) < (SELECT started, id FROM "
            "job "
            "WHERE id = ?2) AND EXISTS (SELECT 1 FROM answer WHERE answer.job = job.id) ORDER BY "
            "started DESC, id DESC LIMIT 1",
            LOG_WITH(log_whole(machine), log_whole(job)), &drift->before, fault) ||
        !one_answer(book, job, "FROM answered WHERE job = ? ORDER BY ordinal LIMIT 1", drift,
            &drift->found, fault) ||
        !one_answer(book, drift->before,
            "FROM answered WHERE job = ? ORDER BY ordinal DESC LIMIT 1", drift, &drift->left,
            fault))
        return false;
    drift->left_at = drift->left.swept;
    drift->found_at = drift->found.began;
    drift->left_unmeasured = drift->left.unmeasured;
    if (!drift->found_at.utc[0] || !drift->left_at.utc[0]) {
        drift->before = 0;
        return true;
    }
    return find_notes(book, machine, drift, fault) && compare(drift, fault);
}

bool log_drift_find(
    struct log_book *book, int64_t job, struct log_drift *drift, struct fault *fault)
{
    memset(drift, 0, sizeof *drift);
    if (!log_begin_read(book, fault))
        return false;
    bool ok = find_drift(book, job, drift, fault);
    ok = log_end(book, ok, fault);
    if (!ok)
        log_drift_finish(drift);
    return ok;
}

void log_drift_finish(struct log_drift *drift)
{
    if (!drift)
        return;
    log_pool_finish(&drift->pool);
    memset(drift, 0, sizeof *drift);
}
