/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LOG_H
#define LOG_H

/**
 * The maintenance log: every job on every machine, in one SQLite file.
 *
 * What is accepted is on the disk before the call returns (one transaction a call, SQLite's rollback
 * journal with extra synchronisation: beside the log nothing stays, and reading it writes nothing). Nothing that was accepted is ever changed: a correction is added beside the
 * reading and counts from then on; the history stays. Only the answers are replaced, since they
 * follow from the readings.
 *
 * Every function that can fail returns true, or false with one line in `fault` (status 2: bad
 * input, such as a file that is no log or a job that is not there; 3: disk, permissions, damage). A
 * log that is damaged, newer than the program, read-only, on a full disk or not a log at all is
 * left as it is, to the byte.
 *
 * One book belongs to one thread. Several processes may have the same log open.
 *
 * A session at the machine: log_open; log_unfinished and log_claim to take a job up again, or
 * log_carry and log_job_start for a new one; log_sweep_add; log_reading_accept a reading, acknowledged
 * on the screen only when it returned true; log_load, perpend_job_solve, log_answers_store;
 * log_drift_find once the first answer is stored; log_did after the hands have worked, and the next
 * sweep; log_job_end, log_close.
 */

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <perpend/drift.h>
#include <perpend/job.h>
#include <perpend/machine.h>

#include "files/files.h"

/* ---- opening ------------------------------------------------------------------------------- */

/** An open log. */
struct log_book;

enum log_access {
    LOG_READ, /* the file must be there; nothing is written, unless it is of an earlier version: that is
                 brought up to date */
    LOG_ADD,  /* the file must be there, and is written to */
    LOG_WRITE /* begun, with its folders, when it is not there or empty */
};

/** $XDG_DATA_HOME/perpend/log.sqlite, or ~/.local/share/perpend/log.sqlite; by malloc, NULL with a
 *  fault when neither variable helps or memory is out. */
char *log_default_path(struct fault *fault);

/**
 * Given:    path   the log, or NULL for the default path
 *           access
 * Returned: book   release with log_close
 * Errors:   LOG_READ, LOG_ADD: no such file is status 2
 */
bool log_open(
    const char *path, enum log_access access, struct log_book **book, struct fault *fault);

/** Close it; NULL is fine. Nothing accepted waits for this. */
void log_close(struct log_book *book);

/** The path it was opened by, for messages; lives as long as the book. */
const char *log_path(const struct log_book *book);

/* ---- time ---------------------------------------------------------------------------------- */

/** A moment, to the second. */
struct log_time {
    char utc[24];  /* "2026-05-06T07:08:09Z"; "" for not yet */
    char wall[24]; /* "2026-05-06 09:08:09", as the clock on the wall showed it; "" */
    int offset;    /* minutes that it was ahead of UTC */
};

/** "2026-05-06 09:08", as the clock on the wall showed it; the day alone; "-" for not yet. With the
 *  offset, by ISO 8601: "2026-05-06T09:08:09+02:00"; "" for not yet. */
#define LOG_TIME_TEXT 24
#define LOG_TIME_ISO 32
char *log_time_text(char buffer[LOG_TIME_TEXT], const struct log_time *time);
char *log_day_text(char buffer[LOG_TIME_TEXT], const struct log_time *time);
char *log_time_iso(char buffer[LOG_TIME_ISO], const struct log_time *time);
struct perpend_moment log_moment(const struct log_time *time);

/* ---- writing ------------------------------------------------------------------------------- */

struct log_start {
    const struct perpend_machine *machine;
    const char *path; /* the machine file; kept absolute, for log_last_machine; NULL: none */
    const char *text; /* the file's text as it is now, kept with the job */
    size_t length;
    const struct perpend_job
        *head; /* who, where it begins; its sweeps do not count. NULL: nothing */
};

/** What a machine is called in the log: its name, else its file's name without folder and
 *  ending. By malloc; NULL when memory is out. */
char *log_machine_name(const struct perpend_machine *machine, const char *path);

