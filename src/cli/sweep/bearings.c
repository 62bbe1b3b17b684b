/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which bearings a sweep takes: chosen, or as those of an earlier one. */
#include "cli/sweep/session.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "files/names.h"

/* ---- from what was read -------------------------------------------------------------------- */

void session_bearings_of(struct session *session, const struct log_sweep *sweep)
{
    bool aside = log_sweep_counted(sweep) == 0;
    session->turn.count = 0;
    for (size_t i = 0; i < sweep->reading_count; i++)
        if (sweep->readings[i].counts || aside)
            turn_add(&session->turn, sweep->readings[i].reading.bearing);
}

/* Where a sweep was read: a bit for each of a turn's bearings; whether elsewhere, too. */
struct places {
    uint64_t read;
    bool elsewhere;
};
static_assert(TURN_BEARINGS <= 64, "a bearing has no bit");

static struct places places_of(const struct turn *turn, const struct log_sweep *sweep)
{
    struct places places = {.read = 0};
    for (size_t i = 0; i < sweep->reading_count; i++) {
        size_t place = turn_find(turn, sweep->readings[i].reading.bearing);
        if (sweep->readings[i].counts && place < turn->count)
            places.read |= UINT64_C(1) << place;
        else if (sweep->readings[i].counts)
            places.elsewhere = true;
    }
    return places;
}

static bool covers(const struct turn *turn, const struct log_sweep *sweep)
{
    return !places_of(turn, sweep).elsewhere;
}

/* Whether the readings are those of a turn's first bearings, two at least, and no others: the order
   in which they were taken tells how many there are to a turn. */
static bool begun(const struct turn *turn, const struct log_sweep *sweep)
{
    struct places places = places_of(turn, sweep);
    return !places.elsewhere && places.read >= 3 && (places.read & (places.read + 1)) == 0;
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

bool session_find_bearings(struct session *session)
{
    const struct log_sweep *sweep = session_sweep(session), *before = sweep_before(session);
    struct turn *turn = &session->turn, four;
    if (turn->count > 0)
        return true;
    turn_spread(&four, 4);
    if (before != NULL)
        session_bearings_of(session, before);
    /* fewer than three are what was left of a sweep that was taken back; where some bearings have no
       reading they were left out, unless four were begun where the one before had others */
    if (turn->count >= 3 && covers(turn, sweep) &&
        (log_sweep_counted(sweep) < 2 || begun(turn, sweep) || !begun(&four, sweep)))
        return true;
    for (size_t count = 4; count <= 8; count += 4) {
        turn_spread(turn, count);
        if (begun(turn, sweep)) {
            session_say(session, AS_BEGUN, SLOTS(SLOT_COUNT("count", count)));
            return true;
        }
    }
    turn->count = 0;
    return false;
}

/* ---- chosen -------------------------------------------------------------------------------- */

/* Bearings parted by blanks or commas. */
static bool check_own(const char *answer, void *context, char *complaint, size_t size)
{
    struct turn *own = context;
    const char *at = answer + strspn(answer, " ,;");
    *own = (struct turn){.count = 0};
    while (*at != '\0') {
        char word[32];
        double bearing;
        size_t length = strcspn(at, " ,;");
        snprintf(word, sizeof word, "%.*s", (int)length, at);
        if (length >= sizeof word || perpend_bearing_parse(word, &bearing) != PERPEND_OK) {
            snprintf(complaint, size,
                "\"%.30s\" is not a bearing; type names such as back-left, or degrees clockwise "
                "from the back.",
                word);
            return false;
        }
        if (turn_find(own, bearing) < own->count) {
            snprintf(complaint, size,
                "\"%.30s\" is there twice; once will do, again repeats a reading later.", word);
            return false;
        }
        if (own->count == TURN_BEARINGS) {
            snprintf(complaint, size, "At most %d bearings.", TURN_BEARINGS);
            return false;
        }
        own->bearings[own->count++] = bearing; /* as typed: it may go either way round */
        at += length;
        at += strspn(at, " ,;");
    }
    if (own->count < 3)
        snprintf(complaint, size, "Three bearings at least; four show a misread.");
    return own->count >= 3;
}

/* "4", "four": so many, equally spaced; 0 for "own". False for other words. */
static bool bearings_named(const char *answer, size_t *count)
{
    static const struct {
        const char *word;
        size_t count;
    } choices[] = {{"4", 4}, {"four", 4}, {"8", 8}, {"eight", 8}, {"own", 0}};
    for (size_t i = 0; i < sizeof choices / sizeof *choices; i++) {
        *count = choices[i].count;
        if (same_word(answer, choices[i].word))
            return true;
    }
    return false;
}

enum heard session_choose_bearings(struct session *session, const char *choice)
{
    struct turn own;
    size_t count;
    char answer[ANSWER_SIZE];
    struct question question = {
        .prompt = "bearings",
        .help = session_sentences[OWN_HELP],
        .check = check_own,
        .context = &own,
    };
    if (!bearings_named(choice, &count)) /* a list at once */
        dialogue_hear_next(session->dialogue, choice);
    else if (count > 0) {
        turn_spread(&session->turn, count);
        return HEARD_ANSWER;
    }
    enum heard heard = dialogue_ask(session->dialogue, &question, answer);
    if (heard != HEARD_ANSWER)
        return heard;
    if (turn_sort(&own))
        session_say(session, PUT_IN_ORDER, NULL);
    session->turn = own;
    return heard;
}

/* "4", "8", "own", or a list at once. */
static bool check_choice(const char *answer, void *context, char *complaint, size_t size)
{
    struct turn own;
    size_t count;
    (void)context;
    if (bearings_named(answer, &count))
        return true;
    if (strpbrk(answer, " ,;") != NULL)
        return check_own(answer, &own, complaint, size);
    snprintf(complaint, size, "Type 4, 8 or own.");
    return false;
}

enum next session_ask_bearings(struct session *session)
{
    const struct log_sweep *sweep = session_sweep(session);
    struct turn four, eight;
    char answer[ANSWER_SIZE];
    turn_spread(&four, 4);
    turn_spread(&eight, 8);
    struct question question = {
        .standing = covers(&four, sweep)    ? "4"
                    : covers(&eight, sweep) ? "8"
                                            : "own",
        .check = check_choice,
    };
    dialogue_space(session->dialogue);
    session_say(session, HOW_MANY, NULL);
    enum heard heard = session_ask(session, question, HOW_MANY_PROMPT, HOW_MANY_HELP, NULL, answer);
    if (heard == HEARD_ANSWER)
        heard = session_choose_bearings(session, answer);
    /* what was read before stays, wherever it was */
    for (size_t i = 0; heard == HEARD_ANSWER && i < sweep->reading_count; i++)
        if (sweep->readings[i].counts)
            turn_add(&session->turn, sweep->readings[i].reading.bearing);
    bool placed = session->drafted && !session_machine(session)->setup.bed_faced;
    return session_next(session, heard, NEXT_READ, placed ? NEXT_SWEEP : NEXT_BEARINGS);
}
