/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is accepted: one transaction a call, on the disk when it returns. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "log/book.h"

static bool can_be_kept(const struct perpend_reading *reading)
{
    return log_is_bearing(reading->bearing) && log_is_real(reading->value) &&
           log_is_real(reading->x) && log_is_real(reading->y);
}

/* The job of a sweep, of a reading, or itself, if it is still open. */
static bool open_job(struct log_book *book, const char *sql, const char *what, int64_t id,
    int64_t *job, struct fault *fault)
{
    bool found = false;
    bool ended = false;
    struct log_query query = log_query_open(book, sql);
    log_bind_int(&query, id);
    if (log_query_row(&query)) {
        found = true;
        *job = log_column_int(&query, 0);
        ended = log_column_int(&query, 1) != 0;
    }
    if (!log_query_close(&query, fault))
        return false;
    if (!found)
        return log_missing_fault(book, what, id, fault);
    if (ended)
        return fault_set(fault, 2,
            "%s: job %lld has ended, so this cannot be added to it; a note "
            "still can ('perpend log note %lld TEXT')",
            book->path, (long long)*job, (long long)*job);
    return true;
}

#define JOB_ITSELF "SELECT id, ended IS NOT NULL FROM job WHERE id = ?"
#define JOB_OF_SWEEP                                                                               \
    "SELECT job.id, ended IS NOT NULL FROM sweep JOIN job ON job.id = sweep.job WHERE sweep.id = " \
    "?"
#define JOB_OF_READING                                                                             \
    "SELECT job.id, ended IS NOT NULL FROM reading JOIN sweep ON sweep.id = reading.sweep "        \
    "JOIN job ON job.id = sweep.job WHERE reading.id = ?"

bool log_open_job_of_sweep(struct log_book *book, int64_t sweep, int64_t *job, struct fault *fault)
{
    return open_job(book, JOB_OF_SWEEP, "sweep", sweep, job, fault);
}

/* Answers that no longer follow from the readings: those of the measurement that a sweep belongs
   to, which begins after the last adjustment before it, and of all later ones. */
static bool drop_answers(struct log_book *book, int64_t job, int64_t sweep, struct fault *fault)
{
    struct log_query query = log_query_open(book,
        "DELETE FROM answer WHERE job = ?1 AND last_sweep > coalesce((SELECT max(sweep.id) FROM "
        "sweep JOIN did ON did.sweep = sweep.id WHERE sweep.job = ?1 AND sweep.id < ?2), 0)");
    log_bind_int(&query, job);
    log_bind_int(&query, sweep);
    return log_query_run(&query, fault);
}

/* ---- a job --------------------------------------------------------------------------------- */

/* The machine's number; 0 when it is not in the log. */
static bool find_machine(
    struct log_book *book, const char *name, int64_t *machine, struct fault *fault)
{
    struct log_query query = log_query_open(book, "SELECT id FROM machine WHERE name = ?");
    *machine = 0;
    log_bind_text(&query, name);
    if (log_query_row(&query))
        *machine = log_column_int(&query, 0);
    return log_query_close(&query, fault);
}

bool log_machine_known(
    struct log_book *book, const char *name, int64_t *machine, struct fault *fault)
{
    if (!find_machine(book, name, machine, fault))
        return false;
    return *machine != 0 || fault_set(fault, 2,
                                "%s: there is no machine called \"%s\" in the log; 'perpend log "
                                "list' shows those there are",
                                book->path, name);
}

static bool keep_machine(
    struct log_book *book, const char *name, int64_t *machine, struct fault *fault)
{
    if (!find_machine(book, name, machine, fault))
        return false;
    if (*machine != 0)
        return true;
    struct log_query query = log_query_open(book, "INSERT INTO machine (name) VALUES (?)");
    log_bind_text(&query, name);
    if (!log_query_run(&query, fault))
        return false;
    *machine = sqlite3_last_insert_rowid(book->db);
    return true;
}

/* The text as the job before it had, when it has not changed, else a new one. */
static bool keep_file(struct log_book *book, int64_t machine, const struct log_start *start,
    int64_t *file, struct fault *fault)
{
    struct log_query query = log_query_open(book,
        "SELECT id FROM machine_file WHERE id = (SELECT machine_file FROM job WHERE machine = ?1 "
        "ORDER BY id DESC LIMIT 1) AND text = ?2");
    *file = 0;
    log_bind_int(&query, machine);
    log_bind_bytes(&query, start->text, start->length);
    if (log_query_row(&query))
        *file = log_column_int(&query, 0);
    if (!log_query_close(&query, fault))
        return false;
    if (*file != 0)
        return true;
    query = log_query_open(book, "INSERT INTO machine_file (machine, text) VALUES (?, ?)");
    log_bind_int(&query, machine);
    log_bind_bytes(&query, start->text, start->length);
    if (!log_query_run(&query, fault))
        return false;
    *file = sqlite3_last_insert_rowid(book->db);
    return true;
}

