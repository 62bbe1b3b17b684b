/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_JOB_H
#define PERPEND_JOB_H

/**
 * A job: sweep, adjust, sweep again; and its whole answer.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/cut.h>
#include <perpend/distribution.h>
#include <perpend/fit.h>
#include <perpend/machine.h>
#include <perpend/moves.h>
#include <perpend/plan.h>
#include <perpend/response.h>
#include <perpend/ridge.h>
#include <perpend/status.h>
#include <perpend/verdict.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A day, and a time of day and its zone where they are stated. */
struct perpend_moment {
    int year; /* 1 to 9999; 0: nothing is stated */
    int month, day;
    bool timed; /* the hour is stated */
    int hour, minute;
    bool zoned; /* the zone is stated */
    int zone;   /* minutes ahead of UTC */
};

/** A ridge that somebody felt or measured on what the machine cut, not one worked out. */
struct perpend_measured {
    bool stated;
    double along_x, along_y; /* mm, of a cut fed so; NAN: not measured */
};

/** What was done after a sweep. */
enum perpend_did_kind {
    PERPEND_DID_UNSTATED, /* nothing said: the next sweep belongs to the same measurement */
    PERPEND_DID_PLAN,     /* as planned */
    PERPEND_DID_NOTHING,  /* said to be nothing: a new measurement begins all the same */
    PERPEND_DID_LIST      /* the entries */
};

struct perpend_did {
    size_t joint; /* index into the machine's mount */
    size_t bolt;  /* index into the joint's bolts */
    enum perpend_move move;
    struct perpend_amount amount;
};

struct perpend_sweep {
    char *name;                 /* never NULL */
    struct perpend_moment date; /* when it was read, as far as it is stated */
    double x, y;                /* mm; what readings without a place of their own take */
    struct perpend_reading *readings;
    size_t reading_count;
    struct perpend_cut_reading *cuts; /* steps of a test cut, made while the mount stood so */
    size_t cut_count;
    enum perpend_did_kind did_kind;
    struct perpend_did *did;
    size_t did_count;
    bool did_sure; /* asked whether it was so, somebody said yes: learned from whatever it showed */
};

struct perpend_job {
    struct perpend_moment date; /* when the readings were taken, as far as it is stated */
    char *who, *temperature;    /* in the person's own words; NULL: not stated */
    struct perpend_measured measured;
    struct perpend_did *inside; /* shims that are in the mount when the job begins, a bolt each:
                                   what the plan may take out. None are from `stock` */
    size_t inside_count;
    unsigned *stock; /* leaves on hand then, one number a kind of the machine's stock: what it has
                        fewer than the machine states is in the mount; NULL: all that it states */
    size_t stock_count; /* its kinds, or 0 */
    struct perpend_sweep *sweeps;
    size_t sweep_count;
    bool has_learned;                /* an earlier job taught something */
    struct perpend_response learned; /* of the mount before this job, faded since; looked at when
                                        has_learned */
};

/** Release what a job owns (all by free()) and zero it; a zeroed job and NULL are fine. */
void perpend_job_finish(struct perpend_job *job);

enum perpend_doubt_kind {
    PERPEND_DOUBT_NONE,
    PERPEND_DOUBT_READING, /* one reading, or one of two, does not fit the others */
    PERPEND_DOUBT_CLOSURE  /* four readings of one place do not add up */
};

/** What speaks against readings, and where to take them again. */
struct perpend_doubt {
    enum perpend_doubt_kind kind;
    size_t sweep; /* of the job */
    size_t place; /* which sweep of its measurement that is, from 1 */
    bool several; /* its measurement was taken with the carriage at several places */
    size_t index; /* READING: into that sweep's readings */
    struct perpend_reading readings[4]; /* READING: it and its twin; CLOSURE: all, by bearing */
    struct perpend_suspect suspect;     /* READING: how suspect; what the others make it */
    struct perpend_closure closure;     /* CLOSURE */
};

/**
 * Check a place as soon as it is swept: by itself, and against the places before it since the mount
 * was last touched. A session calls it when a place ends, before the carriage leaves; the one to be
 * taken again may be at an earlier place.
 *
 * Given:    setup   arm, gauge, bed
 *           job     its sweeps so far
 *           sweep   the place, an index into them
 * Returned: doubt   kind NONE when nothing speaks against the readings
 * Errors:   PERPEND_ERR_MEMORY
 */
enum perpend_status perpend_place_check(const struct perpend_setup *setup,
    const struct perpend_job *job, size_t sweep, struct perpend_doubt *doubt);

/** The feed turned, bolts left alone: along X or Y where that meets the goal, else the best way
 *  (docs/method.md, "Best direction, limits, depth"). */
struct perpend_turned_feed {
    double along;  /* bearing of the feed, rad */
    double height; /* ridge then, mm */
    double chance; /* that the goal is met, 0 to 1 */
};

