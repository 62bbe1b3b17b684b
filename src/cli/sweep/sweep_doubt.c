/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading that is far from what is to be expected is asked about before it is kept. */
#include <assert.h>
#include <math.h>

#include <perpend/status.h>

#include "cli/sweep/sweep_session.h"

#define STEEP 0.02       /* a lean that makes a reading doubtful, mm/mm */
#define LARGEST_GAP 10.0 /* mm; a larger one is asked about */
/* an indicator's reading in inches that is as large was meant in thousandths */
#define LONGEST_PLUNGE PERPEND_MM_PER_INCH

/* The first reading of a sweep has nothing beside it but what such gauges show. */
static bool is_large(const struct perpend_machine *machine, double value)
{
    switch (machine->setup.gauge.kind) {
    case PERPEND_GAUGE_GAP:
        return value > LARGEST_GAP;
    case PERPEND_GAUGE_DIAL:
    case PERPEND_GAUGE_LEVER:
        return machine->unit == PERPEND_UNIT_INCH && fabs(value) >= LONGEST_PLUNGE;
    case PERPEND_GAUGE_TOUCH:
        break;
    }
    return false;
}

/* What a reading is held against. */
struct known {
    bool any;
    bool foretold;    /* with the plan; else it was read in the sweep before */
    bool together;    /* that sweep and this one count together, so that Z must not have moved */
    double value;     /* mm of reading */
    double allowance; /* mm of gap: farther off is doubtful */
};

static double gap_between(const struct session *session, double one, double other)
{
    const struct perpend_gauge *gauge = &session_machine(session)->setup.gauge;
    return fabs((one - other) * perpend_gauge_gap_per_reading(gauge));
}

/* The mean of a sweep's readings at a bearing, of all of them where it has none there. */
static double read_before(
    const struct session *session, const struct log_sweep *sweep, size_t place)
{
    double sum[2] = {0, 0}; /* all of them, those at the bearing */
    size_t count[2] = {0, 0};
    for (size_t i = 0; i < sweep->reading_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        for (int here = 0; reading->counts && here < 2; here++) {
            if (here && session_place(session, reading->reading.bearing) != place)
                continue;
            sum[here] += reading->reading.value;
            count[here]++;
        }
    }
    int here = count[1] > 0 ? 1 : 0;
    return sum[here] / (double)count[here];
}

/* The answer to the measurement that a sweep ends, if it is the last one answered. */
static const struct perpend_measurement *answered(
    const struct session *session, const struct log_sweep *sweep)
{
    if (!session->solved)
        return NULL;
    const struct perpend_measurement *last = session_measurement(session);
    return last->first_sweep + last->sweep_count - 1 == sweep->in_job ? last : NULL;
}

/* What the first reading of a sweep should come to: what was foretold with the plan that was carried
   out, else what the sweep before had there. A change of lean by STEEP moves the reading by as much
   of the arm's length, and a carriage that has moved over a bed as steep by as much of its way. */
static struct known known_of(const struct session *session, size_t place)
{
    const struct perpend_machine *machine = session_machine(session);
    const struct log_sweep *sweep = session_sweep(session), *before = session_read_sweep(session);
    if (before == NULL || before->id == sweep->id)
        return (struct known){.any = false};
    const struct perpend_measurement *measurement = answered(session, before);
    double moved = hypot(sweep->x - before->x, sweep->y - before->y);
    struct known known = {
        .any = true,
        .together = before->did_kind == PERPEND_DID_UNSTATED && session->instead_of == 0,
        .allowance = STEEP * (machine->setup.arm.length + moved),
    };
    if (before->did_kind == PERPEND_DID_PLAN && measurement != NULL && measurement->has_plan) {
        struct perpend_fit next;
        perpend_plan_foresee(
            &measurement->plan, &machine->mount, &measurement->response, &measurement->fit, &next);
        known.foretold = true;
        known.value = perpend_fit_predict(
            &next, &machine->setup, session->bearings[place], sweep->x, sweep->y);
        return known;
    }
    if (before->did_kind == PERPEND_DID_PLAN || before->did_kind == PERPEND_DID_LIST)
        known.allowance *= 2; /* bolts were moved, and nobody has said how far that goes */
    known.value = read_before(session, before, place);
    return known;
}