static bool add_job(struct log_book *book, int64_t machine, int64_t file, const char *path,
    const struct perpend_machine *stated, int64_t *job, struct fault *fault)
{
    struct log_time now = log_time_now();
    struct log_query query = log_query_open(book,
        "INSERT INTO job (machine, machine_file, path, unit, goal, started, started_offset) "
        "VALUES (?, ?, ?, ?, ?, ?, ?)");
    log_bind_int(&query, machine);
    log_bind_int(&query, file);
    log_bind_text(&query, path);
    log_bind_text(&query, stated->unit == PERPEND_UNIT_INCH ? "in" : "mm");
    log_bind_real(&query, stated->goal);
    log_bind_time(&query, &now);
    if (!log_query_run(&query, fault))
        return false;
    *job = sqlite3_last_insert_rowid(book->db);
    return true;
}

char *log_machine_name(const struct perpend_machine *machine, const char *path)
{
    if (machine->name && machine->name[0] != '\0')
        return strdup(machine->name);
    const char *slash = path ? strrchr(path, '/') : NULL;
    char *name = strdup(slash ? slash + 1 : path && path[0] ? path : "machine");
    char *dot = name ? strrchr(name, '.') : NULL;
    if (dot && dot != name)
        *dot = '\0';
    return name;
}

bool log_job_start(
    struct log_book *book, const struct log_start *start, int64_t *job, struct fault *fault)
{
    int64_t machine = 0;
    int64_t file = 0;
    bool mine = false;
    char *path = NULL;
    char *name = log_machine_name(start->machine, start->path);
    if (start->path) {
        path = realpath(start->path, NULL);
        if (!path)
            path = strdup(start->path);
    }
    bool ok = name && (path || !start->path) ? log_begin(book, fault) : log_memory_fault(fault);
    if (ok) {
        ok = keep_machine(book, name, &machine, fault) &&
             keep_file(book, machine, start, &file, fault) &&
             add_job(book, machine, file, path, start->machine, job, fault) &&
             log_claim(book, *job, &mine, fault);
        ok = log_end(book, ok, fault);
    }
    free(name);
    free(path);
    return ok;
}

bool log_job_end(struct log_book *book, int64_t job, enum log_ending ending,
    enum perpend_verdict verdict, struct fault *fault)
{
    int64_t same = 0;
    struct log_time now = log_time_now();
    if (!log_begin(book, fault))
        return false;
    bool ok = open_job(book, JOB_ITSELF, "job", job, &same, fault);
    if (ok) {
        struct log_query query = log_query_open(book,
            "UPDATE job SET ended = ?, ended_offset = ?, ending = ?, verdict = ? WHERE id = ?");
        log_bind_time(&query, &now);
        log_bind_text(&query, log_ending_word(ending));
        log_bind_text(&query, log_verdict_word(verdict));
        log_bind_int(&query, job);
        ok = log_query_run(&query, fault);
    }
    ok = log_end(book, ok, fault);
    if (ok)
        log_unclaim(book, job);
    return ok;
}

/* ---- sweeps and readings ------------------------------------------------------------------- */

bool log_sweep_add(struct log_book *book, int64_t job, const char *name, double x, double y,
    int64_t *sweep, struct fault *fault)
{
    int64_t same = 0;
    struct log_time now = log_time_now();
    if (!log_is_real(x) || !log_is_real(y))
        return fault_set(fault, 2, "a sweep's place must be a number of a usual size");
    if (!log_begin(book, fault))
        return false;
    bool ok = open_job(book, JOB_ITSELF, "job", job, &same, fault);
    if (ok) {
        struct log_query query = log_query_open(
            book, "INSERT INTO sweep (job, name, x, y, at, at_offset) VALUES (?, ?, ?, ?, ?, ?)");
        log_bind_int(&query, job);
        log_bind_text(&query, name);
        log_bind_real(&query, x);
        log_bind_real(&query, y);
        log_bind_time(&query, &now);
        ok = log_query_run(&query, fault);
        *sweep = sqlite3_last_insert_rowid(book->db);
    }
    return log_end(book, ok, fault);
}

static void bind_reading(struct log_query *query, const struct perpend_reading *reading)
{
    log_bind_real(query, reading ? reading->bearing : NAN);
    log_bind_real(query, reading ? reading->value : NAN);
    log_bind_real(query, reading ? reading->x : NAN);
    log_bind_real(query, reading ? reading->y : NAN);
}

