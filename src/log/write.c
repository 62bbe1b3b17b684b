/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is accepted: one transaction a call, on the disk when it returns. What must not be (an ended
   job, a sweep without readings) the file itself refuses (schema.c), and it drops the answers that no
   longer follow. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/mount.h>

#include "log/book.h"
#include "log/schema.h"

/* One statement that returns the number of what it wrote, 0 (or no row) for nothing: then it is
   `refused`, with status 2. */
static bool write_one(struct log_book *book, const char *sql, const struct log_value *values,
    int64_t *id, const char *refused, struct fault *fault)
{
    int64_t number = 0;
    if (!log_begin(book, fault))
        return false;
    bool ok = log_get(book, sql, values, &number, fault) &&
              (number != 0 || fault_set(fault, 2, "%s", refused));
    ok = log_end(book, ok, fault);
    if (ok && id)
        *id = number;
    return ok;
}

/* ---- a job --------------------------------------------------------------------------------- */

static bool is_blank(const char *text)
{
    return text[strspn(text, " \t\r\n")] == '\0';
}

char *log_machine_name(const struct perpend_machine *machine, const char *path)
{
    if (machine->name && !is_blank(machine->name))
        return strdup(machine->name);
    const char *slash = path ? strrchr(path, '/') : NULL;
    const char *file = slash ? slash + 1 : path;
    char *name = strdup(file && !is_blank(file) ? file : "machine");
    char *dot = name ? strrchr(name, '.') : NULL;
    if (dot && dot != name)
        *dot = '\0';
    return name;
}

/* The machine by its name, made when there is none. */
static bool find_machine(
    struct log_book *book, const char *name, int64_t *machine, struct fault *fault)
{
    const struct log_value *values = LOG_WITH(log_text(name));
    return log_run(book, "INSERT INTO machine (name) SELECT ?1 WHERE " LOG_MACHINE("?1") " IS NULL",
               values, fault) &&
           log_get(book, "SELECT " LOG_MACHINE("?1"), values, machine, fault);
}

/* The text as the machine's newest file; that one's, when it has not changed. */
static bool add_file(struct log_book *book, const struct log_start *start, int64_t machine,
    int64_t *file, struct fault *fault)
{
    const struct log_value *values =
        LOG_WITH(log_whole(machine), log_bytes(start->text, start->length));
    return log_run(book,
               "INSERT INTO machine_file (machine, text) SELECT ?1, ?2 WHERE (SELECT text FROM "
               "machine_file WHERE machine = ?1 ORDER BY id DESC LIMIT 1) IS NOT ?2",
               values, fault) &&
           log_get(
               book, "SELECT max(id) FROM machine_file WHERE machine = ?1", values, file, fault);
}

/* What could not be read again is not taken. */
static bool reads_back(const struct perpend_machine *machine, const char *head, struct fault *fault)
{
    struct perpend_job job = {0};
    bool ok = job_head_parse(head, strlen(head), "job", machine, &job, fault);
    perpend_job_finish(&job);
    return ok;
}

bool log_job_add(struct log_book *book, const struct log_start *start,
    const struct log_source *source, int64_t *job, struct fault *fault)
{
    char *name = log_machine_name(start->machine, start->path);
    struct log_record row = {
        .machine_path = start->path ? realpath(start->path, NULL) : NULL,
        .head = start->head ? job_head_write(start->machine, start->head) : NULL,
        .unit = start->machine->unit,
        .goal = start->machine->goal,
        .started = source->started,
        .source = source->digest,
    };
    if (start->path && !row.machine_path)
        row.machine_path = strdup(start->path);
    bool ok = name && (row.machine_path || !start->path) && (row.head || !start->head)
                  ? (!row.head || reads_back(start->machine, row.head, fault)) &&
                        find_machine(book, name, &row.machine_id, fault) &&
                        add_file(book, start, row.machine_id, &row.file_id, fault) &&
                        log_add(book, &log_jobs, &row, job, fault)
                  : log_memory_fault(fault);
    free(name);
    free(row.machine_path);
    free(row.head);
    return ok;
}

bool log_job_start(
    struct log_book *book, const struct log_start *start, int64_t *job, struct fault *fault)
{
    bool mine = false;
    const struct log_source now = {.digest = 0};
    return log_begin(book, fault) &&
           log_end(book,
               log_job_add(book, start, &now, job, fault) && log_claim(book, *job, &mine, fault),
               fault);
}