/* "8.00 mm is far from the 0.95 mm foretold; right if Z was moved since. A slip of the finger?" */
static void doubt_first(
    const struct session *session, const struct known *known, double value, struct buffer *phrase)
{
    static const char *const since[] = {
        [PERPEND_GAUGE_GAP] = "Z was moved",
        [PERPEND_GAUGE_TOUCH] = "Z was zeroed",
        [PERPEND_GAUGE_DIAL] = "Z was moved or the gauge zeroed",
        [PERPEND_GAUGE_LEVER] = "Z was moved or the gauge zeroed",
    };
    static_assert(sizeof since / sizeof *since == PERPEND_GAUGE_KINDS, "a kind has no words");
    const struct perpend_machine *machine = session_machine(session);
    struct words words = session_words(session);
    char shown[64];
    session_reading(session, value, true, shown, sizeof shown);
    buffer_addf(phrase, "%s is far from the ", shown);
    words_reading(&words, phrase, known->value, machine->setup.gauge.step);
    buffer_addf(phrase, " %s %s", words_unit_name(&words, WORDS_LARGE),
        known->foretold ? "foretold" : "of the sweep before");
    if (known->together)
        buffer_add(phrase, ", and the two count together");
    else
        buffer_addf(phrase, "; right if %s since", since[machine->setup.gauge.kind]);
    buffer_add(phrase, ". A slip of the finger?");
}

/* What speaks against a reading beside those of its own sweep: that it is near none of them. Which
   is the wrong one, they do not tell. */
static void doubt_beside(const struct session *session, const struct log_sweep *sweep, double value,
    struct buffer *phrase)
{
    const struct perpend_setup *setup = &session_machine(session)->setup;
    const struct log_reading *other = NULL;
    double low = INFINITY, high = -INFINITY;
    size_t count = 0;
    char shown[64], from[64], to[64], name[48];
    for (size_t i = 0; i < sweep->reading_count; i++) {
        if (!sweep->readings[i].counts)
            continue;
        other = &sweep->readings[i];
        if (gap_between(session, value, other->reading.value) <= 2 * STEEP * setup->arm.length)
            return;
        low = fmin(low, other->reading.value);
        high = fmax(high, other->reading.value);
        count++;
    }
    session_reading(session, value, true, shown, sizeof shown);
    session_reading(session, low, true, from, sizeof from);
    session_reading(session, high, true, to, sizeof to);
    if (count == 1) {
        plan_view_name(name, sizeof name, other->reading.bearing, dialogue_utf8(session->dialogue));
        buffer_addf(phrase, "The %s reads %s and this %s: which is wrong?", name, from, shown);
    } else {
        buffer_addf(
            phrase, "The others read %s to %s and this %s: which is wrong?", from, to, shown);
    }
}

/* What speaks against a reading, in words; nothing when all is well. One that puts another right was
   looked at, and the others may be the wrong ones: it is only held against what such gauges show. */
static void add_doubt(
    const struct session *session, size_t place, double value, bool corrects, struct buffer *phrase)
{
    const struct log_sweep *sweep = session_sweep(session);
    bool first = log_sweep_counted(sweep) == 0;
    struct known known = first ? known_of(session, place) : (struct known){.any = false};
    if (known.any) {
        if (gap_between(session, value, known.value) > known.allowance)
            doubt_first(session, &known, value, phrase);
    } else if (first || corrects) {
        char shown[64];
        session_reading(session, value, true, shown, sizeof shown);
        if (is_large(session_machine(session), value))
            buffer_addf(phrase, "%s is far from what is usual here. A slip of the finger?", shown);
    } else {
        doubt_beside(session, sweep, value, phrase);
    }
}

/* What was typed with a unit that the bare number lacks. */
static bool meant_in_thou(const struct session *session, const char *typed)
{
    double bare;
    return session_machine(session)->unit == PERPEND_UNIT_INCH &&
           perpend_number_parse(typed, &bare) == PERPEND_OK;
}

enum course session_make_sure(struct session *session, size_t place, double value, bool corrects,
    const char *typed, bool *keep)
{
    char shown[64];
    struct buffer doubt = {0};
    *keep = true;
    add_doubt(session, place, value, corrects, &doubt);
    if (doubt.length > 0 && meant_in_thou(session, typed))
        buffer_addf(&doubt, " For thousandths type %s thou.", typed);
    if (doubt.length == 0) {
        buffer_finish(&doubt);
        return COURSE_ON;
    }
    dialogue_say(session->dialogue, "%s", buffer_text(&doubt));
    buffer_finish(&doubt);
    enum heard heard = dialogue_make_sure(session->dialogue, "keep it", keep);
    if (heard != HEARD_ANSWER)
        *keep = false;
    session_reading(session, value, true, shown, sizeof shown);
    if (!*keep)
        dialogue_say(session->dialogue, "not kept: %s", shown);
    return heard == HEARD_UNDO ? COURSE_ON : session_course(heard);
}
