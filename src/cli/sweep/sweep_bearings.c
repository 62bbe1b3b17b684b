/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which bearings a sweep takes, in an order that turns the arm one way round. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "files/names.h"
#include "cli/sweep/sweep_session.h"

#define SAME_BEARING 1e-6 /* rad */
#define TURN (2 * PERPEND_PI)

/* From one bearing to another, against the clock seen from above, in [0, 2π). */
static double turn_between(double from, double to)
{
    double turn = fmod(from - to, TURN);
    if (turn < 0)
        turn += TURN;
    return turn > TURN - SAME_BEARING ? 0 : turn;
}

static bool same_bearing(double one, double other)
{
    double turn = turn_between(one, other);
    return turn < SAME_BEARING;
}

size_t session_place(const struct session *session, double bearing)
{
    for (size_t i = 0; i < session->bearing_count; i++)
        if (same_bearing(session->bearings[i], bearing))
            return i;
    return session->bearing_count;
}

bool session_add_bearing(struct session *session, double bearing)
{
    size_t at = session->bearing_count;
    if (session_place(session, bearing) < session->bearing_count)
        return true;
    if (session->bearing_count == PLAN_VIEW_PLACES)
        return false;
    while (at > 1 && turn_between(session->bearings[0], session->bearings[at - 1]) >
                         turn_between(session->bearings[0], bearing)) {
        session->bearings[at] = session->bearings[at - 1];
        session->skipped[at] = session->skipped[at - 1];
        at--;
    }
    session->bearings[at] = bearing;
    session->skipped[at] = false;
    session->bearing_count++;
    return true;
}

/* So many, equally spaced, from the front on by the right. */
static void equal_bearings(struct session *session, size_t count)
{
    session->bearing_count = 0;
    for (size_t i = 0; i < count; i++) {
        double bearing = PERPEND_PI - (double)i * TURN / (double)count;
        session->bearings[i] = bearing < 0 ? bearing + TURN : bearing;
        session->skipped[i] = false;
    }
    session->bearing_count = count;
}

/* The bearings of a sweep's readings that count; of all when it was set aside as a whole. */
static void bearings_of(struct session *session, const struct log_sweep *sweep)
{
    bool aside = log_sweep_counted(sweep) == 0;
    session->bearing_count = 0;
    for (size_t i = 0; i < sweep->reading_count; i++)
        if (sweep->readings[i].counts || aside)
            session_add_bearing(session, sweep->readings[i].reading.bearing);
}

/* Whether every reading of a sweep stands at one of the session's bearings. */
static bool covers(const struct session *session, const struct log_sweep *sweep)
{
    for (size_t i = 0; i < sweep->reading_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        if (reading->counts &&
            session_place(session, reading->reading.bearing) == session->bearing_count)
            return false;
    }
    return true;
}

static bool has_reading(const struct log_sweep *sweep, double bearing)
{
    for (size_t i = 0; i < sweep->reading_count; i++)
        if (sweep->readings[i].counts && same_bearing(bearing, sweep->readings[i].reading.bearing))
            return true;
    return false;
}

/* Whether the readings are those of the session's first bearings, two at least, and no others: the
   order in which they were taken tells how many there are to a turn. */
static bool begun(const struct session *session, const struct log_sweep *sweep)
{
    size_t first = 0;
    size_t all = 0;
    bool whole = true;
    for (size_t i = 0; i < session->bearing_count; i++) {
        bool found = has_reading(sweep, session->bearings[i]);
        whole = whole && found;
        first += whole ? 1 : 0;
        all += found ? 1 : 0;
    }
    return first == all && first >= 2;
}

struct own_list {
    double bearings[PLAN_VIEW_PLACES];
    size_t count;
};

