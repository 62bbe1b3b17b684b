/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SWEEP_SESSION_H
#define SWEEP_SESSION_H

/**
 * A session at the machine, `perpend sweep`: question after question, sweep after sweep, until the
 * goal is met.
 *
 * The log is the memory: whatever is known of the job stands in it, and a session that is taken up
 * again starts from there as if it had never stopped. A session is in one of the states of `enum
 * next`; each has a function that asks, keeps what was answered, and says what comes next. session.c
 * has the table of them; a file has those that belong together:
 *
 *     session.c    beginning and end, and what the others share
 *     machines.c   which machine file
 *     carried.c    what the last job left in the mount and in the stock
 *     begin.c      a sweep is begun: where the carriage stands, which bearings
 *     readings.c   one reading a line, and the words that go there; drawing.c shows them
 *     typed.c      what such a line says, and into the log; doubts.c asks about a likely slip
 *     answer.c     the answer, the plan again, and at the end what became of the ridge
 *     did.c        what was done then; bolts.c bolt by bolt
 *     surprise.c   an adjustment that did not do what it should
 *     words.c      the words that work at the readings and there, in one table with their help
 *     change.c     another bit or goal in the midst of a job
 *     sentences.inc  all that it says of its own
 *     turn.c       bearings in the order in which the arm passes them
 */

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <perpend/job.h>

#include "cli/prompt/dialogue.h"
#include "cli/sweep/turn.h"
#include "log/log.h"
#include "text/answer.h"

/** What comes next. */
enum next {
    NEXT_RESUME,   /* go on where the log says that the job stands */
    NEXT_SWEEP,    /* begin a sweep */
    NEXT_ADD,      /* begin one at the same place that counts together with the last */
    NEXT_AGAIN,    /* begin one that takes the place of the last */
    NEXT_BEARINGS, /* ask for its bearings */
    NEXT_READ,     /* take the next reading, or go on when all are there */
    NEXT_PLACE,    /* offer another place, on a bed whose slope is not known */
    NEXT_ANSWER,   /* solve the job and show the answer */
    NEXT_DID,      /* ask what was done */
    NEXT_STATES,   /* so many states; from here on the session is over */
    NEXT_END,      /* the job is done */
    NEXT_STOP,     /* the job waits in the log */
    NEXT_FAIL      /* session->fault says why */
};

struct sweep_wishes {
    const char *machine; /* file; NULL: found */
    const char *log;     /* NULL: the usual one */
    const char *who;     /* does the job; NULL: not stated */
    bool resume;         /* go on without asking */
    bool fresh;          /* give up what is unfinished without asking */
    bool ascii;          /* nothing beyond ASCII on the screen */
};

#define NOWHERE SIZE_MAX

struct session {
    struct dialogue *dialogue;
    struct log_book *book;
    const struct sweep_wishes *wishes;
    struct fault fault;

    char *path, *text, *name; /* of the machine file as it is now, and what the log calls it */
    struct perpend_machine machine; /* by that file */
    struct log_start start;         /* of the job, when it comes to that */
    struct perpend_job carried; /* what the last job left to this one; its sweeps do not count */
    int64_t job;                /* 0: nothing has been accepted yet */
    struct log_record record;   /* as the log has it now */
    bool loaded;

    /* a sweep begun and nothing read yet: it is not in the log */
    bool drafted;
    struct log_sweep draft;
    char draft_name[64];
    int64_t instead_of; /* the sweep in the log that it takes the place of; 0: none */

    int64_t
        at; /* the sweep that was answered, though a later one was begun; 0: the last in the log */

    struct turn turn;  /* of the sweep at hand; empty: not known yet */
    size_t asked;      /* the bearing of it that somebody went to; NOWHERE: the next one missing */
    bool repeats;      /* its reading is repeated, not put right */
    bool drawn;        /* the compass on the screen shows all there is */
    bool resumed;      /* taken up again, and nothing has been read since */
    int64_t let_stand; /* the place whose doubtful reading is to stay */
    bool thousandths;  /* whole numbers are thousandths of an inch */

    struct perpend_solution solution; /* the last answer */
    bool solved;
    bool drift_said;
    int64_t surprise_known; /* the sweep that surprised, and nobody knows why */
};

/* ---- session.c ----------------------------------------------------------------------------- */

/** A whole session; the exit status. */
int session_run(const struct sweep_wishes *wishes);

/** The machine as it was when the job began, or as its file is now. */
const struct perpend_machine *session_machine(const struct session *session);

/** Read the job anew from the log. */
bool session_load(struct session *session);

/** See to it that the job is in the log; the sweep at hand as well, if there is one: before the first
 *  thing is accepted. */
bool session_open_job(struct session *session);
bool session_open(struct session *session);

