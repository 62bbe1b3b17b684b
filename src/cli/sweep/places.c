/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sweep is begun: what it is called, and where the carriage stands for it. */
#include "cli/sweep/session.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#define PLACES_WANTED 3

/* The sweeps of the measurement at hand, those with readings, and of the one before; how many
   measurements came before it. */
struct so_far {
    const struct perpend_sweep *sweeps, *before; /* of the record's job */
    size_t count, places, count_before, measurements_before;
};

/* The same figures were typed; whether places are far enough apart, the uncertainty tells. */
static bool swept(const struct so_far *so_far, double x, double y)
{
    for (size_t i = 0; i < so_far->count; i++)
        if (hypot(so_far->sweeps[i].x - x, so_far->sweeps[i].y - y) < 1e-6)
            return true;
    return false;
}

static struct so_far sweeps_so_far(const struct session *session)
{
    const struct perpend_job *job = &session->record.job;
    struct so_far so_far = {.sweeps = job->sweeps};
    for (size_t i = 0; i < job->sweep_count; i++) {
        so_far.places += swept(&so_far, job->sweeps[i].x, job->sweeps[i].y) ? 0 : 1;
        so_far.count++;
        if (job->sweeps[i].did_kind != PERPEND_DID_UNSTATED)
            so_far = (struct so_far){
                .sweeps = &job->sweeps[i + 1],
                .before = so_far.sweeps,
                .count_before = so_far.count,
                .measurements_before = so_far.measurements_before + 1,
            };
    }
    return so_far;
}

/* An earlier answer of this job told the bed's slope, which does not change with the spindle. */
static bool bed_is_known(const struct session *session)
{
    for (size_t i = 0; i < session->record.answer_count; i++)
        if (log_bed_separated(&session->record.answers[i]))
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

static enum heard ask_axis(struct session *session, const char *axis, double standing, double *mm)
{
    char digits[64], answer[ANSWER_SIZE];
    struct carriage carriage = {.unit = session_machine(session)->unit};
    bool inch = carriage.unit == PERPEND_UNIT_INCH;
    struct question question = {
        .standing = isnan(standing) ? NULL : digits,
        .back_undoes = true,
        .check = check_place,
        .context = &carriage,
    };
    if (!isnan(standing))
        perpend_number_format(
            digits, sizeof digits, inch ? standing / PERPEND_MM_PER_INCH : standing, inch ? 2 : 0);
    enum heard heard = session_ask(
        session, question, PLACE_PROMPT, PLACE_HELP, SLOTS(SLOT_TEXT("axis", axis)), answer);
    *mm = carriage.mm;
    return heard;
}

/* Whether a third place is as good as in line with the two before. */
static bool in_line(const struct so_far *so_far, double x, double y)
{
    if (so_far->count < 2 || so_far->places != 2)
        return false;
    const struct perpend_sweep *a = &so_far->sweeps[0], *b = &so_far->sweeps[1];
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
    if (count < PLACES_WANTED && count < so_far->count_before) {
        *x = so_far->before[count].x;
        *y = so_far->before[count].y;
    } else if (count == 0) {
        *x = *y = 0;
    } else if (count == 1) {
        *y = so_far->sweeps[0].y;
    } else {
        *x = so_far->sweeps[0].x;
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
            session_say(session, PLACE_SWEPT, NULL);
        else if (in_line(so_far, *x, *y))
            session_say(session, PLACE_IN_LINE, NULL);
        else
            return HEARD_ANSWER;
    }
}

static void say_where(struct session *session, const struct so_far *so_far)
{
    dialogue_space(session->dialogue);
    if (bed_is_known(session))
        session_say(session, BED_KNOWN, NULL);
    else
        session_say(session, so_far->count > 0 ? MOVE_CARRIAGE : BED_AS_FOUND,
            SLOTS(SLOT_COUNT("places", so_far->count)));
}

/* ---- beginning ----------------------------------------------------------------------------- */

/* "Sweep 2, 8 readings as before (four or own changes that):" The sweep at hand, by the name in
   `draft_name`, comes into the log when there is something to keep. */
static enum next begin(struct session *session, double x, double y, int64_t instead_of)
{
    char name[sizeof session->draft_name];
    session->draft = (struct log_sweep){.name = session->draft_name, .x = x, .y = y};
    session->drafted = true;
    session->instead_of = instead_of;
    session->turn_before = session->turn;
    memset(session->turn.skipped, 0, sizeof session->turn.skipped);
    bool found = session_find_bearings(session);
    size_t count = session->turn.count;
    snprintf(name, sizeof name, "%s", session->draft_name);
    name[0] = (char)toupper((unsigned char)name[0]);
    dialogue_space(session->dialogue);
    session_say(session, SWEEP_BEGINS,
        SLOTS(SLOT_TEXT("sweep", name), SLOT_IF("again", instead_of != 0), SLOT_IF("found", found),
            SLOT_COUNT("count", count),
            SLOT_CHOICE("others", count == 4   ? 1
                                  : count == 8 ? 2
                                               : 0)));
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
    return begin(session, last->x, last->y, 0);
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
    return begin(session, x, y, 0);
}

enum next session_begin_again(struct session *session)
{
    const struct log_sweep *sweep = session_read_sweep(session);
    snprintf(session->draft_name, sizeof session->draft_name, "%s", sweep->name);
    session->drift_said = false; /* what was said of it was said of doubtful readings */
    return begin(session, sweep->x, sweep->y, sweep->id);
}

enum next session_offer_place(struct session *session)
{
    struct so_far so_far = sweeps_so_far(session);
    bool yes;
    if (bed_is_known(session) || so_far.places >= PLACES_WANTED)
        return NEXT_ANSWER;
    dialogue_space(session->dialogue);
    session_say(session, ANOTHER_PLACE, SLOTS(SLOT_COUNT("places", so_far.places)));
    enum heard heard = dialogue_confirm(session->dialogue, "sweep at another place",
        session_sentences[ANOTHER_PLACE_HELP], true, &yes);
    return session_next(session, heard, yes ? NEXT_SWEEP : NEXT_ANSWER, NEXT_REVIEW);
}
