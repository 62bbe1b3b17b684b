/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One reading a line: taken, checked, into the log, and only then said to be kept. */
#include "cli/sweep/session.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include <perpend/status.h>

#include "files/names.h"

#define LARGEST 1000.0 /* mm; no reading is larger */

struct read_at session_read_at(
    const struct session *session, const struct log_sweep *sweep, size_t place)
{
    struct read_at at = {.low = INFINITY, .high = -INFINITY};
    for (size_t i = 0; i < sweep->reading_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        double value = reading->reading.value;
        if (!reading->counts ||
            (place != ANYWHERE && turn_find(&session->turn, reading->reading.bearing) != place))
            continue;
        at.mean += value;
        at.low = fmin(at.low, value);
        at.high = fmax(at.high, value);
        at.last = reading;
        at.count++;
    }
    at.mean /= (double)at.count;
    return at;
}

static struct read_at readings_at(const struct session *session, size_t place)
{
    return session_read_at(session, session_sweep(session), place);
}

/* The bearing that is asked for: one gone to, else the next without a reading; turn.count for none. */
static size_t place_asked(const struct session *session)
{
    const struct turn *turn = &session->turn;
    size_t place = 0;
    if (session->asked < turn->count)
        return session->asked;
    while (place < turn->count && (turn->skipped[place] || readings_at(session, place).count > 0))
        place++;
    return place;
}

static enum next go_to(struct session *session, size_t place, bool repeats)
{
    session->asked = place;
    session->repeats = repeats;
    session->drawn = false;
    return NEXT_READ;
}

static enum next refuse(
    struct session *session, enum session_sentence sentence, const struct slot *slots)
{
    session_say(session, sentence, slots);
    return NEXT_READ;
}

/* The same where it may be at the answer as well. */
static enum next stay(
    struct session *session, enum session_sentence sentence, const struct slot *slots)
{
    session_say(session, sentence, slots);
    return NEXT_DID;
}

/* ---- what is shown ------------------------------------------------------------------------- */

static void say_kept(
    struct session *session, const char *word, const char *sweep, double bearing, double value)
{
    const struct slot *slots = SLOTS(SLOT_TEXT("word", word), SLOT_NAME("sweep", sweep),
        SLOT_TEXT("at", SHOWN_BEARING(session, bearing)),
        SLOT_TEXT("reading", SHOWN_READING(session, value)));
    session->drawn = false;
    if (sweep[0] == '\0') /* the compass with the reading in its place, then what was kept */
        session_draw_turn(session, place_asked(session));
    session_say(session, READING_KEPT, slots);
}

/* ---- the words ----------------------------------------------------------------------------- */

/* Take back the last reading of the sweep at hand. */
static bool withdraw_last(struct session *session)
{
    const struct log_reading *last = readings_at(session, ANYWHERE).last;
    struct perpend_reading reading = last->reading;
    if (session->turn.count == 0)
        session_bearings_of(session, session_sweep(session));
    if (!log_reading_withdraw(session->book, last->id, NULL, &session->fault) ||
        !session_load(session))
        return false;
    for (size_t i = turn_find(&session->turn, reading.bearing); i < session->turn.count; i++)
        session->turn.skipped[i] = false;
    go_to(session, NOWHERE, false);
    say_kept(session, "taken back", "", reading.bearing, reading.value);
    return true;
}

enum next session_step_out(struct session *session)
{
    const struct log_sweep *sweep = session_read_sweep(session);
    enum next back = session->instead_of != 0 ? NEXT_ANSWER : NEXT_PLACE;
    if (sweep == NULL)
        return session_machine(session)->setup.bed_faced ? NEXT_BEARINGS : NEXT_SWEEP;
    session->drafted = false;
    session->instead_of = 0;
    session->at = 0;
    session_bearings_of(session, sweep);
    if (session_waits(session))
        return back;
    int64_t copy;
    if (!log_did_unsay(session->book, sweep->id, "what was told as done was taken back", &copy,
            &session->fault) ||
        !session_load(session))
        return NEXT_FAIL;
    session_say(session, DID_UNSAID, NULL);
    return NEXT_ANSWER;
}

