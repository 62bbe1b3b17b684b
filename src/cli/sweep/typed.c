/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A line that is a reading: what it says, at which bearing of which sweep, and into the log with it. */
#include "cli/sweep/session.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include <perpend/status.h>

#include "files/names.h"

#define LARGEST 1000.0 /* mm; no reading is larger */

/* ---- a reading ----------------------------------------------------------------------------- */

/* Into the log first, then onto the screen. */
static enum next keep_reading(
    struct session *session, double bearing, double value, const char *typed)
{
    size_t place = turn_find(&session->turn, bearing);
    struct read_at at = session_read_at(session, session_sweep(session), place);
    bool corrects = at.count > 0 && !(session->repeats && place == session->asked);
    bool keep;
    enum next next = session_make_sure(session, bearing, value, corrects, &keep);
    if (next != NEXT_READ || !keep)
        return next;
    if (!session_open(session))
        return NEXT_FAIL;
    const struct log_sweep *sweep = session_sweep(session);
    struct perpend_reading reading = {
        .bearing = bearing, .value = value, .x = sweep->x, .y = sweep->y};
    bool kept = corrects ? log_reading_correct(
                               session->book, at.last->id, &reading, typed, NULL, &session->fault)
                         : log_reading_accept(
                               session->book, sweep->id, &reading, typed, NULL, &session->fault);
    if (!kept || !session_load(session))
        return NEXT_FAIL;
    session->turn.skipped[place] = false;
    session_go_to(session, NOWHERE, false);
    session_say_kept(session, corrects ? "corrected" : "kept", "", bearing, value);
    return NEXT_READ;
}

/* "place 2": that place of the measurement at hand; NULL for none. */
static const struct log_sweep *place_numbered(const struct session *session, size_t number)
{
    const struct log_sweep *found = NULL;
    size_t count = 0;
    for (size_t i = 0; i < session->record.sweep_count; i++) {
        const struct log_sweep *sweep = &session->record.sweeps[i];
        if (log_sweep_counted(sweep) == 0)
            continue;
        found = ++count == number ? sweep : found;
        if (sweep->did_kind != PERPEND_DID_UNSTATED && sweep != session_read_sweep(session)) {
            count = 0;
            found = NULL;
        }
    }
    return found;
}

/* One of another sweep, or of another place of this one. */
static enum next correct_earlier(struct session *session, const struct log_sweep *sweep,
    double bearing, double value, const char *typed)
{
    const struct log_sweep *second = place_numbered(session, 2);
    struct turn there = {.count = 0};
    const struct log_reading *old = NULL;
    char name[ANSWER_SIZE];
    turn_add(&there, bearing);
    for (size_t i = 0; i < sweep->reading_count; i++)
        if (sweep->readings[i].counts &&
            turn_find(&there, sweep->readings[i].reading.bearing) < there.count)
            old = &sweep->readings[i];
    if (old == NULL)
        return session_stay(session, NONE_THERE,
            SLOTS(
                SLOT_NAME("sweep", sweep->name), SLOT_TEXT("at", SHOWN_BEARING(session, bearing))));
    struct perpend_reading reading = {bearing, value, sweep->x, sweep->y};
    /* the first place has no number in its sweep's name */
    const bool first = second != NULL && sweep == place_numbered(session, 1);
    snprintf(name, sizeof name, "%s%s", sweep->name,
        first && strstr(second->name, ", place ") != NULL ? ", place 1" : "");
    if (!log_reading_correct(session->book, old->id, &reading, typed, NULL, &session->fault))
        return NEXT_FAIL;
    session_say_kept(session, "corrected", name, bearing, value);
    return session_load(session) ? NEXT_READ : NEXT_FAIL;
}

/* ---- a line that is a reading -------------------------------------------------------------- */

/* The sweep whose name a line begins with: "as found, place 2 left 0.5", "place 2 left 0.5"; how much of
   it that is. */
static size_t sweep_named(
    const struct session *session, const char *line, const struct log_sweep **named)
{
    const char *rest = word_then(line, "place");
    size_t longest = 0, digits = rest != NULL ? strspn(rest, "0123456789") : 0;
    const struct log_sweep *place =
        digits == 1 ? place_numbered(session, (size_t)(rest[0] - '0')) : NULL;
    if (place != NULL) {
        *named = place;
        longest = (size_t)(rest - line) + digits;
    }
    for (size_t i = 0; i < session->record.sweep_count; i++) {
        const struct log_sweep *sweep = &session->record.sweeps[i];
        size_t length = strlen(sweep->name);
        if (length < longest || log_sweep_counted(sweep) == 0 ||
            strncasecmp(line, sweep->name, length) != 0 || line[length] == '\0' ||
            strchr(" ,:", line[length]) == NULL)
            continue;
        longest = length;
        *named = sweep;
    }
    return longest > 0 ? longest + strspn(line + longest, " ,:") : 0;
}

