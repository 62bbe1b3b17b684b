/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/sweep/sweep_job.h"

#include <assert.h>
#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/options.h"
#include "cli/prompt/screen.h"
#include "cli/sweep/sweep_machine.h"
#include "cli/sweep/sweep_session.h"

/* The machine file as it is now. */
struct machine_now {
    const char *path;
    char *found; /* the path, when it was not on the command line */
    char *text;
    size_t length;
    struct perpend_machine machine;
    char *name; /* in the log */
};

static void machine_now_finish(struct machine_now *now)
{
    free(now->found);
    free(now->text);
    free(now->name);
    perpend_machine_finish(&now->machine);
}

static bool read_machine(struct machine_now *now, struct fault *fault)
{
    if (!file_read_text(now->path, &now->text, &now->length, fault) ||
        !machine_file_parse(now->text, now->length, now->path, &now->machine, fault))
        return false;
    now->name = log_machine_name(&now->machine, now->path);
    return now->name != NULL || fault_out_of_memory(fault);
}

/* `note TEXT` at any question. */
static bool take_note(const char *answer, void *opaque)
{
    struct session *session = opaque;
    const char *text = word_then(answer, "note");
    if (text == NULL)
        return false;
    if (text[0] == '\0') {
        dialogue_say(session->dialogue, "Type the remark behind the word: note the bed is dusty.");
        return true;
    }
    if (session->start.machine == NULL) {
        dialogue_say(session->dialogue, "Not kept: there is no job yet. Answer this one first.");
        return true;
    }
    bool drafted = session->drafted; /* a note alone makes no sweep */
    session->drafted = false;
    bool open = session_open(session);
    const struct log_sweep *sweep = open ? session_sweep(session) : NULL;
    session->drafted = drafted;
    struct log_about about = {
        .job = session->job, .sweep = sweep != NULL && !drafted ? sweep->id : 0};
    if (open && log_note(session->book, &about, LOG_NOTE, text, &session->fault))
        dialogue_say(session->dialogue, "kept: note");
    else
        dialogue_say(session->dialogue, "Not kept: %s", session->fault.text);
    return true;
}

/* ---- taking up again ----------------------------------------------------------------------- */

static void say_unfinished(struct session *session, const char *name)
{
    char when[LOG_TIME_TEXT];
    const struct log_sweep *sweep = session_sweep(session);
    size_t counted = sweep != NULL ? log_sweep_counted(sweep) : 0;
    log_time_text(when, &session->record.started);
    dialogue_say(session->dialogue,
        "There is an unfinished job on %s, begun %s: %zu sweep%s, %zu reading%s in the last.", name,
        when, session->record.sweep_count, session->record.sweep_count == 1 ? "" : "s", counted,
        counted == 1 ? "" : "s");
}

/* Whether the unfinished job is gone on with. */
static enum course ask_resume(
    struct session *session, const struct sweep_wishes *wishes, const char *name, bool *resume)
{
    *resume = wishes->resume;
    if (wishes->resume || wishes->fresh)
        return COURSE_ON;
    say_unfinished(session, name);
    enum heard heard = HEARD_UNDO;
    while (heard == HEARD_UNDO) {
        heard = dialogue_confirm(session->dialogue, "go on with it",
            "yes goes on where it stopped. no begins a new job; the old one stays in the log as it "
            "is, and is not offered again.",
            true, resume);
    }
    return session_course(heard);
}

static void start_job(struct session *session, const struct machine_now *now)
{
    if (session->loaded)
        log_record_finish(&session->record);
    session->loaded = false;
    session->record = (struct log_record){.id = 0};
    session->job = 0;
    dialogue_say(session->dialogue, "A new job on %s.", now->name);
}

static enum course resume_job(struct session *session, const struct machine_now *now)
{
    dialogue_say(
        session->dialogue, "Going on with job %lld on %s.", (long long)session->job, now->name);
    if (session->record.machine_length != now->length ||
        memcmp(session->record.machine_text, now->text, now->length) != 0) {
        dialogue_say(session->dialogue,
            "The machine file has changed since the job began; this job goes on with it as it was. "
            "For the new one stop here and type perpend sweep --fresh.");
    }
    session->drift_said = session->record.answer_count > 0;
    session->resumed = true;
    return COURSE_ON;
}

