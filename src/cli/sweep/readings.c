/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One reading a line: taken, checked, into the log, and only then said to be kept. */
#include "cli/sweep/session.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "cli/sweep/compass.h"
#include "files/names.h"

#define LARGEST 1000.0 /* mm; no reading is larger */
#define NONE_MISSING(turn) ((turn)->count)

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

/* The next bearing without a reading. */
static size_t next_place(const struct session *session)
{
    const struct turn *turn = &session->turn;
    size_t place = 0;
    while (place < turn->count && (turn->skipped[place] || readings_at(session, place).count > 0))
        place++;
    return place;
}

static size_t places_read(const struct session *session)
{
    size_t places = 0;
    for (size_t i = 0; i < session->turn.count; i++)
        places += readings_at(session, i).count > 0 ? 1 : 0;
    return places;
}

/* ---- what is shown ------------------------------------------------------------------------- */

/* "right  0.55 x2 ?", "left  left out", "back  next" */
static void label_place(
    const struct session *session, size_t i, size_t next, struct compass_place *place)
{
    struct read_at at = readings_at(session, i);
    const struct turn *turn = &session->turn;
    char name[WORDS_LABEL], mean[READING_TEXT], times[24] = "";
    *place = (struct compass_place){
        .bearing = turn->bearings[i], .marked = at.count > 0 || turn->skipped[i]};
    session_bearing(session, place->bearing, name);
    if (at.count > 1)
        snprintf(times, sizeof times, " x%zu", at.count);
    if (at.count > 0)
        snprintf(place->label, sizeof place->label, "%s  %.15s%s%s", name,
            session_reading(session, at.mean, false, mean), times, i == next ? " ?" : "");
    else
        snprintf(place->label, sizeof place->label, "%s%s", name,
            turn->skipped[i] ? "  left out"
            : i == next      ? "  next"
                             : "");
}

static void show_turn(struct session *session, size_t next)
{
    struct compass_place places[TURN_BEARINGS];
    struct buffer text = {0};
    for (size_t i = 0; i < session->turn.count; i++)
        label_place(session, i, next, &places[i]);
    compass_add(&text, places, session->turn.count, next, dialogue_utf8(session->dialogue));
    dialogue_space(session->dialogue);
    dialogue_show(session->dialogue, buffer_text(&text));
    buffer_finish(&text);
}

static void say_kept(struct session *session, const char *word, double bearing, double value)
{
    session_say(session, READING_KEPT,
        SLOTS(SLOT_TEXT("word", word), SLOT_TEXT("at", SHOWN_BEARING(session, bearing)),
            SLOT_TEXT("reading", SHOWN_READING(session, value))));
}

/* ---- the words ----------------------------------------------------------------------------- */

/* What is asked for, and what a word makes of it. */
struct asking {
    struct session *session;
    size_t place; /* the bearing asked for */
    bool again;   /* its reading is repeated, not put right */
    bool stale;   /* there is something new to see */
    bool over;    /* all has been looked over */
};

/* Refuse a line: it is asked for again. */
static enum next refuse(
    const struct asking *asking, enum session_sentence sentence, const struct slot *slots)
{
    session_say(asking->session, sentence, slots);
    return NEXT_READ;
}

static enum next go_to(struct asking *asking, size_t place, bool again)
{
    asking->place = place;
    asking->again = again;
    asking->stale = true;
    return NEXT_READ;
}

/* To the next bearing, once a word has done its work. */
static enum next go_on(struct asking *asking)
{
    struct session *session = asking->session;
    if (next_place(session) == NONE_MISSING(&session->turn) && places_read(session) < 3) {
        session_say(session, READINGS_TOO_FEW, NULL);
        memset(session->turn.skipped, 0, sizeof session->turn.skipped);
    }
    return go_to(asking, next_place(session), false);
}

static enum next undo(struct asking *asking, const char *rest)
{
    struct session *session = asking->session;
    double times = 1;
    size_t there = log_sweep_counted(session_sweep(session));
    if (rest[0] != '\0' &&
        (perpend_number_parse(rest, &times) != PERPEND_OK || times < 1 || times != floor(times)))
        return refuse(asking, UNDO_WHAT, NULL);
    if (times > (double)there)
        return refuse(asking, UNDO_ONLY, SLOTS(SLOT_COUNT("count", there)));
    for (size_t taken = 0; taken < (size_t)times; taken++) {
        const struct log_sweep *sweep = session_sweep(session);
        struct read_at all = readings_at(session, ANYWHERE);
        if (all.last == NULL)
            break;
        if (sweep->did_kind != PERPEND_DID_UNSTATED && all.count == 1) {
            session_say(session, UNDO_LAST, NULL);
            break;
        }
        struct perpend_reading reading = all.last->reading;
        if (!log_reading_withdraw(session->book, all.last->id, NULL, &session->fault) ||
            !session_load(session))
            return NEXT_FAIL;
        for (size_t i = turn_find(&session->turn, reading.bearing); i < session->turn.count; i++)
            session->turn.skipped[i] = false;
        say_kept(session, "taken back", reading.bearing, reading.value);
    }
    return go_on(asking);
}

