/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One reading a line: taken, checked, into the log, and only then said to be kept. */
#include "cli/sweep/session.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

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
size_t session_place_asked(const struct session *session)
{
    const struct turn *turn = &session->turn;
    size_t place = 0;
    if (session->asked < turn->count)
        return session->asked;
    while (place < turn->count && (turn->skipped[place] || readings_at(session, place).count > 0))
        place++;
    return place;
}

enum next session_go_to(struct session *session, size_t place, bool repeats)
{
    session->asked = place;
    session->repeats = repeats;
    session->drawn = false;
    return NEXT_READ;
}

enum next session_stay(
    struct session *session, enum session_sentence sentence, const struct slot *slots)
{
    session_say(session, sentence, slots);
    return NEXT_DID;
}

/* ---- what is shown ------------------------------------------------------------------------- */

void session_say_kept(
    struct session *session, const char *word, const char *sweep, double bearing, double value)
{
    const struct slot *slots = SLOTS(SLOT_TEXT("word", word), SLOT_NAME("sweep", sweep),
        SLOT_TEXT("at", SHOWN_BEARING(session, bearing)),
        SLOT_TEXT("reading", SHOWN_READING(session, value)));
    session->drawn = false;
    if (sweep[0] == '\0') /* the compass with the reading in its place, then what was kept */
        session_draw_turn(session, session_place_asked(session));
    session_say(session, READING_KEPT, slots);
}

/* ---- the words ----------------------------------------------------------------------------- */

/* Take back the last reading of the sweep at hand. */
static bool withdraw_last(struct session *session)
{
    const struct log_sweep *sweep = session_sweep(session);
    const struct log_reading *last = readings_at(session, ANYWHERE).last;
    for (size_t i = 0; i < sweep->cut_count; i++)
        if (sweep->cuts[i].counts && (last == NULL || sweep->cuts[i].id > last->id))
            last = &sweep->cuts[i];
    assert(last != NULL); /* there is one to take back */
    struct perpend_reading reading = last->reading;
    const bool step = last->cut != 0;
    if (session->turn.count == 0)
        session_bearings_of(session, session_sweep(session));
    if (!log_reading_withdraw(session->book, last->id, NULL, &session->fault) ||
        !session_load(session))
        return false;
    for (size_t i = turn_find(&session->turn, reading.bearing); i < session->turn.count && !step;
         i++)
        session->turn.skipped[i] = false;
    session_go_to(session, NOWHERE, false);
    if (step)
        session_say(session, CUT_KEPT,
            SLOTS(SLOT_TEXT("word", "taken back"),
                SLOT_TEXT("at", SHOWN_BEARING(session, reading.bearing)),
                SLOT_TEXT("reading", SHOWN_READING(session, reading.value))));
    else
        session_say_kept(session, "taken back", "", reading.bearing, reading.value);
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
        return session_go_to(session, NOWHERE, false);
    if (log_sweep_counted(session_sweep(session)) == 0)
        return session_step_out(session);
    return withdraw_last(session) ? NEXT_READ : NEXT_FAIL;
}

enum next session_undo(struct session *session, const char *rest)
{
    double times;
    size_t there = log_sweep_counted(session_sweep(session));
    if (perpend_number_parse(rest, &times) != PERPEND_OK || times < 1 || times != floor(times))
        return session_stay(session, UNDO_WHAT, NULL);
    if (times > (double)there)
        return session_stay(session, UNDO_ONLY, SLOTS(SLOT_COUNT("count", there)));
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
        return session_stay(session, AGAIN_NONE, SLOTS(SLOT_IF("there", there)));
    return session_go_to(session, place, true);
}

enum next session_skip_bearing(struct session *session, const char *rest)
{
    size_t place = session_place_asked(session);
    (void)rest;
    session->turn.skipped[place] = readings_at(session, place).count == 0;
    return session_go_to(session, NOWHERE, false);
}

enum next session_skip_missing(struct session *session, const char *rest)
{
    struct turn *turn = &session->turn;
    (void)rest;
    for (size_t i = 0; i < turn->count; i++)
        turn->skipped[i] = turn->skipped[i] || readings_at(session, i).count == 0;
    return session_go_to(session, NOWHERE, false);
}

enum next session_list(struct session *session, const char *rest)
{
    const struct log_sweep *sweep = session_sweep(session);
    (void)rest;
    if (log_sweep_counted(sweep) == 0)
        session_say(session, READINGS_NONE, NULL);
    for (size_t i = 0; i < sweep->reading_count + sweep->cut_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        dialogue_say(session->dialogue, "  %-11s  \t%s%s%s",
            SHOWN_BEARING(session, reading->reading.bearing), reading->cut ? "higher by " : "",
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
        return session_stay(session, BEARINGS_TOO_LATE, NULL);
    if (rest[0] == '\0')
        return NEXT_BEARINGS;
    if (session_take_bearings(session, rest, &complaint))
        session_go_to(session, NOWHERE, false);
    else
        dialogue_say(session->dialogue, "%s", buffer_text(&complaint));
    buffer_finish(&complaint);
    return NEXT_READ;
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

enum next session_read(struct session *session)
{
    size_t place = session_place_asked(session), read = 0;
    struct buffer help = {0};
    char line[ANSWER_SIZE];
    enum next next;
    for (size_t i = 0; i < session->turn.count; i++)
        read += readings_at(session, i).count > 0;
    if (place == session->turn.count && read >= 3)
        return NEXT_PLACE;
    if (place == session->turn.count) {
        memset(session->turn.skipped, 0, sizeof session->turn.skipped);
        session_say(session, READINGS_TOO_FEW, NULL);
        return NEXT_READ;
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
    return session_refuse_line(session, line, AT_READINGS);
}