/** Start a job; it is claimed (see log_claim) for this book. */
bool log_job_start(
    struct log_book *book, const struct log_start *start, int64_t *job, struct fault *fault);

/** Give an open job on the machine of that name another machine file: another bit, goal or stock, on the
 *  same mount. The one before stays in the log; the job's answers go. start->path is not looked at. */
bool log_job_machine(struct log_book *book, int64_t job, const char *name,
    const struct log_start *start, struct fault *fault);

/**
 * What the machine's last job leaves to the next: shims in the mount, leaves on hand, and what the
 * mount was seen to do, faded.
 *
 * Given:    start  its machine may be described otherwise now: what no longer has a bolt or a kind of
 *                  leaf is left out, and a kind whose count was changed is taken as counted
 * Returned: head   zeroed before; `inside`, `stock` and `learned` filled, by malloc
 *           from   that job; 0: there is none, or it cannot be worked out
 */
bool log_carry(struct log_book *book, const struct log_start *start, struct perpend_job *head,
    int64_t *from, struct fault *fault);

/** A sweep within a job, of which the name and the place count; the order of the calls is the order of
 *  the job. Returned: id */
bool log_sweep_add(struct log_book *book, int64_t job, const struct perpend_sweep *sweep,
    int64_t *id, struct fault *fault);

/**
 * Accept one reading: it is on the disk when this returns true.
 *
 * Given:    sweep
 *           reading  in the library's units, its place (x, y) filled in
 *           typed    what the operator typed, kept beside it; NULL: not typed
 * Returned: id       of the reading, to correct it by; NULL when not wanted
 */
bool log_reading_accept(struct log_book *book, int64_t sweep, const struct perpend_reading *reading,
    const char *typed, int64_t *id, struct fault *fault);

/** Accept one step of a test cut, likewise; corrected and withdrawn by its id as a reading is. */
bool log_cut_accept(struct log_book *book, int64_t sweep, const struct perpend_cut_reading *cut,
    const char *typed, int64_t *id, struct fault *fault);

/** Correct a reading: the new one counts in its place, the old one stays in the history. Also
 *  brings back one that was withdrawn. `why` may be NULL. */
bool log_reading_correct(struct log_book *book, int64_t id, const struct perpend_reading *reading,
    const char *typed, const char *why, struct fault *fault);

/** Withdraw a reading: it no longer counts, and stays in the history. Refused (status 2) for the
 *  last reading of a sweep after which something was done. `why` may be NULL. */
bool log_reading_withdraw(struct log_book *book, int64_t id, const char *why, struct fault *fault);

/**
 * Take a sweep again: none of its readings counts from now on, all stay in the history, and a new
 * sweep of its name and place stands ready. Refused (status 2) for a sweep after which something
 * was done.
 *
 * Given:    sweep
 *           why    may be NULL
 * Returned: again  the new sweep
 */
bool log_sweep_again(
    struct log_book *book, int64_t sweep, const char *why, int64_t *again, struct fault *fault);

/**
 * Record what was done after a sweep that has readings; said again, the last time counts.
 *
 * Given:    mount  the machine's, for the names
 *           done   its did_kind, did_sure and did count: the entries of a LIST, and those of a PLAN, as
 *                  a later version may plan otherwise; none if unknown
 */
bool log_did(struct log_book *book, int64_t sweep, const struct perpend_mount *mount,
    const struct perpend_sweep *done, struct fault *fault);

/**
 * Take back that anything was said to be done after the last sweep that has readings: it is set
 * aside with all that was said, which stays in the history, and a copy of it, its readings as they
 * count now, stands in its place. Refused (status 2) when a later sweep has readings.
 *
 * Given:    sweep
 *           why    may be NULL
 * Returned: copy   the sweep that counts
 */
bool log_did_unsay(
    struct log_book *book, int64_t sweep, const char *why, int64_t *copy, struct fault *fault);