bool log_job_machine(struct log_book *book, int64_t job, const char *name,
    const struct log_start *start, struct fault *fault)
{
    int64_t machine = 0, file = 0;
    char *head = NULL;
    if (!log_begin(book, fault))
        return false;
    bool ok = find_machine(book, name, &machine, fault) &&
              add_file(book, start, machine, &file, fault) &&
              log_head_for(book, job, start->machine, &head, fault) &&
              log_run(book, "UPDATE job SET goal = ?2, machine_file = ?3, head = ?4 WHERE id = ?1",
                  LOG_WITH(log_whole(job), log_real(start->machine->goal.ridge), log_whole(file),
                      log_text(head)),
                  fault);
    free(head);
    return log_end(book, ok, fault);
}

bool log_job_end(struct log_book *book, int64_t job, enum log_ending ending,
    enum perpend_verdict verdict, struct fault *fault)
{
    int64_t ended = 0;
    if (!log_begin(book, fault))
        return false;
    bool ok = log_get(book,
        "UPDATE job SET ended = " LOG_NOW ", ended_offset = " LOG_OFFSET
        ", ending = ?2, verdict = ?3, digest = NULL WHERE id = ?1 RETURNING id",
        LOG_WITH(log_whole(job), log_text(log_endings.words[ending]),
            log_text(log_verdicts.words[verdict])),
        &ended, fault);
    ok = ok && (ended != 0 || log_missing_fault(book, "job", job, fault)) &&
         log_run(book, "DELETE FROM claim WHERE job = ?", LOG_WITH(log_whole(job)), fault);
    return log_end(book, ok, fault);
}

/* ---- sweeps and readings ------------------------------------------------------------------- */

/* One row in a transaction of its own. */
static bool add_one(struct log_book *book, const struct log_table *table, const void *row,
    int64_t *id, struct fault *fault)
{
    return log_begin(book, fault) && log_end(book, log_add(book, table, row, id, fault), fault);
}

bool log_sweep_add(struct log_book *book, int64_t job, const struct perpend_sweep *sweep,
    int64_t *id, struct fault *fault)
{
    const struct log_sweep row = {.job = job, .name = sweep->name, .x = sweep->x, .y = sweep->y};
    return add_one(book, &log_sweeps, &row, id, fault);
}

bool log_reading_accept(struct log_book *book, int64_t sweep, const struct perpend_reading *reading,
    const char *typed, int64_t *id, struct fault *fault)
{
    const struct log_reading row = {.sweep = sweep, .first = *reading, .typed = (char *)typed};
    return add_one(book, &log_readings, &row, id, fault);
}

bool log_cut_accept(struct log_book *book, int64_t sweep, const struct perpend_cut_reading *cut,
    const char *typed, int64_t *id, struct fault *fault)
{
    const struct log_reading row = {.sweep = sweep,
        .first = {.bearing = cut->higher, .value = cut->step},
        .cut = 1,
        .typed = (char *)typed};
    return add_one(book, &log_readings, &row, id, fault);
}

bool log_reading_correct(struct log_book *book, int64_t id, const struct perpend_reading *reading,
    const char *typed, const char *why, struct fault *fault)
{
    const struct log_correction row = {
        .of = id, .reading = *reading, .typed = (char *)typed, .why = (char *)why};
    return add_one(book, &log_corrections, &row, NULL, fault);
}

bool log_reading_withdraw(struct log_book *book, int64_t id, const char *why, struct fault *fault)
{
    /* what was done belongs to the sweep before it: that sweep must keep a reading */
    return write_one(book,
        "INSERT INTO correction (reading, withdraws, why) SELECT id, 1, ?2 FROM reading AS this "
        "WHERE id = ?1 AND (NOT EXISTS (SELECT 1 FROM did WHERE did.sweep = this.sweep) OR EXISTS "
        "(SELECT 1 FROM counted WHERE counted.sweep = this.sweep AND counted.id <> ?1)) "
        "RETURNING id",
        LOG_WITH(log_whole(id), log_text(why)), NULL,
        "the last reading of a sweep after which something was done cannot be withdrawn; correct "
        "it instead",
        fault);
}

/* ---- a sweep, once more -------------------------------------------------------------------- */

/* How a sweep is set aside for another in its place. */
struct aside {
    const char *make;    /* SQL that makes the other where that is allowed */
    bool with_readings;  /* as they count now; else it is to be read anew */
    const char *refused; /* where it is not allowed */
};