static bool add_reading(struct log_book *book, int64_t sweep, const struct perpend_reading *reading,
    const char *typed, struct fault *fault)
{
    struct log_time now = log_time_now();
    struct log_query query = log_query_open(book,
        "INSERT INTO reading (sweep, bearing, value, x, y, typed, at, at_offset) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    log_bind_int(&query, sweep);
    bind_reading(&query, reading);
    log_bind_text(&query, typed);
    log_bind_time(&query, &now);
    return log_query_run(&query, fault);
}

bool log_reading_accept(struct log_book *book, int64_t sweep, const struct perpend_reading *reading,
    const char *typed, int64_t *id, struct fault *fault)
{
    int64_t job = 0;
    int64_t new_id = 0;
    if (!can_be_kept(reading))
        return fault_set(fault, 2, "a reading must be a number of a usual size");
    if (!log_begin(book, fault))
        return false;
    bool ok = log_open_job_of_sweep(book, sweep, &job, fault) &&
              add_reading(book, sweep, reading, typed, fault);
    if (ok) {
        new_id = sqlite3_last_insert_rowid(book->db);
        ok = drop_answers(book, job, sweep, fault);
    }
    ok = log_end(book, ok, fault);
    if (ok && id)
        *id = new_id;
    return ok;
}

static bool add_correction(struct log_book *book, int64_t id, const struct perpend_reading *reading,
    const char *typed, const char *why, struct fault *fault)
{
    struct log_time now = log_time_now();
    struct log_query query = log_query_open(book,
        "INSERT INTO correction (reading, withdraws, bearing, value, x, y, typed, why, at, "
        "at_offset) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    log_bind_int(&query, id);
    log_bind_int(&query, reading == NULL);
    bind_reading(&query, reading);
    log_bind_text(&query, typed);
    log_bind_text(&query, why);
    log_bind_time(&query, &now);
    return log_query_run(&query, fault);
}

static bool sweep_of(struct log_book *book, int64_t reading, int64_t *sweep, struct fault *fault)
{
    struct log_query query = log_query_open(book, "SELECT sweep FROM reading WHERE id = ?");
    log_bind_int(&query, reading);
    if (log_query_row(&query))
        *sweep = log_column_int(&query, 0);
    return log_query_close(&query, fault);
}

/* What was done belongs to the sweep before it: that sweep must keep a reading. */
static bool may_withdraw(struct log_book *book, int64_t sweep, int64_t reading, struct fault *fault)
{
    bool needed = false;
    struct log_query query = log_query_open(book,
        "SELECT EXISTS (SELECT 1 FROM did WHERE sweep = ?1) AND NOT EXISTS ("
        "  SELECT 1 FROM reading WHERE sweep = ?1 AND id <> ?2 AND " LOG_READING_COUNTS ")");
    log_bind_int(&query, sweep);
    log_bind_int(&query, reading);
    if (log_query_row(&query))
        needed = log_column_int(&query, 0) != 0;
    if (!log_query_close(&query, fault))
        return false;
    return !needed || fault_set(fault, 2,
                          "the last reading of a sweep after which something was done cannot be "
                          "withdrawn; correct it instead");
}

/* `reading` NULL withdraws. */
static bool correct(struct log_book *book, int64_t id, const struct perpend_reading *reading,
    const char *typed, const char *why, struct fault *fault)
{
    int64_t job = 0;
    int64_t sweep = 0;
    if (!log_begin(book, fault))
        return false;
    bool ok = open_job(book, JOB_OF_READING, "reading", id, &job, fault) &&
              sweep_of(book, id, &sweep, fault) &&
              (reading || may_withdraw(book, sweep, id, fault)) &&
              add_correction(book, id, reading, typed, why, fault) &&
              drop_answers(book, job, sweep, fault);
    return log_end(book, ok, fault);
}

bool log_reading_correct(struct log_book *book, int64_t id, const struct perpend_reading *reading,
    const char *typed, const char *why, struct fault *fault)
{
    if (!can_be_kept(reading))
        return fault_set(fault, 2, "a reading must be a number of a usual size");
    return correct(book, id, reading, typed, why, fault);
}

bool log_reading_withdraw(struct log_book *book, int64_t id, const char *why, struct fault *fault)
{
    return correct(book, id, NULL, NULL, why, fault);
}

/* ---- a sweep, once more -------------------------------------------------------------------- */

static bool nothing_done_after(struct log_book *book, int64_t sweep, struct fault *fault)
{
    bool done = false;
    struct log_query query =
        log_query_open(book, "SELECT EXISTS (SELECT 1 FROM did WHERE sweep = ?)");
    log_bind_int(&query, sweep);
    if (log_query_row(&query))
        done = log_column_int(&query, 0) != 0;
    if (!log_query_close(&query, fault))
        return false;
    return !done || fault_set(fault, 2,
                        "something was done after that sweep, so it cannot be taken again; begin "
                        "another");
}

/* Whether a sweep is the last of its job that has readings. */
static bool is_last_read(struct log_book *book, int64_t sweep, struct fault *fault)
{
    bool last = true;
    struct log_query query = log_query_open(book,
        "SELECT EXISTS (SELECT 1 FROM sweep JOIN reading ON reading.sweep = sweep.id WHERE "
        "sweep.job = (SELECT job FROM sweep WHERE id = ?1) AND sweep.id > ?1 "
        "AND " LOG_READING_COUNTS ")");
    log_bind_int(&query, sweep);
    if (log_query_row(&query))
        last = log_column_int(&query, 0) == 0;
    if (!log_query_close(&query, fault))
        return false;
    return last || fault_set(fault, 2,
                       "another sweep was read since, so what was done before it stands; begin "
                       "another");
}

static bool withdraw_all(struct log_book *book, int64_t sweep, const char *why, struct fault *fault)
{
    struct log_time now = log_time_now();
    struct log_query query = log_query_open(book,
        "INSERT INTO correction (reading, withdraws, why, at, at_offset) SELECT id, 1, ?, ?, ? "
        "FROM reading WHERE sweep = ? AND " LOG_READING_COUNTS " ORDER BY id");
    log_bind_text(&query, why);
    log_bind_time(&query, &now);
    log_bind_int(&query, sweep);
    return log_query_run(&query, fault);
}

/* A sweep like another, without its readings: of its time, or of now. */
static bool copy_sweep(
    struct log_book *book, int64_t sweep, bool of_its_time, int64_t *copy, struct fault *fault)
{
    struct log_time at = {.utc = ""};
    if (!of_its_time)
        at = log_time_now();
    struct log_query query = log_query_open(book,
        "INSERT INTO sweep (job, name, x, y, at, at_offset) SELECT job, name, x, y, "
        "coalesce(?1, at), CASE WHEN ?1 IS NULL THEN at_offset ELSE ?2 END FROM sweep "
        "WHERE id = ?3");
    log_bind_time(&query, &at);
    log_bind_int(&query, sweep);
    if (!log_query_run(&query, fault))
        return false;
    *copy = sqlite3_last_insert_rowid(book->db);
    return true;
}

/* The readings of a sweep into another, as they count now. */
static bool copy_readings(struct log_book *book, int64_t sweep, int64_t copy, struct fault *fault)
{
    struct log_query query = log_query_open(book,
        "INSERT INTO reading (sweep, bearing, value, x, y, typed, at, at_offset) "
        "SELECT ?1, coalesce(latest.bearing, reading.bearing), "
        "coalesce(latest.value, reading.value), coalesce(latest.x, reading.x), "
        "coalesce(latest.y, reading.y), "
        "CASE WHEN latest.id IS NULL THEN reading.typed ELSE latest.typed END, "
        "reading.at, reading.at_offset FROM reading LEFT JOIN correction AS latest ON latest.id = "
        "(SELECT max(id) FROM correction WHERE correction.reading = reading.id) "
        "WHERE reading.sweep = ?2 AND " LOG_READING_COUNTS " ORDER BY reading.id");
    log_bind_int(&query, copy);
    log_bind_int(&query, sweep);
    return log_query_run(&query, fault);
}

/* Set a sweep aside, where that is `allowed`, for another in its place: with its readings, or to be
   read anew. */
static bool set_aside(struct log_book *book, int64_t sweep, const char *why,
    bool (*allowed)(struct log_book *book, int64_t sweep, struct fault *fault), bool with_readings,
    int64_t *other, struct fault *fault)
{
    int64_t job = 0;
    if (!log_begin(book, fault))
        return false;
    bool ok = open_job(book, JOB_OF_SWEEP, "sweep", sweep, &job, fault) &&
              allowed(book, sweep, fault) && copy_sweep(book, sweep, with_readings, other, fault) &&
              (!with_readings || copy_readings(book, sweep, *other, fault)) &&
              withdraw_all(book, sweep, why, fault) && drop_answers(book, job, sweep, fault);
    return log_end(book, ok, fault);
}

bool log_sweep_again(
    struct log_book *book, int64_t sweep, const char *why, int64_t *again, struct fault *fault)
{
    return set_aside(book, sweep, why, nothing_done_after, false, again, fault);
}

bool log_did_unsay(
    struct log_book *book, int64_t sweep, const char *why, int64_t *copy, struct fault *fault)
{
    return set_aside(book, sweep, why, is_last_read, true, copy, fault);
}
