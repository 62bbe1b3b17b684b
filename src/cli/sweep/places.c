/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sweep is begun: what it is called, and where the carriage stands for it. */
#include "cli/sweep/session.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#define PLACES_WANTED 3
#define SWEEPS_LOOKED_AT 64

/* The sweeps of the measurement at hand, those with readings, and how many measurements came
   before it. */
struct so_far {
    const struct log_sweep *sweeps[SWEEPS_LOOKED_AT];
    size_t count, places, measurements_before;
    const struct log_sweep *before[PLACES_WANTED]; /* the first sweeps of the measurement before */
};

/* The same figures were typed; whether places are far enough apart, the uncertainty tells. */
static bool swept(const struct so_far *so_far, double x, double y)
{
    for (size_t i = 0; i < so_far->count; i++)
        if (hypot(so_far->sweeps[i]->x - x, so_far->sweeps[i]->y - y) < 1e-6)
            return true;
    return false;
}

static struct so_far sweeps_so_far(const struct session *session)
{
    struct so_far so_far = {.count = 0};
    for (size_t i = 0; i < session->record.sweep_count; i++) {
        const struct log_sweep *sweep = &session->record.sweeps[i];
        if (log_sweep_counted(sweep) == 0)
            continue;
        so_far.places += swept(&so_far, sweep->x, sweep->y) ? 0 : 1;
        if (so_far.count < SWEEPS_LOOKED_AT)
            so_far.sweeps[so_far.count++] = sweep;
        if (sweep->did_kind == PERPEND_DID_UNSTATED)
            continue;
        so_far.measurements_before++;
        for (size_t k = 0; k < PLACES_WANTED; k++)
            so_far.before[k] = k < so_far.count ? so_far.sweeps[k] : NULL;
        so_far.count = so_far.places = 0;
    }
    return so_far;
}

/* An earlier answer of this job told the bed's slope, which does not change with the spindle. */
static bool bed_is_known(const struct session *session)
{
    for (size_t i = 0; i < session->record.answer_count; i++)
        if (session->record.answers[i].bed_separated)
            return true;
    return session_machine(session)->setup.bed_faced;
}

/* ---- asking for the place ------------------------------------------------------------------ */

struct carriage {
    enum perpend_unit unit;
    double mm;
};

static bool check_place(const char *answer, void *context, char *complaint, size_t size)
{
    struct carriage *carriage = context;
    if (perpend_length_parse(answer, carriage->unit, &carriage->mm) == PERPEND_OK &&
        fabs(carriage->mm) <= 1e5)
        return true;
    snprintf(complaint, size, "\"%.30s\" is not a length; type it like 150, or -20.5.", answer);
    return false;
}

#define PLACE_HELP                                                                                 \
    "What the machine shows for the place where the spindle stands now; any zero will do, as "     \
    "long as it is the same for all places. X grows as the spindle goes to the right over the "    \
    "bed, Y as it goes to the back: where the table moves, the other way than the table. To the "  \
    "nearest "

static enum heard ask_axis(struct session *session, const char *axis, double standing, double *mm)
{
    char prompt[64], digits[64], answer[ANSWER_SIZE];
    struct carriage carriage = {.unit = session_machine(session)->unit};
    bool inch = carriage.unit == PERPEND_UNIT_INCH;
    struct question question = {
        .prompt = prompt,
        .help = inch ? PLACE_HELP "half inch is enough." : PLACE_HELP "10 mm is enough.",
        .standing = isnan(standing) ? NULL : digits,
        .back_undoes = true,
        .check = check_place,
        .context = &carriage,
    };
    snprintf(prompt, sizeof prompt, "%s of the carriage, %s", axis, inch ? "in" : "mm");
    if (!isnan(standing))
        perpend_number_format(
            digits, sizeof digits, inch ? standing / PERPEND_MM_PER_INCH : standing, inch ? 2 : 0);
    enum heard heard = dialogue_ask(session->dialogue, &question, answer);
    *mm = carriage.mm;
    return heard;
}

/* Whether a third place is as good as in line with the two before. */
static bool in_line(const struct so_far *so_far, double x, double y)
{
    if (so_far->count < 2 || so_far->places != 2)
        return false;
    const struct log_sweep *a = so_far->sweeps[0], *b = so_far->sweeps[1];
    double base = hypot(b->x - a->x, b->y - a->y);
    double area = fabs((b->x - a->x) * (y - a->y) - (b->y - a->y) * (x - a->x));
    return base > 0 && area < 0.1 * base * base;
}

/* Where the carriage is likely to stand: as in the measurement before, or as far as the words that
   ask for it say. NAN: anybody's guess. */
static void suggest_place(const struct so_far *so_far, double *x, double *y)
{
    size_t count = so_far->count;
    *x = *y = NAN;
    if (count < PLACES_WANTED && so_far->before[count] != NULL) {
        *x = so_far->before[count]->x;
        *y = so_far->before[count]->y;
    } else if (count == 0) {
        *x = *y = 0;
    } else if (count == 1) {
        *y = so_far->sweeps[0]->y;
    } else {
        *x = so_far->sweeps[0]->x;
    }
}

static enum heard ask_place(
    struct session *session, const struct so_far *so_far, double *x, double *y)
{
    double standing_x, standing_y;
    suggest_place(so_far, &standing_x, &standing_y);
    for (;;) {
        enum heard heard = ask_axis(session, "X", standing_x, x);
        if (heard != HEARD_ANSWER)
            return heard;
        heard = ask_axis(session, "Y", standing_y, y);
        if (heard == HEARD_UNDO)
            continue;
        if (heard != HEARD_ANSWER)
            return heard;
        if (swept(so_far, *x, *y))
            dialogue_say(session->dialogue, "That place has been swept; move the carriage.");
        else if (in_line(so_far, *x, *y))
            dialogue_say(session->dialogue,
                "That is in line with the first two places, which tells nothing new; move the "
                "carriage to one side of that line.");
        else
            return HEARD_ANSWER;
    }
}

