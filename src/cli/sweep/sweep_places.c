/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the carriage stands for a sweep, and what the sweep is called. */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "cli/sweep/sweep_session.h"

#define PLACES_WANTED 3

/* The sweeps of the measurement at hand, those with readings, and how many measurements came
   before it. */
struct so_far {
    const struct log_sweep *sweeps[PLAN_VIEW_PLACES];
    size_t count;
    size_t measurements_before;
    const struct log_sweep *before[PLACES_WANTED]; /* the first sweeps of the measurement before */
};

static struct so_far sweeps_so_far(const struct session *session)
{
    struct so_far so_far = {.count = 0};
    for (size_t i = 0; i < session->record.sweep_count; i++) {
        const struct log_sweep *sweep = &session->record.sweeps[i];
        if (log_sweep_counted(sweep) == 0)
            continue;
        if (so_far.count < PLAN_VIEW_PLACES)
            so_far.sweeps[so_far.count++] = sweep;
        if (sweep->did_kind != PERPEND_DID_UNSTATED) {
            so_far.measurements_before++;
            for (size_t k = 0; k < PLACES_WANTED; k++)
                so_far.before[k] = k < so_far.count ? so_far.sweeps[k] : NULL;
            so_far.count = 0;
        }
    }
    return so_far;
}

/* The same figures were typed; whether places are far enough apart, the uncertainty tells. */
static bool same_place(const struct log_sweep *one, const struct log_sweep *other)
{
    return hypot(one->x - other->x, one->y - other->y) < 1e-6;
}

static size_t places(const struct so_far *so_far)
{
    size_t count = 0;
    for (size_t i = 0; i < so_far->count; i++) {
        bool fresh = true;
        for (size_t k = 0; k < i; k++)
            fresh = fresh && !same_place(so_far->sweeps[i], so_far->sweeps[k]);
        count += fresh ? 1 : 0;
    }
    return count;
}

static void name_sweep(const struct so_far *so_far, bool repeat, char *name, size_t size)
{
    int length;
    if (so_far->measurements_before == 0)
        length = snprintf(name, size, "as found");
    else
        length = snprintf(name, size, "sweep %zu", so_far->measurements_before + 1);
    if (so_far->count > 0 && length > 0 && (size_t)length < size) {
        snprintf(name + length, size - (size_t)length, ", %s %zu", repeat ? "turn" : "place",
            so_far->count + 1);
    }
}

struct carriage {
    enum perpend_unit unit;
    double mm;
};

static bool check_place(const char *answer, void *context, char *complaint, size_t size)
{
    struct carriage *carriage = context;
    if (perpend_length_parse(answer, carriage->unit, &carriage->mm) != PERPEND_OK ||
        fabs(carriage->mm) > 1e5) {
        snprintf(complaint, size, "\"%.30s\" is not a length; type it like 150, or -20.5.", answer);
        return false;
    }
    return true;
}

#define PLACE_HELP                                                                                 \
    "What the machine shows for the place where the spindle stands now; any zero will do, as "     \
    "long as it is the same for all places. X grows as the spindle goes to the right over the "    \
    "bed, Y as it goes to the back: where the table moves, the other way than the table. To the "  \
    "nearest "

static enum course ask_axis(struct session *session, struct carriage *carriage, const char *axis,
    double standing, double *mm)
{
    char prompt[64];
    char digits[64];
    char answer[ANSWER_SIZE];
    bool inch = carriage->unit == PERPEND_UNIT_INCH;
    struct question question = {
        .prompt = prompt,
        .help = inch ? PLACE_HELP "half inch is enough." : PLACE_HELP "10 mm is enough.",
        .standing = isnan(standing) ? NULL : digits,
        .back_undoes = true,
        .check = check_place,
        .context = carriage,
    };
    snprintf(prompt, sizeof prompt, "%s of the carriage, %s", axis, inch ? "in" : "mm");
    if (!isnan(standing)) {
        perpend_number_format(
            digits, sizeof digits, inch ? standing / PERPEND_MM_PER_INCH : standing, inch ? 2 : 0);
    }
    enum heard heard = dialogue_ask(session->dialogue, &question, answer);
    *mm = carriage->mm;
    return session_course(heard);
}

/* Whether a third place is as good as in line with the two before. */
static bool in_line(const struct so_far *so_far, double x, double y)
{
    if (so_far->count < 2)
        return false;
    const struct log_sweep *a = so_far->sweeps[0];
    const struct log_sweep *b = so_far->sweeps[1];
    double base = hypot(b->x - a->x, b->y - a->y);
    double area = fabs((b->x - a->x) * (y - a->y) - (b->y - a->y) * (x - a->x));
    return base > 0 && area < 0.1 * base * base;
}

/* Where the carriage is likely to stand: as in the measurement before, or as far as the words that
   ask for it say. NAN: anybody's guess. */
