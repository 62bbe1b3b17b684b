/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_SWEEP_SESSION_H
#define CLI_SWEEP_SESSION_H

/**
 * A session at the machine. The log is the memory: whatever is known of the job stands in it, and a
 * session that is taken up again starts from there as if it had never stopped.
 */

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <perpend/job.h>

#include "cli/prompt/dialogue.h"
#include "log/log.h"
#include "cli/sweep/plan_view.h"
#include "text/words.h"

/** How a part of the session ended, and what comes next. */
enum course {
    COURSE_ON,   /* go on */
    COURSE_BACK, /* `undo` at the first question of this part: to the part before */
    COURSE_MORE, /* another sweep that counts together with the last */
    COURSE_END,  /* the job is over */
    COURSE_STOP, /* stop here; the job waits in the log */
    COURSE_FAIL  /* session->fault says why */
};

struct session {
    struct dialogue *dialogue;
    struct log_book *book;
    int64_t job;              /* 0: nothing has been accepted yet */
    struct log_record record; /* as the log has it now */
    bool loaded;
    struct log_start start; /* of the job, when it comes to that */
    struct fault fault;

    /* a sweep begun and nothing read yet: it is not in the log */
    bool drafted;
    struct log_sweep draft;
    char draft_name[64];
    int64_t reviewed;   /* an earlier sweep that is gone back to; 0: none */
    int64_t instead_of; /* the sweep in the log that the draft takes the place of; 0: none */

    /* the sweep at hand */
    double bearings[PLAN_VIEW_PLACES]; /* in the order in which the arm turns */
    bool skipped[PLAN_VIEW_PLACES];
    size_t bearing_count;
    bool bearings_known;
    bool bearings_anew;    /* ask for them, whatever the sweeps before had */
    bool bearings_changed; /* for this sweep, from those of the one before */
    bool resumed;          /* taken up again, and nothing has been read since */

    /* the answer to it */
    struct perpend_solution solution;
    bool solved;
    const char *own_log; /* named on the command line; NULL: the usual one */
    bool drift_said;
    bool ask_again; /* what was done after the last sweep that was read */
};

/** The machine as it was when the job began, or as its file is now. */
const struct perpend_machine *session_machine(const struct session *session);

/** Read the job anew from the log. */
bool session_load(struct session *session);

/** Words for the screen in the machine's unit. */
struct words session_words(const struct session *session);

/** Show the words and release them; false, with the fault, when memory was out and they are not
 *  whole. */
bool session_show(struct session *session, struct words *words);

/** Turn how a question ended into how the session goes on: ON for an answer. */
enum course session_course(enum heard heard);

/** See to it that the job, and the sweep at hand if there is one, are in the log: before the first
 *  thing is accepted. */
bool session_open(struct session *session);

/** The sweep at hand: the one gone back to, the one begun, or the last in the log; NULL when there is
 *  none. */
const struct log_sweep *session_sweep(const struct session *session);

/** The last sweep with readings that count; NULL when there is none. */
const struct log_sweep *session_read_sweep(const struct session *session);

/** The same, when nothing has been said to be done after it: the one that waits for an answer; else
 *  NULL. */
const struct log_sweep *session_pending(const struct session *session);

/** A reading as people see it, every digit of it: "0.50 mm". */
void session_reading(
    const struct session *session, double value, bool unit, char *text, size_t size);

/* sweep_bearings.c */

/** Whether the sweep at hand takes the bearings of the one before; then they are known. */
bool session_keep_bearings(struct session *session);

/** Which bearings the sweep at hand takes: asked, or those of the sweep before. */
enum course session_choose_bearings(struct session *session);

/** Whether an answer names a choice of bearings: four, eight, own. */
bool session_names_bearings(const char *answer);

/** Take that choice for the sweep at hand, of which nothing has been read; BACK: as it was. */
enum course session_change_bearings(struct session *session, const char *answer);

/** Back from a sweep of which nothing has been read to the one before: to the bearings of that. */
void session_bearings_back(struct session *session);

/** The place of a bearing in the list; bearing_count when it is not there. */
size_t session_place(const struct session *session, double bearing);

/** Add a bearing that was not planned, where the arm passes it. */
bool session_add_bearing(struct session *session, double bearing);

/* sweep_doubt.c */

/** Ask about a reading at a place when a slip of the finger is likely, as `typed` tells in its own
 *  way; `corrects`: it puts right the one that is there. `keep`: it is meant. */
enum course session_make_sure(struct session *session, size_t place, double value, bool corrects,
    const char *typed, bool *keep);

/* sweep_read.c */

/** Take the readings of the last sweep in the log until all are there. `review`: and then let them
 * be looked over once more. */
enum course session_read(struct session *session, bool review);

/* sweep_places.c */

/** Begin the next sweep, asking where the carriage stands when the bed is as found.
 *  `repeat`: once more at the place of the last one. */
enum course session_add_sweep(struct session *session, bool repeat);

/** Begin the last sweep that was read once more; what is read now takes its place. */
enum course session_sweep_again(struct session *session);

/** For a bed as found: whether to sweep at another place before the answer. MORE: yes. */
enum course session_offer_place(struct session *session);

/* sweep_answer.c */

/** Solve the job and show the answer; ON when there is one. BACK: a reading is missing, and the
 *  arm's bearings have been completed with it. */
enum course session_answer(struct session *session);

/** Take back what was said to be done after the last sweep read, if anything: it then waits for an
 *  answer as before. */
bool session_unsay(struct session *session);

/** How the ridge fell from round to round, and where the record is; false, with the fault, when
 *  memory was out. */
bool session_summary(struct session *session);

/** The last measurement answered. */
const struct perpend_measurement *session_measurement(const struct session *session);

/* sweep_did.c */

/** Ask what was done, and record it. ON: next sweep, or the last one in its own place. MORE: sweep
 *  again, counting together. */
enum course session_did(struct session *session);

#endif