void session_add_doubtful(
    const struct session *session, struct buffer *phrase, const struct perpend_doubt *doubt)
{
    if (doubt->sweep != session_read_sweep(session)->in_job)
        buffer_addf(phrase, "place %zu ", doubt->place);
    buffer_add(phrase, SHOWN_BEARING(session, doubt->readings[0].bearing));
}

/* The bearing that a line begins with, by its name, as degrees would look like a reading ("90deg" will
   do): how many bytes it takes with what parts it from a reading; 0 when there is none. */
static size_t bearing_named(const char *line, double *bearing)
{
    char word[32];
    size_t length = strcspn(line, " :=");
    if (length >= sizeof word || perpend_number_parse(line, bearing) == PERPEND_OK)
        return 0;
    snprintf(word, sizeof word, "%.*s", (int)length, line);
    if (strspn(word, "0123456789.,-+") == length ||
        perpend_bearing_parse(word, bearing) != PERPEND_OK)
        return 0;
    return length + strspn(line + length, " :=");
}

/* A length, "72" or "72.5" being thousandths of an inch where that was agreed on. */
static enum perpend_status parse_reading(
    const struct session *session, const char *typed, double *value)
{
    enum perpend_unit unit = session_machine(session)->unit;
    bool bare = typed[strspn(typed, "0123456789.")] == '\0';
    enum perpend_status status = perpend_length_parse(typed, unit, value);
    if (status == PERPEND_OK && session->thousandths && bare && unit == PERPEND_UNIT_INCH &&
        *value >= PERPEND_MM_PER_INCH)
        *value /= 1000;
    return status;
}

/* On a dial of thousandths "72" means 0.072, after one question. Value: READ; DID when something else was
   typed, which comes next. */
static enum next ask_thousandths(struct session *session, const char *typed, double *value)
{
    const struct perpend_machine *machine = session_machine(session);
    char answer[ANSWER_SIZE];
    if (session->thousandths || machine->unit != PERPEND_UNIT_INCH ||
        *value < PERPEND_MM_PER_INCH || machine->setup.gauge.step > 0.00101 * PERPEND_MM_PER_INCH ||
        typed[strspn(typed, "0123456789.")] != '\0')
        return NEXT_READ;
    enum heard heard =
        session_ask(session, (struct question){.standing = "yes"}, THOUSANDTHS, THOUSANDTHS_HELP,
            SLOTS(SLOT_TEXT("typed", typed),
                SLOT_TEXT("reading", SHOWN_READING(session, *value / 1000))),
            answer);
    session->thousandths =
        heard == HEARD_ANSWER && (same_word(answer, "yes") || same_word(answer, "y"));
    *value /= session->thousandths ? 1000 : 1;
    if (heard == HEARD_ANSWER && !session->thousandths && !same_word(answer, "no"))
        dialogue_hear_next(session->dialogue, answer);
    return session_next(session, heard, session->thousandths ? NEXT_READ : NEXT_DID, NEXT_DID);
}

/* What is wrong with a reading, whoever's it is; SESSION_SENTENCES for nothing. */
static enum session_sentence fault_of_reading(
    const struct session *session, enum perpend_status status, double value)
{
    const struct perpend_gauge *gauge = &session_machine(session)->setup.gauge;
    return status == PERPEND_ERR_UNIT                             ? NO_UNIT
           : status == PERPEND_ERR_COMMA                          ? COMMA_DOUBT
           : fabs(value) > LARGEST                                ? READING_TOO_LARGE
           : perpend_gauge_at(gauge->kind)->no_minus && value < 0 ? READING_BELOW_NOTHING
                                                                  : SESSION_SENTENCES;
}

bool session_take_reading(struct session *session, const char *line, bool alone, enum next *next)
{
    const struct log_sweep *sweep = session_sweep(session);
    double bearing, value = 0;
    size_t skip = sweep_named(session, line, &sweep);
    size_t named = bearing_named(line + skip, &bearing);
    const char *typed = line + skip + named;
    bool here = sweep == session_sweep(session), goes = named > 0 && typed[0] == '\0' && here;
    enum perpend_status status = goes ? PERPEND_OK : parse_reading(session, typed, &value);
    if ((named == 0 && (skip > 0 || !alone)) ||
        (status != PERPEND_OK && status != PERPEND_ERR_UNIT && status != PERPEND_ERR_COMMA))
        return false;
    *next = goes ? NEXT_READ : ask_thousandths(session, typed, &value);
    if (*next != NEXT_READ)
        return true;
    enum session_sentence wrong = fault_of_reading(session, status, value);
    if (named == 0)
        bearing = session->turn.bearings[session_place_asked(session)];
    else if (wrong == SESSION_SENTENCES && here && !turn_add(&session->turn, bearing))
        wrong = BEARINGS_FULL;
    *next = wrong != SESSION_SENTENCES ? session_stay(session, wrong, NULL)
            : goes ? session_go_to(session, turn_find(&session->turn, bearing), false)
            : here ? keep_reading(session, bearing, value, typed)
                   : correct_earlier(session, sweep, bearing, value, typed);
    return true;
}