/** What a note is about. "note", "crash", "bit", "move", "repair" in the file and the command. */
enum log_note_kind { LOG_NOTE, LOG_CRASH, LOG_NEW_BIT, LOG_MOVED, LOG_REPAIR };
#define LOG_NOTE_KINDS 5
const char *log_note_word(enum log_note_kind kind);

/** Where a note belongs: a sweep, else a job, else a machine by its name. */
struct log_about {
    int64_t sweep, job;  /* 0: none */
    const char *machine; /* only looked at without sweep and job; must be in the log */
};

bool log_note(struct log_book *book, const struct log_about *about, enum log_note_kind kind,
    const char *text, struct fault *fault);

/**
 * Store the answers of a job's measurements, replacing those there: the list, drift and report
 * read them without computing anything. Readings that come in, are corrected or withdrawn later
 * remove the answers they touch.
 *
 * Given:    record    as loaded by log_load: the solution's sweeps are those of record->job
 *           solution  of record->machine and record->job
 */
struct log_record;
bool log_answers_store(struct log_book *book, const struct log_record *record,
    const struct perpend_solution *solution, struct fault *fault);

/**
 * Take in a job that stands in two files, once however often it is told.
 *
 * Given:    start  its head does not count
 *           job    of its machine
 * Returned: id     the job's number; of the one that is there when *known
 */
bool log_import(struct log_book *book, const struct log_start *start, const struct perpend_job *job,
    int64_t *id, bool *known, struct fault *fault);

/** The same for a job by its number, worked out anew: after a correction. */
bool log_answers_renew(struct log_book *book, int64_t job, struct fault *fault);

/** A ridge was felt or measured on what the machine cut, mm; NAN: not that way. Also after the job has
 *  ended; said again, the last one counts and the others stay. */
bool log_measured_add(
    struct log_book *book, int64_t job, double along_x, double along_y, struct fault *fault);

/** Call a machine otherwise. All its jobs and notes are found under the new name and the old one.
 *  Refused (status 2) for a name that another machine has or had. */
bool log_rename(struct log_book *book, const char *name, const char *now, struct fault *fault);

#define LOG_NAME_MOST 120  /* bytes of a machine's name, as in its file */
#define LOG_NOTE_MOST 2000 /* bytes of a note */

enum log_ending {
    LOG_OPEN,    /* not ended: to be taken up again */
    LOG_DONE,    /* the operator was content, or stopped for good */
    LOG_GIVEN_UP /* dropped: will not be offered again */
};

/** End a job, with the verdict of its last measurement; it is no longer claimed. */
bool log_job_end(struct log_book *book, int64_t job, enum log_ending ending,
    enum perpend_verdict verdict, struct fault *fault);

/* ---- taking up again ----------------------------------------------------------------------- */

/** The latest job on a machine (NULL: on any) that is open and that no other process holds; 0
 *  for none. */
bool log_unfinished(struct log_book *book, const char *machine, int64_t *job, struct fault *fault);

/** Hold a job for this process, until it is ended, the book is closed or the process dies in any
 *  way; `mine` is false when another process holds it. */
bool log_claim(struct log_book *book, int64_t job, bool *mine, struct fault *fault);

/** The machine file that the latest job was started with; NULL when there is none. By malloc. */
bool log_last_machine(struct log_book *book, char **path, struct fault *fault);

/* ---- one job, whole ------------------------------------------------------------------------ */

/** Memory of what was loaded, released with it as a whole; a zeroed one is ready. */
struct log_pool {
    void *last;
};
void log_pool_finish(struct log_pool *pool);

struct log_correction {
    int64_t of; /* the reading */
    struct log_time at;
    bool withdraws;
    struct perpend_reading reading; /* unless withdrawn */
    char *typed, *why;              /* may be NULL */
};

struct log_reading {
    int64_t id, sweep;
    struct log_time at;
    struct perpend_reading first;   /* as accepted */
    struct perpend_reading reading; /* as it counts now */
    int64_t cut; /* 1: a step of a test cut, its bearing that of the higher side; 0: a reading */
    bool counts; /* false: withdrawn */
    char *typed; /* of `first`; may be NULL */
    struct log_correction *corrections;
    size_t correction_count;
};