/* Find the job to go on with, or start one. */
static enum course find_job(
    struct session *session, const struct sweep_wishes *wishes, const struct machine_now *now)
{
    bool resume = false;
    bool mine = false;
    session->start = (struct log_start){
        .machine = &now->machine, .path = now->path, .text = now->text, .length = now->length};
    if (!log_unfinished(session->book, now->name, &session->job, &session->fault) ||
        (session->job != 0 && !log_claim(session->book, session->job, &mine, &session->fault)))
        return COURSE_FAIL;
    if (!mine) {
        if (wishes->resume) {
            fault_set(&session->fault, 2,
                "there is no unfinished job on %s; leave --resume out to begin one", now->name);
            return COURSE_FAIL;
        }
        start_job(session, now);
        return COURSE_ON;
    }
    if (!session_load(session))
        return COURSE_FAIL;
    enum course course = ask_resume(session, wishes, now->name, &resume);
    if (course != COURSE_ON)
        return course;
    if (resume)
        return resume_job(session, now);
    if (!log_job_end(
            session->book, session->job, LOG_GIVEN_UP, PERPEND_VERDICT_NO_GOAL, &session->fault))
        return COURSE_FAIL;
    start_job(session, now);
    return COURSE_ON;
}

/* ---- sweep after sweep --------------------------------------------------------------------- */

static void say_how(struct session *session)
{
    static const char *const how[] = {
        [PERPEND_GAUGE_GAP] = "At each bearing find what just fits under the tip, and type it.",
        [PERPEND_GAUGE_TOUCH] =
            "At each bearing lower the machine until the tip just scrapes, and type Z.",
        [PERPEND_GAUGE_DIAL] = "At each bearing type what the dial shows.",
        [PERPEND_GAUGE_LEVER] = "At each bearing type what the indicator shows.",
    };
    static_assert(sizeof how / sizeof *how == PERPEND_GAUGE_KINDS, "a kind has no words");
    const struct perpend_machine *machine = session_machine(session);
    const char *unit = machine->unit == PERPEND_UNIT_INCH ? "inches" : "mm";
    dialogue_say(session->dialogue,
        "Unplug the spindle, turn it by hand only, and never run it with the arm in it.");
    dialogue_say(session->dialogue, "%s%s Numbers are in %s; help at any question.",
        how[machine->setup.gauge.kind],
        machine->setup.gauge.kind == PERPEND_GAUGE_TOUCH ? ""
                                                         : " Leave Z locked for the whole turn.",
        unit);
}

/* "Sweep 2, 8 readings as before (four or own changes that):" */
static void say_begin(struct session *session)
{
    const char *name = session_sweep(session)->name;
    bool kept = session_keep_bearings(session);
    size_t count = session->bearing_count;
    dialogue_space(session->dialogue);
    if (!kept)
        dialogue_say(session->dialogue, "%c%s:", toupper((unsigned char)name[0]), name + 1);
    else
        dialogue_say(session->dialogue,
            "%c%s, %zu readings as before (%s changes that):", toupper((unsigned char)name[0]),
            name + 1, count,
            count == 4   ? "eight or own"
            : count == 8 ? "four or own"
                         : "four, eight or own");
}

/* A sweep to read: the one that waits, or a new one. */
static enum course next_sweep(
    struct session *session, bool more, bool repeat, bool review, bool *answer)
{
    const struct log_sweep *sweep = session_sweep(session);
    *answer = false;
    if (session->drafted || (review && sweep != NULL))
        return COURSE_ON;
    if (session->ask_again) {
        session->ask_again = false;
        *answer = true;
        return COURSE_ON;
    }
    if (!more && sweep != NULL && session_pending(session) == sweep)
        return COURSE_ON;
    if (!more && session_pending(session) != NULL) {
        /* killed between a sweep and its first reading: back to the answer before */
        *answer = true;
        return COURSE_ON;
    }
    enum course course = session_add_sweep(session, repeat);
    if (course == COURSE_ON)
        say_begin(session);
    return course;
}

