/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was done after a sweep. */
#include <perpend/mount.h>

#include "log/book.h"

/* It belongs to a sweep with a reading that counts. */
static bool has_readings(struct log_book *book, int64_t sweep, struct fault *fault)
{
    struct log_query query = log_query_open(
        book, "SELECT 1 FROM reading WHERE sweep = ? AND " LOG_READING_COUNTS " LIMIT 1");
    log_bind_int(&query, sweep);
    bool found = log_query_row(&query);
    if (!log_query_close(&query, fault))
        return false;
    return found ||
           fault_set(fault, 2,
               "what was done is recorded after a sweep, and this sweep has no readings; sweep "
               "first");
}

static bool add_entries(struct log_book *book, int64_t id, const struct perpend_mount *mount,
    const struct perpend_did *did, size_t count, struct fault *fault)
{
    for (size_t i = 0; i < count; i++) {
        const struct perpend_joint *joint = &mount->joints[did[i].joint];
        struct log_query query = log_query_open(book,
            "INSERT INTO did_entry (did, ordinal, joint, bolt, move, shim, slide_right, "
            "slide_back, slide_up, turns) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
        log_bind_int(&query, id);
        log_bind_int(&query, (int64_t)i);
        log_bind_text(&query, joint->name);
        log_bind_text(&query, joint->bolts[did[i].bolt].name);
        log_bind_text(&query, perpend_move_name(did[i].move));
        log_bind_real(&query, did[i].move == PERPEND_MOVE_SHIM ? did[i].amount.value : 0.0);
        log_bind_real(&query, did[i].amount.shift.right);
        log_bind_real(&query, did[i].amount.shift.back);
        log_bind_real(&query, did[i].amount.shift.up);
        log_bind_real(&query, did[i].move == PERPEND_MOVE_SCREW ? did[i].amount.value : 0.0);
        if (!log_query_run(&query, fault))
            return false;
    }
    return true;
}

bool log_did(struct log_book *book, int64_t sweep, enum perpend_did_kind kind,
    const struct perpend_mount *mount, const struct perpend_did *did, size_t count,
    struct fault *fault)
{
    int64_t job = 0;
    struct log_time now = log_time_now();
    if (kind == PERPEND_DID_UNSTATED)
        return true;
    if (!log_begin(book, fault))
        return false;
    bool ok = log_open_job_of_sweep(book, sweep, &job, fault) && has_readings(book, sweep, fault);
    if (ok) {
        struct log_query query = log_query_open(
            book, "INSERT INTO did (sweep, kind, at, at_offset) VALUES (?, ?, ?, ?)");
        log_bind_int(&query, sweep);
        log_bind_text(&query, log_did_word(kind));
        log_bind_time(&query, &now);
        ok = log_query_run(&query, fault);
    }
    if (ok && kind != PERPEND_DID_NOTHING)
        ok = add_entries(book, sqlite3_last_insert_rowid(book->db), mount, did, count, fault);
    if (ok) { /* answers to later measurements have learned from it */
        struct log_query query =
            log_query_open(book, "DELETE FROM answer WHERE job = ? AND last_sweep > ?");
        log_bind_int(&query, job);
        log_bind_int(&query, sweep);
        ok = log_query_run(&query, fault);
    }
    return log_end(book, ok, fault);
}