/** One bolt's share of what was done, by name, so that it can be shown without the mount. */
struct log_did_entry {
    int64_t did, sweep, ordinal;
    char *joint, *bolt;
    enum perpend_move move;
    struct perpend_amount amount;
};

struct log_sweep {
    int64_t id, job;
    struct log_time at;
    char *name, *date; /* `date` as an imported file says it, else NULL */
    double x, y;
    struct log_reading *readings; /* also those withdrawn */
    size_t reading_count;
    struct log_reading *cuts; /* the steps of a test cut, likewise; behind the readings in memory */
    size_t cut_count;
    size_t in_job; /* index into record.job.sweeps; LOG_NO_SWEEP: no reading counts */
    enum perpend_did_kind did_kind;
    bool did_sure; /* it was asked whether it was so */
    struct log_time did_at;
    struct log_did_entry *did;
    size_t did_count;
};
#define LOG_NO_SWEEP ((size_t)-1)

size_t log_sweep_counted(const struct log_sweep *sweep); /* readings that count */

struct log_note {
    int64_t id;
    struct log_time at;
    enum log_note_kind kind;
    int64_t job, sweep; /* 0: none */
    char *text;
};

/** The answer to one measurement as it was stored. */
struct log_answer {
    int64_t job, ordinal, first_sweep, last_sweep;
    size_t readings;
    struct perpend_slope lean;
    struct perpend_slope_covariance covariance;
    bool includes_bed;
    struct perpend_slope bed; /* NAN when it is not known */
    double ridge, low, high;  /* mm; 95 % coverage interval */
    double chance;            /* NAN without a goal */
    enum perpend_verdict verdict;
    struct log_time at;
    char *program;                /* the version that worked it out */
    struct log_time began, swept; /* its first and its last sweep */
    bool unmeasured;              /* of the last: something was done after it */
};
/** Whether the bed's slope was told apart from the lean. */
bool log_bed_separated(const struct log_answer *answer);

struct log_record {
    int64_t id;
    struct log_time started, ended;
    enum log_ending ending;
    enum perpend_verdict verdict; /* as ended; NO_GOAL while open */
    char *machine_name;
    char *machine_path; /* may be NULL */
    char *machine_text; /* the machine file as it was then */
    size_t machine_length;
    enum perpend_unit unit;
    struct perpend_goal goal; /* the ridge's also where the machine file cannot be read */
    char *head;               /* what a job file says before its sweeps; NULL: nothing */
    int64_t source; /* not 0: from files; their digest, and their times are all that is known */
    int64_t machine_id, file_id;

    struct log_sweep *sweeps;
    size_t sweep_count;
    struct log_answer *answers; /* in order */
    size_t answer_count;
    struct log_note *notes; /* of the job and its sweeps */
    size_t note_count;
    struct perpend_measured measured; /* as it was said last, since the job began */

    /* what perpend_job_solve takes; sweeps without a reading that counts are left out */
    bool readable; /* by this program; else `why` says what is wrong with the machine file */
    struct fault why;
    struct perpend_machine machine;
    struct perpend_job job;
    struct log_pool pool;
};

/** What a sweep of the job is called, by its number; NULL for none. */
const char *log_sweep_name(const struct log_record *record, int64_t sweep);

bool log_load(struct log_book *book, int64_t job, struct log_record *record, struct fault *fault);
void log_record_finish(struct log_record *record);

/* ---- the list ------------------------------------------------------------------------------ */

struct log_filter {
    const char *machine;       /* NULL: all */
    const char *since, *until; /* "2026", "2026-05", "2026-05-06": days as they were at the machine,
                                  both included; NULL: open */
    int64_t upto;              /* jobs up to and with this one; 0: all. Notes take no heed of it */
    size_t last;               /* the last so many; 0: all */
    bool notes;                /* those on machines stand between the jobs */
    bool each;                 /* only each machine's last job, in the order of their names */
};

