/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was left last time against what is found today. */
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "log/book.h"

/* When the sweep was, and what came of it. */
static const char first_answer[] =
    "SELECT 0, " LOG_TIME("sweep.at") ", " LOG_ANSWER_COLUMNS " FROM answer AS latest "
                                      "JOIN sweep ON sweep.id = first_sweep WHERE latest.job = ? "
                                      "ORDER BY ordinal LIMIT 1";
static const char last_answer[] = "SELECT " LOG_UNMEASURED ", " LOG_TIME(
    "sweep.at") ", " LOG_ANSWER_COLUMNS
                " FROM answer AS latest JOIN sweep ON sweep.id = last_sweep WHERE latest.job = ? "
                "ORDER BY ordinal DESC LIMIT 1";

/* Where one of them goes; `at` stays empty when there is none. */
struct one {
    struct log_answer *answer;
    struct log_time *at;
    bool *unmeasured;
};

static bool one_answer(
    struct log_book *book, int64_t job, const char *which, struct one one, struct fault *fault)
{
    struct log_query query = log_ask(book, which, LOG_WITH(log_whole(job)));
    if (log_row(&query)) {
        *one.unmeasured = log_column_whole(&query, 0) != 0;
        *one.at = log_column_time(&query, 1);
        *one.answer = log_answer_read(&query, 4);
    }
    return log_done(&query, fault);
}

/* What happened to the machine between the two sweeps; plain remarks on a job are left out. */
static bool find_notes(
    struct log_book *book, int64_t machine, struct log_drift *drift, struct fault *fault)
{
    struct log_note *note;
    struct log_query query = log_ask(book,
        "SELECT " LOG_NOTE_COLUMNS " FROM note WHERE machine = ? AND at BETWEEN ? AND ? "
        "AND (kind <> 'note' OR job IS NULL) ORDER BY at, id",
        LOG_WITH(log_whole(machine), log_text(drift->left_at.utc), log_text(drift->found_at.utc)));
    while ((note = log_next(&query, &drift->notes, &drift->note_count, sizeof *note)))
        *note = log_note_read(&query, 0);
    return log_done(&query, fault);
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
    bool unused;
    drift->job = job;
    if (!log_get(book, "SELECT machine FROM job WHERE id = ?", LOG_WITH(log_whole(job)), &machine,
            fault))
        return false;
    if (machine == 0)
        return log_missing_fault(book, "job", job, fault);
    /* the job before it that measured anything */
    if (!log_get(book,
            "SELECT max(id) FROM job WHERE machine = ?1 AND id < ?2 AND EXISTS (SELECT 1 FROM "
            "answer WHERE answer.job = job.id)",
            LOG_WITH(log_whole(machine), log_whole(job)), &drift->before, fault) ||
        !one_answer(book, job, first_answer, (struct one){&drift->found, &drift->found_at, &unused},
            fault) ||
        !one_answer(book, drift->before, last_answer,
            (struct one){&drift->left, &drift->left_at, &drift->left_unmeasured}, fault))
        return false;
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
    for (size_t i = 0; i < drift->note_count; i++)
        free(drift->notes[i].text);
    free(drift->notes);
    memset(drift, 0, sizeof *drift);
}