enum next session_step_back(struct session *session)
{
    if (session->asked < session->turn.count)
        return go_to(session, NOWHERE, false);
    if (log_sweep_counted(session_sweep(session)) == 0)
        return session_step_out(session);
    return withdraw_last(session) ? NEXT_READ : NEXT_FAIL;
}

enum next session_undo(struct session *session, const char *rest)
{
    double times;
    size_t there = log_sweep_counted(session_sweep(session));
    if (perpend_number_parse(rest, &times) != PERPEND_OK || times < 1 || times != floor(times))
        return stay(session, UNDO_WHAT, NULL);
    if (times > (double)there)
        return stay(session, UNDO_ONLY, SLOTS(SLOT_COUNT("count", there)));
    for (size_t taken = 0; taken < (size_t)times; taken++)
        if (!withdraw_last(session))
            return NEXT_FAIL;
    return NEXT_READ;
}

enum next session_repeat(struct session *session, const char *rest)
{
    const struct log_reading *last = readings_at(session, ANYWHERE).last;
    bool there = rest[0] != '\0';
    double bearing = last != NULL ? last->reading.bearing : 0;
    size_t place = session->turn.count;
    if (there ? perpend_bearing_parse(rest, &bearing) == PERPEND_OK : last != NULL)
        place = turn_find(&session->turn, bearing);
    if (place == session->turn.count || readings_at(session, place).count == 0)
        return refuse(session, AGAIN_NONE, SLOTS(SLOT_IF("there", there)));
    return go_to(session, place, true);
}

enum next session_skip_bearing(struct session *session, const char *rest)
{
    size_t place = place_asked(session);
    (void)rest;
    session->turn.skipped[place] = readings_at(session, place).count == 0;
    return go_to(session, NOWHERE, false);
}

enum next session_skip_missing(struct session *session, const char *rest)
{
    struct turn *turn = &session->turn;
    (void)rest;
    for (size_t i = 0; i < turn->count; i++)
        turn->skipped[i] = turn->skipped[i] || readings_at(session, i).count == 0;
    return go_to(session, NOWHERE, false);
}

enum next session_list(struct session *session, const char *rest)
{
    const struct log_sweep *sweep = session_sweep(session);
    (void)rest;
    if (log_sweep_counted(sweep) == 0)
        session_say(session, READINGS_NONE, NULL);
    for (size_t i = 0; i < sweep->reading_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        dialogue_say(session->dialogue, "  %-11s  \t%s%s",
            SHOWN_BEARING(session, reading->reading.bearing),
            SHOWN_READING(session, reading->reading.value),
            !reading->counts                ? " (taken back)"
            : reading->correction_count > 0 ? " (corrected)"
                                            : "");
    }
    return NEXT_DID;
}

enum next session_other_bearings(struct session *session, const char *rest)
{
    struct buffer complaint = {0};
    if (log_sweep_counted(session_sweep(session)) > 0)
        return refuse(session, BEARINGS_TOO_LATE, NULL);
    if (rest[0] == '\0')
        return NEXT_BEARINGS;
    if (session_take_bearings(session, rest, &complaint))
        go_to(session, NOWHERE, false);
    else
        dialogue_say(session->dialogue, "%s", buffer_text(&complaint));
    buffer_finish(&complaint);
    return NEXT_READ;
}

/* ---- a reading ----------------------------------------------------------------------------- */

/* Into the log first, then onto the screen. */
static enum next keep_reading(
    struct session *session, double bearing, double value, const char *typed)
{
    size_t place = turn_find(&session->turn, bearing);
    struct read_at at = readings_at(session, place);
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
    go_to(session, NOWHERE, false);
    say_kept(session, corrects ? "corrected" : "kept", "", bearing, value);
    return NEXT_READ;
}

/* One of another sweep, or of another place of this one. */
static enum next correct_earlier(struct session *session, const struct log_sweep *sweep,
    double bearing, double value, const char *typed)
{
    struct turn there = {.count = 0};
    const struct log_reading *old = NULL;
    turn_add(&there, bearing);
    for (size_t i = 0; i < sweep->reading_count; i++)
        if (sweep->readings[i].counts &&
            turn_find(&there, sweep->readings[i].reading.bearing) < there.count)
            old = &sweep->readings[i];
    if (old == NULL)
        return stay(session, NONE_THERE,
            SLOTS(
                SLOT_NAME("sweep", sweep->name), SLOT_TEXT("at", SHOWN_BEARING(session, bearing))));
    struct perpend_reading reading = {bearing, value, sweep->x, sweep->y};
    if (!log_reading_correct(session->book, old->id, &reading, typed, NULL, &session->fault))
        return NEXT_FAIL;
    say_kept(session, "corrected", sweep->name, bearing, value);
    return session_load(session) ? NEXT_READ : NEXT_FAIL;
}

