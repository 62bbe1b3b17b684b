/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was left last time against what is found today. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "log/book.h"

/* The job before this one on the same machine that measured anything. */
static bool find_before(
    struct log_book *book, int64_t job, int64_t *before, int64_t *machine, struct fault *fault)
{
    bool found = false;
    struct log_query query = log_query_open(book,
        "SELECT machine, (SELECT max(id) FROM job AS earlier WHERE earlier.machine = job.machine "
        "AND earlier.id < job.id AND EXISTS (SELECT 1 FROM answer WHERE answer.job = earlier.id)) "
        "FROM job WHERE id = ?");
    log_bind_int(&query, job);
    if (log_query_row(&query)) {
        found = true;
        *machine = log_column_int(&query, 0);
        *before = log_column_int(&query, 1);
    }
    if (!log_query_close(&query, fault))
        return false;
    return found || log_missing_fault(book, "job", job, fault);
}

/* When the sweep was, and what came of it. */
static const char first_answer[] =
    "SELECT sweep.at, sweep.at_offset, 0, " LOG_ANSWER_COLUMNS " FROM answer AS latest "
    "JOIN sweep ON sweep.id = first_sweep WHERE latest.job = ? ORDER BY ordinal LIMIT 1";
static const char last_answer[] =
    "SELECT sweep.at, sweep.at_offset, " LOG_UNMEASURED ", " LOG_ANSWER_COLUMNS
    " FROM answer AS latest JOIN sweep ON sweep.id = last_sweep WHERE latest.job = ? "
    "ORDER BY ordinal DESC LIMIT 1";

static bool one_answer(struct log_book *book, int64_t job, const char *which,
    struct log_answer *answer, struct log_time *at, bool *unmeasured, bool *found,
    struct fault *fault)
{
    struct log_query query = log_query_open(book, which);
    *found = false;
    log_bind_int(&query, job);
    if (log_query_row(&query)) {
        *found = true;
        *at = log_column_time(&query, 0);
        *unmeasured = log_column_int(&query, 2) != 0;
        *answer = log_answer_read(&query, 3);
        free(answer->program);
        answer->program = NULL;
    }
    return log_query_close(&query, fault);
}

/* What happened to the machine between the two sweeps; plain remarks on a job are left out. */
static bool find_notes(
    struct log_book *book, int64_t machine, struct log_drift *drift, struct fault *fault)
{
    struct log_query query = log_query_open(book,
        "SELECT " LOG_NOTE_COLUMNS " FROM note WHERE machine = ? AND at >= ? AND at <= ? "
        "AND (kind <> 'note' OR job IS NULL) ORDER BY at, id");
    log_bind_int(&query, machine);
    log_bind_text(&query, drift->left_at.utc);
    log_bind_text(&query, drift->found_at.utc);
    while (log_query_row(&query) &&
           log_query_room(&query, &drift->notes, drift->note_count, sizeof *drift->notes)) {
        drift->notes[drift->note_count++] = log_note_read(&query, 0);
    }
    return log_query_close(&query, fault);
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
    bool found = false;
    bool unused;
    drift->job = job;
    if (!find_before(book, job, &drift->before, &machine, fault))
        return false;
    if (drift->before == 0)
        return true;
    if (!one_answer(
            book, job, first_answer, &drift->found, &drift->found_at, &unused, &found, fault))
        return false;
    if (found && !one_answer(book, drift->before, last_answer, &drift->left, &drift->left_at,
                     &drift->left_unmeasured, &found, fault))
        return false;
    if (!found) {
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
    ok = log_end(book, ok, fault) && log_still(book, fault);
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