/** One job in a line; or a note on a machine, which belongs to no job. */
struct log_line {
    int64_t id;           /* 0: a note */
    struct log_note note; /* then; only this and the machine count */
    struct log_time started, ended;
    enum log_ending ending;
    char *machine;
    enum perpend_unit unit; /* that people see on this machine */
    struct perpend_goal goal;
    struct perpend_due due; /* as the machine file said then */
    size_t measurements;    /* answered */
    double found, left;     /* ridge, mm; NAN: not measured. `left` is NAN too when something was
                               done after the last measurement */
    double found_low, found_high, left_low, left_high; /* their 95 % intervals */
    struct perpend_slope lean_found, lean_left;        /* when found, left are not NAN */
    bool left_unmeasured;         /* something was done after the last measurement */
    enum perpend_verdict verdict; /* of the last measurement */
    size_t notes;
    size_t jobs; /* of the machine, when each machine's last is asked for; else 1 */
    char *machine_text;
};

struct log_list {
    struct log_line *lines; /* oldest first */
    size_t count;
    size_t jobs, all; /* of them, and without `last` */
    struct log_pool pool;
};

/**
 * Returned: list  release with log_list_finish, whatever came of it
 * Errors:   status 2 also for a date that is none and for a machine that is not in the log
 */
bool log_list(struct log_book *book, const struct log_filter *filter, struct log_list *list,
    struct fault *fault);
void log_list_finish(struct log_list *list);

/** The latest job, on a machine or (NULL) on any; 0 for none. */
bool log_last_job(struct log_book *book, const char *machine, int64_t *job, struct fault *fault);

/* ---- drift --------------------------------------------------------------------------------- */

/** What was left last time against what is found today. */
struct log_drift {
    int64_t job, before; /* this job and the one before it on the machine; 0: none before */
    struct log_time left_at, found_at;
    bool left_unmeasured; /* the last job ended on an adjustment, not on a sweep */
    bool comparable;      /* false: only one of the two includes the bed's slope */
    bool includes_bed;    /* both do: the bed may have changed as well as the spindle */
    struct log_answer left, found;
    struct perpend_drift drift; /* when comparable and measured */
    struct log_note *notes;     /* on the machine since then: crashes, moves, new bits … */
    size_t note_count;
    struct log_pool pool;
};

/**
 * Given:    job    its first answer must be stored
 * Returned: drift  release with log_drift_finish; `before` is 0 when there is nothing to compare
 */
bool log_drift_find(
    struct log_book *book, int64_t job, struct log_drift *drift, struct fault *fault);
void log_drift_finish(struct log_drift *drift);

/* ---- looking after it ---------------------------------------------------------------------- */

/** Who hears how a check goes. */
struct log_listener {
    /** A thing was found; `line` is one sentence without a line end. */
    void (*found)(void *context, const char *line);
    /** So many of the jobs to look at have been; NULL when nobody waits for it. */
    void (*reached)(void *context, size_t jobs, size_t all);
    void *context;
};

struct log_checked {
    size_t jobs;     /* looked at */
    size_t findings; /* not as they should be; 0: all well */
};

/**
 * Check the log: SQLite's integrity and foreign keys, and every job's answers worked out anew from
 * its readings and compared with those stored.
 *
 * Given:    job        the one whose answers are worked out; 0 for all
 *           recompute  false: leave the answers alone (10 000 jobs take a while)
 */
bool log_check(struct log_book *book, int64_t job, bool recompute,
    const struct log_listener *listener, struct log_checked *checked, struct fault *fault);

/**
 * Back the log up while it is in use (SQLite's own backup), checked before it gets its name; the
 * name is either the whole backup or what it was before.
 *
 * Given:    path
 *           force  replace a file that is there
 */
bool log_backup(struct log_book *book, const char *path, bool force, struct fault *fault);

#endif
