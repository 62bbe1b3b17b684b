/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/sweep/session.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/complain.h"
#include "cli/prompt/screen.h"

/* ---- what the states share ----------------------------------------------------------------- */

const struct perpend_machine *session_machine(const struct session *session)
{
    return session->loaded ? &session->record.machine : session->start.machine;
}

static void forget_record(struct session *session)
{
    if (session->loaded)
        log_record_finish(&session->record);
    session->loaded = false;
    session->record = (struct log_record){.id = 0};
}

bool session_load(struct session *session)
{
    if (session->job == 0)
        return true;
    forget_record(session);
    if (!log_load(session->book, session->job, &session->record, &session->fault))
        return false;
    session->loaded = true;
    if (!session->record.readable)
        session->fault = session->record.why;
    return session->record.readable;
}

bool session_open_job(struct session *session)
{
    return session->job != 0 ||
           (log_job_start(session->book, &session->start, &session->job, &session->fault) &&
               session_load(session));
}

bool session_open(struct session *session)
{
    const struct log_sweep *draft = &session->draft;
    int64_t sweep;
    if (!session_open_job(session))
        return false;
    if (!session->drafted)
        return true;
    bool added =
        session->instead_of != 0
            ? log_sweep_again(
                  session->book, session->instead_of, "taken again", &sweep, &session->fault)
            : log_sweep_add(session->book, session->job,
                  &(struct perpend_sweep){.name = draft->name, .x = draft->x, .y = draft->y},
                  &sweep, &session->fault);
    session->drafted = !added;
    return added && session_load(session);
}

const struct log_sweep *session_sweep(const struct session *session)
{
    size_t count = session->record.sweep_count;
    if (session->drafted)
        return &session->draft;
    for (size_t i = 0; i < count && session->at != 0; i++)
        if (session->record.sweeps[i].id == session->at)
            return &session->record.sweeps[i];
    return count > 0 ? &session->record.sweeps[count - 1] : NULL;
}

const struct log_sweep *session_read_sweep(const struct session *session)
{
    for (size_t i = session->record.sweep_count; i > 0; i--)
        if (log_sweep_counted(&session->record.sweeps[i - 1]) > 0)
            return &session->record.sweeps[i - 1];
    return NULL;
}

bool session_waits(const struct session *session)
{
    const struct log_sweep *sweep = session_read_sweep(session);
    return sweep != NULL && sweep->did_kind == PERPEND_DID_UNSTATED;
}

const struct perpend_measurement *session_measurement(const struct session *session)
{
    return &session->solution.measurements[session->solution.measurement_count - 1];
}

enum next session_next(struct session *session, enum heard heard, enum next on, enum next back)
{
    switch (heard) {
    case HEARD_ANSWER:
        return on;
    case HEARD_UNDO:
        return back;
    case HEARD_FAIL:
        fault_out_of_memory(&session->fault);
        return NEXT_FAIL;
    case HEARD_STOP:
    case HEARD_END:
        break;
    }
    return NEXT_STOP;
}

struct words session_words(const struct session *session)
{
    const struct perpend_machine *machine = session_machine(session);
    return dialogue_words(session->dialogue, machine != NULL ? machine->unit : PERPEND_UNIT_MM);
}

const char *const session_sentences[SESSION_SENTENCES] = {
#define SENTENCE(name, text) [name] = (text),
#include "cli/sweep/sentences.inc"
#undef SENTENCE
};

/* Beside what is handed over, every sentence can tell kinds of gauges and units apart. */
void session_fill(const struct session *session, struct buffer *phrase,
    enum session_sentence sentence, const struct slot *slots)
{
    enum { OWN = 2, MOST = 16 };
    const struct perpend_machine *machine = session_machine(session);
    struct words words = session_words(session);
    struct slot all[MOST] = {SLOT_IF("inch", words.unit == PERPEND_UNIT_INCH),
        SLOT_CHOICE("gauge", machine != NULL ? machine->setup.gauge.kind : 0)};
    for (size_t i = OWN; slots != NULL && slots->name != NULL; i++) {
        assert(i + 1 < MOST);
        all[i] = *slots++;
    }
    fill_next(&words, phrase, session_sentences[sentence], all);
}

void session_say(
    const struct session *session, enum session_sentence sentence, const struct slot *slots)
{
    struct buffer phrase = {0};
    session_fill(session, &phrase, sentence, slots);
    dialogue_say(session->dialogue, "%s", buffer_text(&phrase));
    buffer_finish(&phrase);
}

enum heard session_ask(const struct session *session, struct question question,
    enum session_sentence prompt, enum session_sentence help, const struct slot *slots,
    char *answer)
{
    struct buffer prompt_text = {0}, help_text = {0};
    session_fill(session, &prompt_text, prompt, slots);
    session_fill(session, &help_text, help, slots);
    buffer_add(&help_text, question.help != NULL ? question.help : "");
    question.prompt = buffer_text(&prompt_text);
    question.help = buffer_text(&help_text);
    enum heard heard = dialogue_ask(session->dialogue, &question, answer);
    buffer_finish(&prompt_text);
    buffer_finish(&help_text);
    return heard;
}