/** The answer to one measurement. */
struct perpend_measurement {
    size_t first_sweep, sweep_count; /* sweeps of the job that belong to it */
    size_t reading_count;
    struct perpend_reading *readings; /* all of them in order; owned */
    size_t *reading_sweep;            /* which sweep of the job each came from; owned */
    double *residual;                 /* mm of reading; owned */
    struct perpend_cut_reading *cuts; /* the steps of its sweeps; owned */
    size_t cut_count;
    struct perpend_cut_fit cut; /* what they say */
    struct perpend_fit fit;     /* of all of it */
    struct perpend_doubt
        doubt;            /* what speaks against its readings, all together or place by place */
    bool bed_from_before; /* its lean and bed are apart by the bed's slope of an earlier one */
    struct perpend_ridge ridge;
    struct perpend_distribution distribution;
    enum perpend_verdict verdict;
    struct perpend_remedy remedies[PERPEND_REMEDIES]; /* when the verdict is too close */
    size_t remedy_count;
    struct perpend_ridge_limits limits; /* when there is a goal for the ridge */
    bool turn_feed_meets_goal;          /* turning the feed alone brings the ridge under the goal */
    struct perpend_turned_feed turned_feed; /* when it does */
    bool adjusted;                          /* something was done before this measurement */
    struct perpend_adjustment adjustment;   /* what it showed, when adjusted */
    struct perpend_response response;       /* as known after this measurement */
    bool has_plan;
    struct perpend_plan plan;
    bool
        plan_worsens; /* for want of a joint, play or leaves that serve one axis the ridge would surely grow
                          that is to shrink: the lean left is less, but lies across the feed */
};

/** What its plan's readings are worked out from. */
struct perpend_outlook perpend_measurement_outlook(
    const struct perpend_machine *machine, const struct perpend_measurement *measurement);

struct perpend_solution {
    struct perpend_measurement *measurements;
    size_t measurement_count;
    unsigned *leaves_left; /* one a kind of the machine's stock: on hand once all is done that was
                              said to be done */
    double *inside; /* one a bolt, joint by joint in the mount's order: mm of shim that is in the
                              mount then */
};

/** Where and why a job could not be solved. */
struct perpend_job_fault {
    size_t sweep;           /* the first sweep of the measurement */
    struct perpend_fit fit; /* its need… on PERPEND_ERR_UNDETERMINED */
};

/**
 * Solve a whole job: measurements in order, the response learned from each adjustment, a plan after
 * each measurement.
 *
 * Given:    machine   arm, gauge, bit and facing stated; with a mount there are plans
 *           job       at least one sweep; joints and bolts of the entries of `did` are the mount's
 * Returned: solution  a measurement for each run of sweeps between adjustments, at least one;
 *                     release with perpend_solution_finish. Untouched on an error
 *           fault     where it failed, on an error; NULL when not wanted
 * Errors:   PERPEND_ERR_VALUE, and those of perpend_fit_readings, perpend_ridge_distribution,
 *           perpend_ridge_describe and perpend_plan_make
 */
enum perpend_status perpend_job_solve(const struct perpend_machine *machine,
    const struct perpend_job *job, struct perpend_solution *solution,
    struct perpend_job_fault *fault);

/** The same where most of it was solved before: what was worked out of a measurement that is still the
 *  same is taken over.
 *
 *  Given:    known     a solution of an earlier state of this job on the same machine; NULL for none */
enum perpend_status perpend_job_solve_again(const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_solution *known,
    struct perpend_solution *solution, struct perpend_job_fault *fault);

/**
 * What was done if it was done at the other end: of the moves of the joints in a list the one whose
 * turning round comes nearest to what was obtained. Leaves go under the other bolts, slides and
 * screws go the other way. (For PERPEND_CAUSE_END; with the other causes only who did it knows.)
 *
 * Given:    mount       the machine's
 *           adjustment  what it showed
 *           did         count entries of that mount, as they were told
 * Returned: other       the entries put right; room for count + PERPEND_BOLTS_MOST
 *           other_count
 * Errors:   PERPEND_ERR_VALUE, as of perpend_moves_change
 */
enum perpend_status perpend_did_other_end(const struct perpend_mount *mount,
    const struct perpend_adjustment *adjustment, const struct perpend_did *did, size_t count,
    struct perpend_did *other, size_t *other_count);

/**
 * What the next job on the same mount begins with: what this one knew at its end, faded
 * (PERPEND_RESPONSE_KEEP_JOB). Into the next job's `learned` and `has_learned`.
 *
 * Returned: learned
 * Value:    false when nothing was learned: learned is as perpend_response_start
 */
bool perpend_solution_learned(
    const struct perpend_solution *solution, struct perpend_response *learned);

/** Release what a solution owns and zero it; a zeroed one and NULL are fine. */
void perpend_solution_finish(struct perpend_solution *solution);

#ifdef __cplusplus
}
#endif

#endif