/** The sweep at hand: the one begun, the one answered, or the last in the log; NULL when there is none. */
const struct log_sweep *session_sweep(const struct session *session);

/** The last sweep with readings that count; NULL when there is none. */
const struct log_sweep *session_read_sweep(const struct session *session);

/** Whether nothing has been told yet of what was done after it. */
bool session_waits(const struct session *session);

/** The last measurement answered. */
const struct perpend_measurement *session_measurement(const struct session *session);

/** What comes next after a question: `on` for an answer, `back` for undo. */
enum next session_next(struct session *session, enum heard heard, enum next on, enum next back);

/** What a session says of its own. */
enum session_sentence {
#define SENTENCE(name, text) name,
#include "cli/sweep/sentences.inc"
#undef SENTENCE
    SESSION_SENTENCES
};
extern const char *const session_sentences[SESSION_SENTENCES];

/** Add one of them to a phrase, its slots filled, with a blank behind what is there; or say it. */
void session_fill(const struct session *session, struct buffer *phrase,
    enum session_sentence sentence, const struct slot *slots);
void session_say(
    const struct session *session, enum session_sentence sentence, const struct slot *slots);

/** Ask, with a prompt and a help that are two of them and are filled with the same slots; a help that
 *  the question brings along stays. */
enum heard session_ask(const struct session *session, struct question question,
    enum session_sentence prompt, enum session_sentence help, const struct slot *slots,
    char *answer);

/** The same for yes or no. */
enum heard session_confirm(const struct session *session, enum session_sentence prompt,
    enum session_sentence help, const struct slot *slots, bool standing, bool *yes);

/** Words for the screen in the machine's unit. */
struct words session_words(const struct session *session);

/** Show the words and release them; false, with the fault, when memory was out and they are not
 *  whole. */
bool session_show(struct session *session, struct words *words);

/** A reading as people see it, every digit of it: "0.50 mm", or without the unit. */
#define READING_TEXT 64
char *session_reading(
    const struct session *session, double value, bool unit, char text[READING_TEXT]);
#define SHOWN_READING(session, value)                                                              \
    session_reading(session, value, true, (char[READING_TEXT]){""})

/** "back-right", or "37.5°", as the screen can show it. */
char *session_bearing(const struct session *session, double bearing, char text[WORDS_LABEL]);
#define SHOWN_BEARING(session, bearing) session_bearing(session, bearing, (char[WORDS_LABEL]){""})

/** At the start of a new job: what is in the mount from the last one, and is it still so. RESUME, STOP
 *  or FAIL. (carried.c) */
enum next session_carry(struct session *session);

/* ---- the states ---------------------------------------------------------------------------- */

enum next session_begin_sweep(struct session *session);
enum next session_begin_add(struct session *session);
enum next session_begin_again(struct session *session);
enum next session_offer_place(struct session *session);
enum next session_ask_bearings(struct session *session);
enum next session_read(struct session *session);
enum next session_answer(struct session *session);
enum next session_did(struct session *session);

/* ---- words.c ------------------------------------------------------------------------------- */

/** Where a word works. */
enum place_of_word { AT_READINGS = 1, AT_DID = 2, AT_BOTH = 3 };

/** Do what a line's first word says; false when it is none that works there, or what stands behind it is
 *  not meant for it. */
bool session_obey(
    struct session *session, const char *line, enum place_of_word place, enum next *next);

/** Add the words that work there: all, or those named with a question but for the one that stands; the
 *  help that tells of all of them. */
void session_add_words(const struct session *session, struct buffer *phrase,
    enum place_of_word place, const char *standing);
/** Say that a line is nothing that works there, and what is; asks again. */
enum next session_refuse_line(struct session *session, const char *line, enum place_of_word place);
void session_add_help(const struct session *session, struct buffer *help, enum place_of_word place);

/* What they do; `rest` stands behind the word. DID: nothing has changed, it is asked again. */
enum next session_undo(struct session *session, const char *rest);
enum next session_repeat(struct session *session, const char *rest);
enum next session_skip_bearing(struct session *session, const char *rest);
enum next session_skip_missing(struct session *session, const char *rest);
enum next session_list(struct session *session, const char *rest);
enum next session_other_bearings(struct session *session, const char *rest);
enum next session_cut(struct session *session, const char *rest);
enum next session_plan(struct session *session, const char *rest);
enum next session_print(struct session *session, const char *rest);
enum next session_more(struct session *session, const char *rest);
enum next session_did_plan(struct session *session, const char *rest);
enum next session_did_without(struct session *session, const char *rest);
enum next session_did_other(struct session *session, const char *rest);
enum next session_did_changed(struct session *session, const char *rest);
enum next session_did_nothing(struct session *session, const char *rest);

/* ---- between them -------------------------------------------------------------------------- */