enum heard session_confirm(const struct session *session, enum session_sentence prompt,
    enum session_sentence help, const struct slot *slots, bool standing, bool *yes)
{
    struct buffer text = {0};
    session_fill(session, &text, prompt, slots);
    enum heard heard = dialogue_confirm(
        session->dialogue, buffer_text(&text), session_sentences[help], standing, yes);
    buffer_finish(&text);
    return heard;
}

bool session_show(struct session *session, struct words *words)
{
    bool whole = !words->out.failed;
    dialogue_show(session->dialogue, buffer_text(&words->out));
    buffer_finish(&words->out);
    return whole ||
           fault_set(&session->fault, 3, "memory is out; close something and go on from here");
}

/* The decimals of the gauge's step, or more where more were typed. */
char *session_reading(
    const struct session *session, double value, bool unit, char text[READING_TEXT])
{
    const struct perpend_machine *machine = session_machine(session);
    struct words words = session_words(session);
    struct buffer shown = {0};
    double step = machine->setup.gauge.step, per = words_shown(&words, WORDS_LARGE, 1);
    int finest = (int)floor(log10(step * per) + 1e-9); /* of the step, as a power of ten */
    for (double scaled = value * per / pow(10, finest);
         finest > -6 && fabs(scaled - round(scaled)) >= 1e-4; scaled *= 10)
        finest--;
    double least = fmod(step * per / pow(10, finest), 1) > 1e-6 ? step : pow(10, finest) / per;
    words_reading(&words, &shown, value, fmin(step, least));
    snprintf(text, READING_TEXT, "%s%s%s", buffer_text(&shown), unit ? " " : "",
        unit ? words_unit_name(&words, WORDS_LARGE) : "");
    buffer_finish(&shown);
    return text;
}

char *session_bearing(const struct session *session, double bearing, char text[WORDS_LABEL])
{
    struct words words = session_words(session);
    struct buffer shown = {0};
    words_bearing_label(text, WORDS_LABEL, bearing);
    words_encode(&words, &shown, text);
    if (!shown.failed)
        snprintf(text, WORDS_LABEL, "%s", buffer_text(&shown));
    buffer_finish(&shown);
    return text;
}

/* `note TEXT` at any question. */
static bool take_note(const char *answer, void *opaque)
{
    struct session *session = opaque;
    const char *text = word_then(answer, "note");
    if (text == NULL)
        return false;
    if (text[0] == '\0') {
        session_say(session, NOTE_EMPTY, NULL);
        return true;
    }
    if (session->start.machine == NULL) {
        session_say(session, NOTE_TOO_SOON, NULL);
        return true;
    }
    bool open = session_open_job(session); /* a note alone makes no sweep */
    const struct log_sweep *sweep = open && !session->drafted ? session_sweep(session) : NULL;
    struct log_about about = {.job = session->job, .sweep = sweep != NULL ? sweep->id : 0};
    if (open && log_note(session->book, &about, LOG_NOTE, text, &session->fault))
        session_say(session, NOTE_KEPT, NULL);
    else
        session_say(session, NOTE_NOT_KEPT, SLOTS(SLOT_TEXT("why", session->fault.text)));
    return true;
}

/* ---- the job to go on with ----------------------------------------------------------------- */

/* Whether the unfinished job, which is loaded, is gone on with. */
static enum next ask_resume(struct session *session, bool *resume)
{
    char when[LOG_TIME_TEXT];
    const struct sweep_wishes *wishes = session->wishes;
    const struct log_record *record = &session->record;
    const struct log_sweep *sweep = session_sweep(session);
    size_t counted = sweep != NULL ? log_sweep_counted(sweep) : 0;
    enum heard heard = wishes->resume || wishes->fresh ? HEARD_ANSWER : HEARD_UNDO;
    *resume = wishes->resume;
    if (heard == HEARD_UNDO)
        session_say(session, UNFINISHED_JOB,
            SLOTS(SLOT_TEXT("machine", session->name),
                SLOT_TEXT("when", log_time_text(when, &record->started)),
                SLOT_COUNT("sweep_count", record->sweep_count),
                SLOT_COUNT("reading_count", counted)));
    while (heard == HEARD_UNDO)
        heard = dialogue_confirm(
            session->dialogue, "go on with it", session_sentences[GO_ON_HELP], true, resume);
    return session_next(session, heard, NEXT_RESUME, NEXT_RESUME);
}

static enum next resume_job(struct session *session)
{
    const struct log_record *record = &session->record;
    const struct log_start *now = &session->start;
    session_say(session, GOING_ON,
        SLOTS(SLOT_COUNT("job_number", session->job), SLOT_TEXT("machine", session->name)));
    if (record->machine_length != now->length ||
        memcmp(record->machine_text, now->text, now->length) != 0)
        session_say(session, MACHINE_CHANGED, NULL);
    session->drift_said = record->answer_count > 0;
    session->resumed = true;
    return NEXT_RESUME;
}