/* ---- a line that is a reading -------------------------------------------------------------- */

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

/* A length, "72" being thousandths of an inch where that was agreed on. */
static enum perpend_status parse_reading(
    const struct session *session, const char *typed, double *value)
{
    enum perpend_unit unit = session_machine(session)->unit;
    bool whole = typed[0] != '\0' && typed[strspn(typed, "0123456789")] == '\0';
    enum perpend_status status = perpend_length_parse(typed, unit, value);
    if (status == PERPEND_OK && session->thousandths && whole && unit == PERPEND_UNIT_INCH)
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
        typed[strspn(typed, "0123456789")] != '\0')
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
        bearing = session->turn.bearings[place_asked(session)];
    else if (wrong == SESSION_SENTENCES && here && !turn_add(&session->turn, bearing))
        wrong = BEARINGS_FULL;
    *next = wrong != SESSION_SENTENCES ? refuse(session, wrong, NULL)
            : goes                     ? go_to(session, turn_find(&session->turn, bearing), false)
            : here                     ? keep_reading(session, bearing, value, typed)
                                       : correct_earlier(session, sweep, bearing, value, typed);
    return true;
}

/* ---- the state ----------------------------------------------------------------------------- */

/* Somebody comes back to a sweep that was begun: what was read and what will be read must be of
   the same spindle at the same height. */
static void say_resumed(struct session *session)
{
    size_t counted = log_sweep_counted(session_sweep(session));
    char undo_all[32] = "undo";
    if (counted > 1)
        snprintf(undo_all, sizeof undo_all, "undo %zu", counted);
    if (session->resumed && counted > 0)
        session_say(session, SWEEP_RESUMED, SLOTS(SLOT_TEXT("undo", undo_all)));
    session->resumed = false;
}

static enum next refuse_line(struct session *session, const char *line)
{
    struct buffer words = {0};
    char start[32];
    snprintf(start, sizeof start, "%.30s", line);
    session_add_words(session, &words, AT_READINGS, NULL);
    session_say(session, NO_WORD,
        SLOTS(SLOT_TEXT("typed", start), SLOT_IF("reading", true),
            SLOT_TEXT("words", buffer_text(&words))));
    buffer_finish(&words);
    return NEXT_READ;
}

enum next session_read(struct session *session)
{
    size_t place = place_asked(session), read = 0;
    struct buffer help = {0};
    char line[ANSWER_SIZE];
    enum next next;
    for (size_t i = 0; i < session->turn.count; i++)
        read += readings_at(session, i).count > 0;
    if (place == session->turn.count && read >= 3)
        return NEXT_PLACE;
    if (place == session->turn.count) {
        memset(session->turn.skipped, 0, sizeof session->turn.skipped);
        return refuse(session, READINGS_TOO_FEW, NULL);
    }
    say_resumed(session);
    session_draw_turn(session, place);
    session_add_help(session, &help, AT_READINGS);
    enum heard heard =
        session_ask(session, (struct question){.help = buffer_text(&help), .help_is_whole = true},
            READING_PROMPT, READING_HELP,
            SLOTS(SLOT_COUNT("number", place + 1), SLOT_COUNT("count", session->turn.count),
                SLOT_IF("again", session->repeats),
                SLOT_TEXT("at", SHOWN_BEARING(session, session->turn.bearings[place]))),
            line);
    buffer_finish(&help);
    if (heard == HEARD_UNDO)
        return session_step_back(session);
    if (heard != HEARD_ANSWER)
        return session_next(session, heard, NEXT_READ, NEXT_READ);
    if (session_obey(session, line, AT_READINGS, &next) ||
        session_take_reading(session, line, true, &next))
        return next == NEXT_DID ? NEXT_READ : next;
    return refuse_line(session, line);
}