static enum next again(struct asking *asking, const char *rest)
{
    const struct session *session = asking->session;
    const struct log_reading *last = readings_at(session, ANYWHERE).last;
    bool there = rest[0] != '\0';
    double bearing = last != NULL ? last->reading.bearing : 0;
    size_t place = session->turn.count;
    if (there ? perpend_bearing_parse(rest, &bearing) == PERPEND_OK : last != NULL)
        place = turn_find(&session->turn, bearing);
    if (place == session->turn.count || readings_at(session, place).count == 0)
        return refuse(asking, AGAIN_NONE, SLOTS(SLOT_IF("there", there)));
    return go_to(asking, place, true);
}

static enum next skip(struct asking *asking, const char *word)
{
    struct turn *turn = &asking->session->turn;
    (void)word;
    if (asking->place == NONE_MISSING(turn))
        return refuse(asking, SKIP_NONE, NULL);
    turn->skipped[asking->place] = readings_at(asking->session, asking->place).count == 0;
    return go_on(asking);
}

static enum next done(struct asking *asking, const char *word)
{
    struct turn *turn = &asking->session->turn;
    (void)word;
    for (size_t i = 0; i < turn->count; i++)
        turn->skipped[i] = turn->skipped[i] || readings_at(asking->session, i).count == 0;
    return go_on(asking);
}

static enum next list(struct asking *asking, const char *word)
{
    struct session *session = asking->session;
    const struct log_sweep *sweep = session_sweep(session);
    (void)word;
    dialogue_space(session->dialogue);
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
    dialogue_space(session->dialogue);
    return NEXT_READ;
}

static enum next choose(struct asking *asking, const char *line)
{
    struct session *session = asking->session;
    if (log_sweep_counted(session_sweep(session)) > 0)
        return refuse(asking, COUNT_TOO_LATE, NULL);
    enum heard heard = session_choose_bearings(session, line);
    enum next next = session_next(session, heard, NEXT_READ, NEXT_READ);
    return next == NEXT_READ ? go_on(asking) : next;
}

static const struct command {
    const char *word;
    enum next (*alone)(struct asking *asking, const char *word);
    enum next (*with_rest)(
        struct asking *asking, const char *rest); /* what stands behind the word */
} commands[] = {
    {"undo", NULL, undo},
    {"again", NULL, again},
    {"skip", skip, NULL},
    {"four", choose, NULL},
    {"eight", choose, NULL},
    {"own", choose, NULL},
    {"done", done, NULL},
    {"list", list, NULL},
};
enum { COMMANDS = sizeof commands / sizeof *commands };

/* ---- a reading ----------------------------------------------------------------------------- */

/* Into the log first, then onto the screen. */
static enum next keep_reading(
    struct asking *asking, double bearing, double value, const char *typed)
{
    struct session *session = asking->session;
    size_t place = turn_find(&session->turn, bearing);
    struct read_at at = readings_at(session, place);
    bool corrects = at.count > 0 && !(asking->again && place == asking->place);
    bool keep;
    enum next next = session_make_sure(session, bearing, value, corrects, typed, &keep);
    if (next != NEXT_READ)
        return next;
    if (!keep)
        return go_on(asking);
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
    say_kept(session, corrects ? "corrected" : "kept", bearing, value);
    return go_on(asking);
}

size_t session_bearing_at(const char *line, double *bearing)
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