/* Find the job to go on with, or start one. */
static enum next find_job(struct session *session)
{
    bool resume = false, mine = false;
    if (!log_unfinished(session->book, session->name, &session->job, &session->fault) ||
        (session->job != 0 && !log_claim(session->book, session->job, &mine, &session->fault)))
        return NEXT_FAIL;
    if (!mine && session->wishes->resume) {
        fault_set(&session->fault, 2,
            "there is no unfinished job on %s; leave --resume out to begin one", session->name);
        return NEXT_FAIL;
    }
    if (mine) {
        if (!session_load(session))
            return NEXT_FAIL;
        enum next next = ask_resume(session, &resume);
        if (next != NEXT_RESUME)
            return next;
        if (resume)
            return resume_job(session);
        if (!log_job_end(session->book, session->job, LOG_GIVEN_UP, PERPEND_VERDICT_NO_GOAL,
                &session->fault))
            return NEXT_FAIL;
    }
    forget_record(session);
    session->job = 0;
    session_say(session, NEW_JOB, SLOTS(SLOT_TEXT("machine", session->name)));
    return session_carry(session);
}

static void say_how(struct session *session)
{
    session_say(session, UNPLUG, NULL);
    session_say(session, SET_Z, NULL);
}

/* Where the log says that the job stands. */
static enum next resume(struct session *session)
{
    const struct log_sweep *sweep = session_sweep(session);
    if (sweep == NULL || !session_waits(session))
        return NEXT_SWEEP;
    /* killed between a sweep and its first reading: back to the answer before */
    if (sweep != session_read_sweep(session))
        return NEXT_ANSWER;
    return session_find_bearings(session) ? NEXT_READ : NEXT_BEARINGS;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static enum next (*const states[])(struct session *) = {
    [NEXT_RESUME] = resume,
    [NEXT_SWEEP] = session_begin_sweep,
    [NEXT_ADD] = session_begin_add,
    [NEXT_AGAIN] = session_begin_again,
    [NEXT_BEARINGS] = session_ask_bearings,
    [NEXT_READ] = session_read,
    [NEXT_PLACE] = session_offer_place,
    [NEXT_ANSWER] = session_answer,
    [NEXT_DID] = session_did,
};
static_assert(sizeof states / sizeof *states == NEXT_STATES, "a state has no function");

/* The machine file as it is now. */
static bool read_machine(struct session *session)
{
    struct log_start start = {.machine = &session->machine, .path = session->path};
    if (!file_read_text(session->path, &session->text, &start.length, &session->fault) ||
        !machine_file_parse(
            session->text, start.length, session->path, &session->machine, &session->fault))
        return false;
    session->name = log_machine_name(&session->machine, session->path);
    start.text = session->text;
    session->start = start;
    return session->name != NULL || fault_out_of_memory(&session->fault);
}

static enum next converse(struct session *session)
{
    if (!log_open(session->wishes->log, LOG_WRITE, &session->book, &session->fault))
        return NEXT_FAIL;
    enum next next = session_choose_machine(session);
    if (next == NEXT_RESUME)
        next = read_machine(session) ? find_job(session) : NEXT_FAIL;
    if (next == NEXT_RESUME)
        say_how(session);
    while (next < NEXT_STATES)
        next = states[next](session);
    return next;
}

/* The exit status. */
static int conclude(struct session *session, enum next next)
{
    if (next == NEXT_END) {
        enum perpend_verdict verdict = session_measurement(session)->verdict;
        if (log_job_end(session->book, session->job, LOG_DONE, verdict, &session->fault) &&
            session_summary(session))
            return verdict == PERPEND_VERDICT_MET || verdict == PERPEND_VERDICT_NO_GOAL ? 0 : 1;
        next = NEXT_FAIL;
    }
    if (next == NEXT_FAIL)
        return complain_fault(&session->fault);
    if (screen_settle()) {
        dialogue_space(session->dialogue);
        session_say(session, STOPPED, SLOTS(SLOT_IF("job", session->job != 0)));
    }
    return 1;
}

int session_run(const struct sweep_wishes *wishes)
{
    struct session session = {.wishes = wishes, .asked = NOWHERE};
    perpend_machine_init(&session.machine);
    session.dialogue = dialogue_create(wishes->ascii);
    if (session.dialogue == NULL)
        return complain_memory();
    dialogue_set_aside(session.dialogue, take_note, &session);
    int status = conclude(&session, converse(&session));
    log_close(session.book);
    perpend_solution_finish(&session.solution);
    forget_record(&session);
    free(session.path);
    free(session.text);
    free(session.name);
    perpend_job_finish(&session.carried);
    perpend_machine_finish(&session.machine);
    dialogue_destroy(session.dialogue);
    return status;
}