bool session_take_doubtful(
    struct session *session, const char *doubtful, const char *line, enum next *next)
{
    const char *last = strrchr(doubtful, ' ');
    const char *rest = word_then(line, last != NULL ? last + 1 : doubtful);
    struct buffer whole = {0};
    buffer_addf(&whole, "%s %s", doubtful, rest != NULL ? rest : line);
    bool taken = (rest == NULL && session_take_reading(session, line, false, next)) ||
                 session_take_reading(session, buffer_text(&whole), false, next);
    buffer_finish(&whole);
    return taken;
}

/* ---- a test cut ---------------------------------------------------------------------------- */

/* "back 0.08" or "0": a step of passes along X, or along Y. */
static bool parse_step(const struct session *session, const char *typed, bool along_x,
    struct perpend_cut_reading *step)
{
    const double side = along_x ? 0.0 : PERPEND_PI / 2.0;
    const size_t named = bearing_named(typed, &step->higher);
    step->higher = named > 0 ? step->higher : side;
    return parse_reading(session, typed + named, &step->step) == PERPEND_OK && step->step >= 0.0 &&
           step->step <= LARGEST / 10.0 && (named > 0 || step->step == 0.0) &&
           fabs(sin(step->higher - side)) < 1e-9;
}

/* Ask for one step, and keep it unless there is none. */
static enum heard ask_step(
    struct session *session, struct perpend_cut made, bool along_x, bool *kept)
{
    const struct slot *slots =
        SLOTS(SLOT_IF("x", along_x), SLOT_TEXT("stepover", SHOWN_READING(session, made.stepover)),
            SLOT_TEXT("half", SHOWN_READING(session, made.apart / 2.0)));
    struct perpend_cut_reading step;
    char answer[ANSWER_SIZE];
    session_say(session, CUT_HOW, slots);
    for (;;) {
        const enum heard heard = session_ask(
            session, (struct question){.may_be_empty = true}, CUT_PROMPT, CUT_HELP, slots, answer);
        if (heard != HEARD_ANSWER || answer[0] == '\0')
            return heard;
        if (parse_step(session, answer, along_x, &step))
            break;
        session_say(session, CUT_REFUSED, slots);
    }
    if (!session_open(session) ||
        !log_cut_accept(
            session->book, session_sweep(session)->id, &step, answer, NULL, &session->fault) ||
        !session_load(session))
        return HEARD_FAIL;
    session_say(session, CUT_KEPT,
        SLOTS(SLOT_TEXT("word", "kept"), SLOT_TEXT("at", SHOWN_BEARING(session, step.higher)),
            SLOT_TEXT("reading", SHOWN_READING(session, step.step))));
    *kept = true;
    return HEARD_ANSWER;
}

/* Along X, then along Y, from where undo leads back. Alone it is enough when nothing has been read with
   the arm; else the sweep goes on where it stands. */
enum next session_cut(struct session *session, const char *rest)
{
    const struct perpend_machine *machine = session_machine(session);
    const struct perpend_cut made = perpend_cut_usual(machine->cut, &machine->cutter);
    bool kept = false;
    (void)rest;
    if (isnan(perpend_cut_lever(made, &machine->cutter)))
        return session_stay(session, CUT_NOT_HERE, NULL);
    for (int way = 0; way < 2; way++) {
        const enum heard heard = ask_step(session, made, way == 0, &kept);
        if (heard == HEARD_FAIL ||
            (heard == HEARD_UNDO && kept && session_undo(session, "1") == NEXT_FAIL))
            return NEXT_FAIL;
        if (heard == HEARD_UNDO && way > 0) {
            kept = false;
            way = -1;
        } else if (heard != HEARD_ANSWER)
            return session_next(session, heard, NEXT_DID, NEXT_DID);
    }
    const struct log_sweep *sweep = session_sweep(session);
    const size_t read = session_read_at(session, sweep, ANYWHERE).count;
    const bool done = read == 0 || session_place_asked(session) == session->turn.count;
    return sweep->cut_count > 0 && done ? NEXT_ANSWER : NEXT_DID;
}