/* "0.5", "left 0.5", or "left" to go there. */
static enum next take_reading(struct asking *asking, const char *line)
{
    struct session *session = asking->session;
    enum perpend_unit unit = session_machine(session)->unit;
    struct turn *turn = &session->turn;
    double bearing, value = 0;
    size_t named = session_bearing_at(line, &bearing);
    const char *typed = line + named;
    bool goes = named > 0 && typed[0] == '\0';
    enum perpend_status status = goes ? PERPEND_OK : perpend_length_parse(typed, unit, &value);
    if (status == PERPEND_ERR_UNIT)
        return refuse(asking, NO_UNIT, NULL);
    if (status != PERPEND_OK) {
        char start[32];
        snprintf(start, sizeof start, "%.30s", typed);
        return refuse(asking, NO_READING, SLOTS(SLOT_TEXT("typed", start)));
    }
    if (fabs(value) > LARGEST)
        return refuse(asking, READING_TOO_LARGE, NULL);
    if (perpend_gauge_at(session_machine(session)->setup.gauge.kind)->no_minus && value < 0)
        return refuse(asking, READING_BELOW_NOTHING, NULL);
    if (named == 0 && asking->place == NONE_MISSING(turn))
        return refuse(asking, WHICH_BEARING, NULL);
    if (named == 0)
        bearing = turn->bearings[asking->place];
    else if (!turn_add(turn, bearing))
        return refuse(asking, BEARINGS_FULL, NULL);
    if (!goes)
        return keep_reading(asking, bearing, value, typed);
    return go_to(asking, turn_find(turn, bearing), false);
}

/* ---- line after line ----------------------------------------------------------------------- */

static enum next obey(struct asking *asking, const char *line)
{
    for (size_t i = 0; i < COMMANDS; i++) {
        const struct command *command = &commands[i];
        const char *rest = word_then(line, command->word);
        if (rest != NULL && command->with_rest != NULL)
            return command->with_rest(asking, rest);
        if (rest != NULL && rest[0] == '\0')
            return command->alone(asking, line);
    }
    asking->over = line[0] == '\0';
    return asking->over ? NEXT_READ : take_reading(asking, line);
}

/* The question for one bearing. */
static enum heard ask_line(struct asking *asking, char *line)
{
    const struct session *session = asking->session;
    const struct turn *turn = &session->turn;
    bool all = asking->place == NONE_MISSING(turn);
    struct question question = {.may_be_empty = all, .help_is_whole = true};
    return session_ask(session, question, READING_PROMPT, READING_HELP,
        SLOTS(SLOT_IF("all", all), SLOT_COUNT("number", asking->place + 1),
            SLOT_COUNT("count", turn->count), SLOT_IF("again", asking->again),
            SLOT_TEXT("at", all ? "" : SHOWN_BEARING(session, turn->bearings[asking->place]))),
        line);
}

/* Somebody comes back to a sweep that was begun: what was read and what will be read must be of
   the same spindle at the same height. */
static void say_resumed(struct session *session)
{
    size_t counted = log_sweep_counted(session_sweep(session));
    char undo_all[32] = "undo";
    if (counted > 1)
        snprintf(undo_all, sizeof undo_all, "undo %zu", counted);
    if (counted > 0) {
        dialogue_space(session->dialogue);
        session_say(session, SWEEP_RESUMED, SLOTS(SLOT_TEXT("undo", undo_all)));
    }
}

/* Undo: back from a bearing that was gone to, else the last reading, else out of this sweep: to the
   bearings of the first, or to what was done before this one. */
static enum next step_back(struct asking *asking)
{
    struct session *session = asking->session;
    size_t next = next_place(session);
    if (asking->again || asking->place != next)
        return go_to(asking, next, false);
    if (log_sweep_counted(session_sweep(session)) > 0)
        return undo(asking, "");
    if (session_read_sweep(session) == NULL)
        return NEXT_BEARINGS;
    session->drafted = false;
    session->turn = session->turn_before;
    return NEXT_ANSWER;
}

static enum next read_lines(struct session *session, bool review)
{
    struct asking asking = {.session = session, .place = next_place(session), .stale = true};
    bool missing = asking.place < NONE_MISSING(&session->turn);
    if (session->resumed && missing)
        say_resumed(session);
    session->resumed = false;
    while (asking.place < NONE_MISSING(&session->turn) || (review && !asking.over)) {
        char line[ANSWER_SIZE];
        if (asking.stale)
            show_turn(session, asking.place);
        asking.stale = false;
        enum heard heard = ask_line(&asking, line);
        enum next next = heard == HEARD_ANSWER ? obey(&asking, line)
                         : heard == HEARD_UNDO ? step_back(&asking)
                                               : session_next(session, heard, NEXT_READ, NEXT_READ);
        if (next != NEXT_READ)
            return next;
    }
    if (asking.stale)
        show_turn(session, asking.place);
    return NEXT_PLACE;
}

enum next session_read(struct session *session)
{
    return read_lines(session, false);
}

enum next session_review(struct session *session)
{
    const struct log_sweep *sweep = session_read_sweep(session);
    if (session->turn.count == 0)
        session_bearings_of(session, sweep);
    session->reviewed = sweep->id;
    enum next next = read_lines(session, true);
    session->reviewed = 0;
    return next;
}