/* Bearings parted by blanks or commas. */
static bool check_own(const char *answer, void *context, char *complaint, size_t size)
{
    struct own_list *list = context;
    const char *at = answer;
    list->count = 0;
    for (;;) {
        char word[32];
        double bearing;
        at += strspn(at, " ,;");
        size_t length = strcspn(at, " ,;");
        if (length == 0)
            break;
        snprintf(word, sizeof word, "%.*s", (int)length, at);
        if (length >= sizeof word || perpend_bearing_parse(word, &bearing) != PERPEND_OK) {
            snprintf(complaint, size,
                "\"%.30s\" is not a bearing; type names such as back-left, or degrees clockwise "
                "from the back.",
                word);
            return false;
        }
        for (size_t i = 0; i < list->count; i++) {
            if (same_bearing(list->bearings[i], bearing)) {
                snprintf(complaint, size,
                    "\"%.30s\" is there twice; once will do, again repeats a reading later.", word);
                return false;
            }
        }
        if (list->count == PLAN_VIEW_PLACES) {
            snprintf(complaint, size, "At most %d bearings.", PLAN_VIEW_PLACES);
            return false;
        }
        list->bearings[list->count++] = bearing;
        at += length;
    }
    if (list->count < 3) {
        snprintf(complaint, size, "Three bearings at least; four show a misread.");
        return false;
    }
    return true;
}

/* Whether a list turns one way round from its first bearing, `sign` +1 against the clock. */
static bool turns_one_way(const struct own_list *list, double sign)
{
    double before = 0;
    for (size_t i = 1; i < list->count; i++) {
        double turn = sign > 0 ? turn_between(list->bearings[0], list->bearings[i])
                               : turn_between(list->bearings[i], list->bearings[0]);
        if (turn <= before)
            return false;
        before = turn;
    }
    return true;
}

/* Take a list as it stands if it turns one way round, else in order. */
static void take_own(struct session *session, const struct own_list *list)
{
    memset(session->skipped, 0, sizeof session->skipped);
    session->bearing_count = 0;
    if (turns_one_way(list, 1) || turns_one_way(list, -1)) {
        memcpy(session->bearings, list->bearings, list->count * sizeof *list->bearings);
        session->bearing_count = list->count;
        return;
    }
    for (size_t i = 0; i < list->count; i++)
        session_add_bearing(session, list->bearings[i]);
    dialogue_say(session->dialogue, "Put in order, so that the arm turns one way round.");
}

static enum course ask_own(struct session *session)
{
    struct own_list list = {.count = 0};
    char answer[ANSWER_SIZE];
    struct question question = {
        .prompt = "bearings",
        .help =
            "Where the arm stops, parted by blanks: front right back left, or degrees clockwise "
            "seen from above, the back being 0: 0 60 120 180 240 300. Spread them over the whole "
            "turn.",
        .check = check_own,
        .context = &list,
    };
    enum heard heard = dialogue_ask(session->dialogue, &question, answer);
    if (heard == HEARD_ANSWER)
        take_own(session, &list);
    return session_course(heard);
}