static bool set_aside(struct log_book *book, int64_t sweep, const char *why,
    const struct aside *aside, int64_t *other, struct fault *fault)
{
    if (!log_begin(book, fault))
        return false;
    bool ok = log_get(book, aside->make, LOG_WITH(log_whole(sweep)), other, fault) &&
              (*other != 0 || fault_set(fault, 2, "%s", aside->refused));
    if (ok && aside->with_readings)
        ok = log_run(book,
            "INSERT INTO reading (sweep, bearing, value, x, y, cut, typed, at, at_offset) SELECT "
            "?2, "
            "bearing, value, x, y, cut, typed, at, at_offset FROM counted WHERE sweep = ?1 ORDER "
            "BY id",
            LOG_WITH(log_whole(sweep), log_whole(*other)), fault);
    ok = ok && log_run(book,
                   "INSERT INTO correction (reading, withdraws, why) "
                   "SELECT id, 1, ?2 FROM counted WHERE sweep = ?1 ORDER BY id",
                   LOG_WITH(log_whole(sweep), log_text(why)), fault);
    return log_end(book, ok, fault);
}

bool log_sweep_again(
    struct log_book *book, int64_t sweep, const char *why, int64_t *again, struct fault *fault)
{
    static const struct aside anew = {
        "INSERT INTO sweep (job, name, x, y) SELECT job, name, x, y FROM sweep WHERE id = ?1 AND "
        "NOT EXISTS (SELECT 1 FROM did WHERE sweep = ?1) RETURNING id",
        false, "something was done after that sweep, so it cannot be taken again; begin another"};
    return set_aside(book, sweep, why, &anew, again, fault);
}

bool log_did_unsay(
    struct log_book *book, int64_t sweep, const char *why, int64_t *copy, struct fault *fault)
{
    static const struct aside same = {
        "INSERT INTO sweep (job, name, x, y, at, at_offset) SELECT job, name, x, y, at, at_offset "
        "FROM sweep AS this WHERE id = ?1 AND NOT EXISTS (SELECT 1 FROM sweep JOIN counted ON "
        "counted.sweep = sweep.id WHERE sweep.job = this.job AND sweep.id > ?1) RETURNING id",
        true, "another sweep was read since, so what was done before it stands; begin another"};
    return set_aside(book, sweep, why, &same, copy, fault);
}

/* ---- what was done ------------------------------------------------------------------------- */

bool log_did(struct log_book *book, int64_t sweep, const struct perpend_mount *mount,
    const struct perpend_sweep *done, struct fault *fault)
{
    int64_t number = 0;
    if (done->did_kind == PERPEND_DID_UNSTATED)
        return true;
    if (!log_begin(book, fault))
        return false;
    bool ok = log_get(book, "INSERT INTO did (sweep, kind, sure) VALUES (?, ?, ?) RETURNING id",
        LOG_WITH(log_whole(sweep), log_text(log_did_kinds.words[done->did_kind]),
            log_whole(done->did_sure)),
        &number, fault);
    for (size_t i = 0; i < done->did_count && ok; i++) {
        const struct perpend_did *did = &done->did[i];
        const struct perpend_joint *joint = &mount->joints[did->joint];
        const struct log_did_entry row = {.did = number,
            .ordinal = (int64_t)i + 1,
            .joint = joint->name,
            .bolt = joint->bolts[did->bolt].name,
            .move = did->move,
            .amount = did->amount};
        ok = log_add(book, &log_did_entries, &row, NULL, fault);
    }
    return log_end(book, ok, fault);
}

/* ---- notes --------------------------------------------------------------------------------- */

bool log_note(struct log_book *book, const struct log_about *about, enum log_note_kind kind,
    const char *text, struct fault *fault)
{
    struct fault missing;
    struct log_value word = log_text(log_note_kinds.words[kind]);
    if (is_blank(text))
        return fault_set(fault, 2, "the note is empty; write what happened");
    if (strlen(text) > LOG_NOTE_MOST)
        return fault_set(fault, 2,
            "the note has %zu bytes; the log takes %d at most, so shorten it", strlen(text),
            LOG_NOTE_MOST);
    if (about->sweep == 0 && about->job == 0) {
        const char *machine = about->machine ? about->machine : "";
        log_no_machine(book, machine, &missing);
        return write_one(book,
            "INSERT INTO note (machine, kind, text) SELECT id, ?2, ?3 FROM machine WHERE id "
            "= " LOG_MACHINE("?1") " RETURNING id",
            LOG_WITH(log_text(machine), word, log_text(text)), NULL, missing.text, fault);
    }
    log_missing_fault(
        book, about->sweep ? "sweep" : "job", about->sweep ? about->sweep : about->job, &missing);
    return write_one(book,
        "INSERT INTO note (machine, job, sweep, kind, text) SELECT machine, id, nullif(?2, 0), ?3, "
        "?4 FROM job WHERE id = CASE ?2 WHEN 0 THEN ?1 ELSE (SELECT job FROM sweep WHERE id = ?2) "
        "END RETURNING id",
        LOG_WITH(log_whole(about->job), log_whole(about->sweep), word, log_text(text)), NULL,
        missing.text, fault);
}