/* One sweep, its answer, and what was done after it. */
static enum course one_round(struct session *session, bool *more, bool *repeat, bool *review)
{
    bool answer;
    if (*review && session_read_sweep(session) != NULL)
        session->reviewed = session_read_sweep(session)->id;
    enum course course = next_sweep(session, *more, *repeat, *review, &answer);
    if (course != COURSE_ON)
        return course;
    *more = false;
    if (!answer) {
        course = session_choose_bearings(session);
        if (course == COURSE_ON) {
            course = session_read(session, *review);
            *review = false;
            session->reviewed = 0;
        }
        if (course == COURSE_BACK && !session->ask_again) {
            session->bearings_known = false;
            session->bearings_anew = true;
        }
        if (course == COURSE_ON) {
            course = session_offer_place(session);
            *repeat = false;
            *review = course == COURSE_BACK;
        }
        if (course != COURSE_ON)
            return course;
    }
    course = session_answer(session);
    if (course != COURSE_ON)
        return course;
    course = session_did(session);
    *repeat = course == COURSE_MORE;
    *review = course == COURSE_BACK;
    return course;
}

static enum course rounds(struct session *session)
{
    bool more = false;
    bool repeat = false;
    bool review = false;
    say_how(session);
    for (;;) {
        enum course course = one_round(session, &more, &repeat, &review);
        switch (course) {
        case COURSE_ON:
            break;
        case COURSE_MORE:
            more = true;
            break;
        case COURSE_BACK:
            more = false;
            break;
        default:
            return course;
        }
    }
}

static int finish_job(struct session *session)
{
    enum perpend_verdict verdict = session_measurement(session)->verdict;
    if (!log_job_end(session->book, session->job, LOG_DONE, verdict, &session->fault))
        return complain_fault(&session->fault);
    if (!session_summary(session))
        return complain_fault(&session->fault);
    return verdict == PERPEND_VERDICT_MET || verdict == PERPEND_VERDICT_NO_GOAL ? 0 : 1;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static int conclude(struct session *session, enum course course)
{
    switch (course) {
    case COURSE_END:
        return finish_job(session);
    case COURSE_FAIL:
        return complain_fault(&session->fault);
    default:
        break;
    }
    if (screen_settle()) {
        dialogue_space(session->dialogue);
        dialogue_say(session->dialogue,
            session->job != 0
                ? "Stopped. All that was kept is in the log; perpend sweep goes on from "
                  "here."
                : "Stopped. Nothing was read, so there is nothing to keep.");
    }
    return 1;
}

static enum course converse(
    struct session *session, const struct sweep_wishes *wishes, struct machine_now *now)
{
    if (!log_open(wishes->log, LOG_WRITE, &session->book, &session->fault))
        return COURSE_FAIL;
    now->path = wishes->machine;
    if (now->path == NULL) {
        switch (
            sweep_choose_machine(session->dialogue, session->book, &now->found, &session->fault)) {
        case MACHINE_CHOSEN:
            break;
        case MACHINE_STOPPED:
            return COURSE_STOP;
        case MACHINE_FAILED:
            return COURSE_FAIL;
        }
        now->path = now->found;
    }
    if (!read_machine(now, &session->fault))
        return COURSE_FAIL;
    enum course course = find_job(session, wishes, now);
    return course == COURSE_ON ? rounds(session) : course;
}

int sweep_session(const struct sweep_wishes *wishes)
{
    struct session session = {.job = 0, .own_log = wishes->log};
    struct machine_now now = {.path = NULL};
    perpend_machine_init(&now.machine);
    session.dialogue = dialogue_create(wishes->ascii);
    if (session.dialogue == NULL)
        return complain_memory();
    dialogue_set_aside(session.dialogue, take_note, &session);
    int status = conclude(&session, converse(&session, wishes, &now));
    log_close(session.book);
    perpend_solution_finish(&session.solution);
    if (session.loaded)
        log_record_finish(&session.record);
    machine_now_finish(&now);
    dialogue_destroy(session.dialogue);
    return status;
}