/* "4", "8", "own", or a list at once. */
static bool check_count(const char *answer, void *context, char *complaint, size_t size)
{
    static const char *const words[] = {"4", "four", "8", "eight", "own"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (same_word(answer, words[i]))
            return true;
    if (strpbrk(answer, " ,;") != NULL)
        return check_own(answer, context, complaint, size);
    snprintf(complaint, size, "Type 4, 8 or own.");
    return false;
}

/* What the answer to how many says. */
static enum course take_count(struct session *session, const char *answer, struct own_list *list)
{
    if (list->count > 0) {
        take_own(session, list);
        return COURSE_ON;
    }
    if (same_word(answer, "own"))
        return ask_own(session);
    equal_bearings(session, same_word(answer, "8") || same_word(answer, "eight") ? 8 : 4);
    return COURSE_ON;
}

bool session_names_bearings(const char *answer)
{
    return same_word(answer, "four") || same_word(answer, "eight") || same_word(answer, "own");
}

enum course session_change_bearings(struct session *session, const char *answer)
{
    struct own_list list = {.count = 0};
    enum course course = take_count(session, answer, &list);
    session->bearings_changed = session->bearings_changed || course == COURSE_ON;
    return course;
}

static enum course ask_bearings(struct session *session, const char *standing)
{
    struct own_list list = {.count = 0};
    char answer[ANSWER_SIZE];
    struct question question = {
        .prompt = "4, 8 or own",
        .help = "4 are enough on most days. With 8, a single misread reading is found and named. A "
                "list of your own when something is in the arm's way.",
        .standing = standing,
        .check = check_count,
        .context = &list,
    };
    dialogue_space(session->dialogue);
    dialogue_say(session->dialogue, "How many readings to a turn of the arm?");
    dialogue_say(session->dialogue, "  4    \tfront, right, back, left: quick");
    dialogue_say(
        session->dialogue, "  8    \tthe corners as well: a misread shows, and the doubt shrinks");
    dialogue_say(session->dialogue, "  own  \ta list of your own");
    enum heard heard = dialogue_ask(session->dialogue, &question, answer);
    if (heard != HEARD_ANSWER)
        return session_course(heard);
    enum course course = take_count(session, answer, &list);
    return course == COURSE_BACK ? ask_bearings(session, standing) : course;
}

/* The latest sweep before the one at hand that has readings, be they set aside. */
static const struct log_sweep *sweep_before(const struct session *session)
{
    size_t count = session->record.sweep_count;
    for (size_t i = session->drafted || count == 0 ? count : count - 1; i > 0; i--)
        if (session->record.sweeps[i - 1].reading_count > 0)
            return &session->record.sweeps[i - 1];
    return NULL;
}

bool session_keep_bearings(struct session *session)
{
    const struct log_sweep *sweep = session_sweep(session);
    const struct log_sweep *before = session->bearings_anew ? NULL : sweep_before(session);
    if (session->bearings_known || before == NULL)
        return session->bearings_known;
    memset(session->skipped, 0, sizeof session->skipped);
    bearings_of(session, before);
    /* fewer are what was left of a sweep that was taken back */
    session->bearings_known = session->bearing_count >= 3 && covers(session, sweep);
    if (session->bearings_known && log_sweep_counted(sweep) > 1 && !begun(session, sweep)) {
        /* begun with four where the one before had others; else some were left out */
        equal_bearings(session, 4);
        session->bearings_known = !begun(session, sweep);
        if (session->bearings_known)
            bearings_of(session, before);
    }
    return session->bearings_known;
}

void session_bearings_back(struct session *session)
{
    if (session->bearings_changed)
        bearings_of(session, session_read_sweep(session));
    session->bearings_changed = false;
}

enum course session_choose_bearings(struct session *session)
{
    const struct log_sweep *sweep = session_sweep(session);
    const char *standing = "4";
    if (session_keep_bearings(session))
        return COURSE_ON;
    memset(session->skipped, 0, sizeof session->skipped);
    session->bearings_anew = false;
    if (log_sweep_counted(sweep) > 0) {
        equal_bearings(session, 4);
        if (!covers(session, sweep)) {
            equal_bearings(session, 8);
            standing = covers(session, sweep) ? "8" : "own";
        }
        session->bearings_known = begun(session, sweep);
        if (session->bearings_known)
            dialogue_say(session->dialogue, "Going on with %zu readings to a turn, as begun.",
                session->bearing_count);
    }
    if (session->bearings_known)
        return COURSE_ON;
    enum course course = ask_bearings(session, standing);
    session->bearings_known = course == COURSE_ON;
    /* what was read before stays, wherever it was */
    for (size_t i = 0; course == COURSE_ON && i < sweep->reading_count; i++)
        if (sweep->readings[i].counts)
            session_add_bearing(session, sweep->readings[i].reading.bearing);
    return course;
}