static void suggest_place(const struct so_far *so_far, double *x, double *y)
{
    size_t count = so_far->count;
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

static enum course ask_place(
    struct session *session, const struct so_far *so_far, double *x, double *y)
{
    struct carriage carriage = {.unit = session_machine(session)->unit};
    double standing_x = NAN;
    double standing_y = NAN;
    suggest_place(so_far, &standing_x, &standing_y);
    for (;;) {
        enum course course = ask_axis(session, &carriage, "X", standing_x, x);
        if (course != COURSE_ON)
            return course;
        course = ask_axis(session, &carriage, "Y", standing_y, y);
        if (course == COURSE_BACK)
            continue;
        if (course != COURSE_ON)
            return course;
        struct log_sweep here = {.x = *x, .y = *y};
        bool there = false;
        for (size_t i = 0; i < so_far->count; i++)
            there = there || same_place(so_far->sweeps[i], &here);
        if (there) {
            dialogue_say(session->dialogue, "That place has been swept; move the carriage.");
        } else if (places(so_far) == 2 && in_line(so_far, *x, *y)) {
            dialogue_say(session->dialogue,
                "That is in line with the first two places, which tells nothing new; move the "
                "carriage to one side of that line.");
        } else {
            return COURSE_ON;
        }
    }
}

/* Not in the log before there is something to keep. */
static void draft_sweep(struct session *session, double x, double y)
{
    session->draft = (struct log_sweep){.name = session->draft_name, .x = x, .y = y};
    session->drafted = true;
    session->instead_of = 0;
    session->bearings_changed = false;
    memset(session->skipped, 0, sizeof session->skipped);
}

/* An earlier answer of this job told the bed's slope, which does not change with the spindle. */
static bool bed_is_known(const struct session *session)
{
    for (size_t i = 0; i < session->record.answer_count; i++)
        if (session->record.answers[i].bed_separated)
            return true;
    return false;
}

/* Where the last sweep was. */
static void last_place(const struct session *session, double *x, double *y)
{
    for (size_t i = 0; i < session->record.sweep_count; i++) {
        const struct log_sweep *sweep = &session->record.sweeps[i];
        if (log_sweep_counted(sweep) > 0) {
            *x = sweep->x;
            *y = sweep->y;
        }
    }
}

enum course session_add_sweep(struct session *session, bool repeat)
{
    struct so_far so_far = sweeps_so_far(session);
    double x = 0;
    double y = 0;
    /* with the machine's own Z for a gauge it has to move, and what must stay is its zero */
    bool touch = session_machine(session)->setup.gauge.kind == PERPEND_GAUGE_TOUCH;
    const char *keep_z = touch ? "leave Z's zero where it is" : "leave Z locked";
    name_sweep(&so_far, repeat, session->draft_name, sizeof session->draft_name);
    if (so_far.count > 0 || bed_is_known(session))
        last_place(session, &x, &y);
    if (!session_machine(session)->setup.bed_faced && !repeat && bed_is_known(session)) {
        dialogue_space(session->dialogue);
        dialogue_say(session->dialogue,
            "The bed's slope is known from before, so one place is enough; leave the carriage "
            "where it is.");
    } else if (!session_machine(session)->setup.bed_faced && !repeat) {
        dialogue_space(session->dialogue);
        if (so_far.count == 0) {
            dialogue_say(session->dialogue,
                "This bed was not faced by the machine, so one sweep shows the lean and the bed's "
                "own slope in one. Sweeps at three places, not in a line, tell them apart; %s from "
                "the first to the last. Where does the carriage stand now?",
                keep_z);
        } else {
            dialogue_say(session->dialogue, "Move the carriage%s, and %s. Where does it stand now?",
                so_far.count == 1 ? " along X" : " along Y", keep_z);
        }
        enum course course = ask_place(session, &so_far, &x, &y);
        if (course != COURSE_ON)
            return course;
    }
    draft_sweep(session, x, y);
    return COURSE_ON;
}

enum course session_sweep_again(struct session *session)
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
    return COURSE_ON;
}

enum course session_offer_place(struct session *session)
{
    struct so_far so_far = sweeps_so_far(session);
    bool yes;
    if (session_machine(session)->setup.bed_faced || bed_is_known(session) ||
        places(&so_far) >= PLACES_WANTED)
        return COURSE_ON;
    dialogue_space(session->dialogue);
    dialogue_say(session->dialogue,
        "Swept at %zu of 3 places. With all three, the lean and the bed's slope come apart; "
        "with fewer, the answer is both in one.",
        places(&so_far));
    enum heard heard = dialogue_confirm(session->dialogue, "sweep at another place",
        "yes: you move the carriage and sweep again. no: the answer now.", true, &yes);
    if (heard != HEARD_ANSWER)
        return session_course(heard);
    return yes ? COURSE_MORE : COURSE_ON;
}