/** What the readings of a sweep that count come to, at a bearing of the turn or anywhere. */
struct read_at {
    size_t count;
    double mean, low, high;
    const struct log_reading *last;
};
#define ANYWHERE SIZE_MAX
struct read_at session_read_at(
    const struct session *session, const struct log_sweep *sweep, size_t place);

/** The bearing of the turn that is asked for: one gone to, else the next without a reading; turn.count for
 *  none. Go to one, or with NOWHERE to the next. */
size_t session_place_asked(const struct session *session);
enum next session_go_to(struct session *session, size_t place, bool repeats);

/** Say what was kept, behind the name of its sweep, "" for the one at hand. */
void session_say_kept(
    struct session *session, const char *word, const char *sweep, double bearing, double value);

/** Say why a line is not taken; what was asked is asked again. */
enum next session_stay(
    struct session *session, enum session_sentence sentence, const struct slot *slots);

/** Draw the compass with what was read, and the bearing that is asked for, where that can be done. */
void session_draw_turn(struct session *session, size_t asked);

/** Take a line that is a reading: "0.5", "left 0.5", "as found, left 0.5", "place 1 left 0.5"; or "left", to go there.
 *  `alone`: a number by itself is one, of the bearing asked for. False when it is nothing of that. */
bool session_take_reading(struct session *session, const char *line, bool alone, enum next *next);

/** The same of a line typed to a doubt: "0.5", or "left 0.5" where left is the one doubted, is of the `doubtful`
 *  reading ("left", "place 1 left"; "" for none), at its place. */
bool session_take_doubtful(
    struct session *session, const char *doubtful, const char *line, enum next *next);

/** Add the doubtful reading as it would be typed: "back", or "place 1 back" when that is not at the sweep
 *  read last. */
void session_add_doubtful(
    const struct session *session, struct buffer *phrase, const struct perpend_doubt *doubt);

/** Go back one step: the last reading of the sweep at hand is taken back, or, where there is none, the
 *  sweep is left for what was before it. */
enum next session_step_back(struct session *session);
enum next session_step_out(struct session *session);

/** Whether the bearings of the sweep at hand are known, or can be told from what was read before. */
bool session_find_bearings(struct session *session);

/** Take the bearings of a sweep's readings that count; of all when it was set aside as a whole. */
void session_bearings_of(struct session *session, const struct log_sweep *sweep);

/** Take 4, 8, or a list; else the complaint. Only bearings change anything. */
bool session_take_bearings(struct session *session, const char *typed, struct buffer *complaint);

/** Ask about a reading at a bearing when a slip of the finger is likely; `corrects`: it puts right the one
 *  that is there.
 *
 *  Returned: keep   it is meant
 *  Value:    READ, or STOP */
enum next session_make_sure(
    struct session *session, double bearing, double value, bool corrects, bool *keep);

/** Solve the job as the log has it, and store the answers. */
bool session_solve(
    struct session *session, enum perpend_status *status, struct perpend_job_fault *where);

/** The last answer, to be put in words. */
struct answer_about session_about(const struct session *session);

/** What was done to bolt after bolt; what it has no room for is not taken. */
#define DID_MOST ((size_t)2 * PERPEND_JOINTS_MOST * PERPEND_BOLTS_MOST * PERPEND_MOVE_COUNT)
struct did_list {
    struct perpend_did of[DID_MOST];
    size_t count;
};

/** The steps of a plan but for some, a bit each, bolt by bolt. (did.c) */
void session_list_plan(const struct perpend_plan *plan, unsigned without, struct did_list *list);

/** Keep what was done after a sweep, `sure`: though it did something else, and load the job anew.
 *
 *  Returned: bolts  added to: what was done
 *  Value:    false with the fault */
bool session_tell_did(struct session *session, int64_t sweep, enum perpend_did_kind kind, bool sure,
    const struct did_list *list, struct buffer *bolts);

/** Ask what was done, bolt by bolt. */
enum heard session_ask_bolts(struct session *session, struct did_list *did);

/** "top left shim 0.5 mm, top right shim 0.5 mm" */
void session_add_did(
    const struct session *session, struct buffer *phrase, const struct did_list *list);

/** Another bit, stepover, depth, goal or stock: `word` says which, `rest` how much. */
enum next session_change(
    struct session *session, const char *word, const char *rest, enum place_of_word place);

/** Ask for the cause of an adjustment that did not do what it should, if the last one did not.
 *
 *  Returned: next   what comes next, when something was put right
 *  Value:    false: the answer as it is stands */
bool session_surprise(struct session *session, enum next *next);

/** What became of the ridge, and where the record is; false, with the fault, when memory was out. */
bool session_summary(struct session *session);

/** The only machine file in this folder; of several the one chosen; with none the one that the
 *  latest job in the log was started with: into session->path. RESUME, STOP or FAIL. */
enum next session_choose_machine(struct session *session);

#endif