bool log_measured_add(
    struct log_book *book, int64_t job, double along_x, double along_y, struct fault *fault)
{
    return log_begin(book, fault) &&
           log_end(book,
               log_run(book, "INSERT INTO measured (job, along_x, along_y) VALUES (?, ?, ?)",
                   LOG_WITH(log_whole(job), log_real(along_x), log_real(along_y)), fault),
               fault);
}

bool log_rename(struct log_book *book, const char *name, const char *now, struct fault *fault)
{
    int64_t machine = 0, taken = 0;
    const struct log_value *values = LOG_WITH(log_text(name), log_text(now));
    if (is_blank(now) || strlen(now) > LOG_NAME_MOST || strpbrk(now, "\r\n"))
        return fault_set(fault, 2, "a machine's name is 1 to %d bytes on one line", LOG_NAME_MOST);
    if (!log_begin(book, fault))
        return false;
    bool ok =
        log_get(book, "SELECT " LOG_MACHINE("?1"), values, &machine, fault) &&
        (machine != 0 || log_no_machine(book, name, fault)) &&
        log_get(book, "SELECT " LOG_MACHINE("?2"), values, &taken, fault) &&
        (taken == 0 || taken == machine ||
            fault_set(fault, 2, "%s: another machine is or was called \"%s\"; choose another name",
                book->path, now)) &&
        log_run(book,
            "INSERT INTO former (name, machine) SELECT name, id FROM machine WHERE id "
            "= " LOG_MACHINE("?1") " ON CONFLICT DO NOTHING",
            values, fault) &&
        log_run(book, "UPDATE job SET digest = NULL WHERE machine = ?",
            LOG_WITH(log_whole(machine)), fault) &&
        log_run(book, "UPDATE machine SET name = ?2 WHERE id = ?1",
            LOG_WITH(log_whole(machine), log_text(now)), fault);
    return log_end(book, ok, fault);
}

/* ---- answers: worked out from the readings, kept so that nobody has to wait for them --------- */

/* The log's number of a sweep of record->job. */
static int64_t sweep_id(const struct log_record *record, size_t in_job)
{
    for (size_t i = 0; i < record->sweep_count; i++)
        if (record->sweeps[i].in_job == in_job)
            return record->sweeps[i].id;
    return 0;
}

struct log_answer log_answer_of(const struct perpend_measurement *measurement)
{
    const struct perpend_fit *fit = &measurement->fit;
    return (struct log_answer){
        .readings = measurement->reading_count,
        .lean = fit->lean,
        .covariance = fit->lean_covariance,
        .includes_bed = fit->includes_bed,
        .bed = fit->bed_separated ? fit->bed : (struct perpend_slope){NAN, NAN},
        .ridge = measurement->ridge.height,
        .low = measurement->distribution.low,
        .high = measurement->distribution.high,
        .chance = measurement->distribution.chance,
        .verdict = measurement->verdict,
    };
}

bool log_answers_store(struct log_book *book, const struct log_record *record,
    const struct perpend_solution *solution, struct fault *fault)
{
    if (!log_begin(book, fault))
        return false;
    bool ok =
        log_run(book, "DELETE FROM answer WHERE job = ?", LOG_WITH(log_whole(record->id)), fault);
    for (size_t i = 0; i < solution->measurement_count && ok; i++) {
        const struct perpend_measurement *measurement = &solution->measurements[i];
        struct log_answer row = log_answer_of(measurement);
        row.job = record->id;
        row.ordinal = (int64_t)i + 1;
        row.first_sweep = sweep_id(record, measurement->first_sweep);
        row.last_sweep = sweep_id(record, measurement->first_sweep + measurement->sweep_count - 1);
        row.program = PERPEND_VERSION;
        ok = log_add(book, &log_answers, &row, NULL, fault);
    }
    return log_end(book, ok, fault);
}

bool log_answers_renew(struct log_book *book, int64_t job, struct fault *fault)
{
    struct log_solved solved;
    if (!log_solve(book, job, &solved, fault))
        return false;
    bool ok = log_answers_store(book, &solved.record, &solved.solution, fault);
    log_solved_finish(&solved);
    return ok;
}