static void say_where(struct session *session, const struct so_far *so_far)
{
    const char *keep = session_gauge(session)->keep;
    dialogue_space(session->dialogue);
    if (bed_is_known(session))
        dialogue_say(session->dialogue,
            "The bed's slope is known from before, so one place is enough; leave the carriage "
            "where it is.");
    else if (so_far->count > 0)
        dialogue_say(session->dialogue, "Move the carriage%s, and %s. Where does it stand now?",
            so_far->count == 1 ? " along X" : " along Y", keep);
    else
        dialogue_say(session->dialogue,
            "This bed was not faced by the machine, so one sweep shows the lean and the bed's "
            "own slope in one. Sweeps at three places, not in a line, tell them apart; %s from "
            "the first to the last. Where does the carriage stand now?",
            keep);
}

/* ---- beginning ----------------------------------------------------------------------------- */

/* Not in the log before there is something to keep. */
static void draft_sweep(struct session *session, double x, double y)
{
    session->draft = (struct log_sweep){.name = session->draft_name, .x = x, .y = y};
    session->drafted = true;
    session->instead_of = 0;
    session->turn_before = session->turn;
    memset(session->turn.skipped, 0, sizeof session->turn.skipped);
}

/* "Sweep 2, 8 readings as before (four or own changes that):" */
static enum next say_begin(struct session *session)
{
    const char *name = session->draft_name;
    bool found = session_find_bearings(session);
    size_t count = session->turn.count;
    dialogue_space(session->dialogue);
    if (!found)
        dialogue_say(session->dialogue, "%c%s:", toupper((unsigned char)name[0]), name + 1);
    else
        dialogue_say(session->dialogue,
            "%c%s, %zu readings as before (%s changes that):", toupper((unsigned char)name[0]),
            name + 1, count,
            count == 4   ? "eight or own"
            : count == 8 ? "four or own"
                         : "four, eight or own");
    return found ? NEXT_READ : NEXT_BEARINGS;
}

/* "sweep 2", "sweep 2, place 3" */
static void name_sweep(struct session *session, const struct so_far *so_far, const char *part)
{
    char *name = session->draft_name;
    int length = so_far->measurements_before == 0
                     ? snprintf(name, sizeof session->draft_name, "as found")
                     : snprintf(name, sizeof session->draft_name, "sweep %zu",
                           so_far->measurements_before + 1);
    if (so_far->count > 0)
        snprintf(name + length, sizeof session->draft_name - (size_t)length, ", %s %zu", part,
            so_far->count + 1);
}

enum next session_begin_turn(struct session *session)
{
    struct so_far so_far = sweeps_so_far(session);
    const struct log_sweep *last = session_read_sweep(session);
    name_sweep(session, &so_far, "turn");
    draft_sweep(session, last->x, last->y);
    return say_begin(session);
}

enum next session_begin_sweep(struct session *session)
{
    struct so_far so_far = sweeps_so_far(session);
    const struct log_sweep *last = session_read_sweep(session);
    double x = 0, y = 0;
    if (last != NULL && (so_far.count > 0 || bed_is_known(session))) {
        x = last->x;
        y = last->y;
    }
    if (!session_machine(session)->setup.bed_faced)
        say_where(session, &so_far);
    if (!bed_is_known(session)) {
        enum heard heard = ask_place(session, &so_far, &x, &y);
        enum next back = session_waits(session) ? NEXT_PLACE
                         : last != NULL         ? NEXT_ANSWER
                                                : NEXT_SWEEP;
        if (heard != HEARD_ANSWER)
            return session_next(session, heard, NEXT_SWEEP, back);
    }
    name_sweep(session, &so_far, "place");
    draft_sweep(session, x, y);
    return say_begin(session);
}

enum next session_begin_again(struct session *session)
{
    const struct log_sweep *sweep = session_read_sweep(session);
    snprintf(session->draft_name, sizeof session->draft_name, "%s", sweep->name);
    draft_sweep(session, sweep->x, sweep->y);
    session->instead_of = sweep->id;
    session->drift_said = false; /* what was said of it was said of doubtful readings */
    dialogue_space(session->dialogue);
    dialogue_say(session->dialogue,
        "%c%s, once more. The first reading typed sets the old ones aside:",
        toupper((unsigned char)sweep->name[0]), sweep->name + 1);
    return session_find_bearings(session) ? NEXT_READ : NEXT_BEARINGS;
}

enum next session_offer_place(struct session *session)
{
    struct so_far so_far = sweeps_so_far(session);
    bool yes;
    if (bed_is_known(session) || so_far.places >= PLACES_WANTED)
        return NEXT_ANSWER;
    dialogue_space(session->dialogue);
    dialogue_say(session->dialogue,
        "Swept at %zu of 3 places. With all three, the lean and the bed's slope come apart; "
        "with fewer, the answer is both in one.",
        so_far.places);
    enum heard heard = dialogue_confirm(session->dialogue, "sweep at another place",
        "yes: you move the carriage and sweep again. no: the answer now.", true, &yes);
    return session_next(session, heard, yes ? NEXT_SWEEP : NEXT_ANSWER, NEXT_REVIEW);
}
