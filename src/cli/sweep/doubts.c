/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading that is far from what is to be expected is asked about before it is kept. */
#include "cli/sweep/session.h"

#include <math.h>

#include <perpend/status.h>

#define STEEP 0.02 /* a lean that makes a reading doubtful, mm/mm */

static double gap_between(const struct session *session, double one, double other)
{
    const struct perpend_gauge *gauge = &session_machine(session)->setup.gauge;
    return fabs((one - other) * perpend_gauge_gap_per_reading(gauge));
}

/* ---- the first reading of a sweep ---------------------------------------------------------- */

/* What it is compared with. */
struct known {
    bool any;
    bool expected;    /* by the plan; else it was read in the sweep before */
    bool together;    /* that sweep and this one count together, so that Z must not have moved */
    double value;     /* mm of reading */
    double allowance; /* mm of gap: farther off is doubtful */
};

/* What the first reading should come to: what the plan that was carried out made one expect, else
   what the sweep before had there, or anywhere. A change of lean by STEEP moves the reading by as much
   of the arm's length, and a carriage that has moved over a bed as steep by as much of its way. */
static struct known known_of(const struct session *session, double bearing)
{
    const struct perpend_machine *machine = session_machine(session);
    const struct log_sweep *sweep = session_sweep(session), *before = session_read_sweep(session);
    if (before == NULL || before->id == sweep->id || before->reading_count == 0)
        return (struct known){.any = false};
    struct read_at here = session_read_at(session, before, turn_find(&session->turn, bearing));
    struct known known = {
        .any = true,
        .together = before->did_kind == PERPEND_DID_UNSTATED && session->instead_of == 0,
        .value = here.count > 0 ? here.mean : session_read_at(session, before, ANYWHERE).mean,
        .allowance =
            STEEP * (machine->setup.arm.length + hypot(sweep->x - before->x, sweep->y - before->y)),
    };
    const struct perpend_measurement *last = session->solved ? session_measurement(session) : NULL;
    bool planned = before->did_kind == PERPEND_DID_PLAN;
    known.expected = planned && last != NULL && last->has_plan &&
                     last->first_sweep + last->sweep_count - 1 == before->in_job;
    if (known.expected) {
        const struct perpend_outlook outlook = perpend_measurement_outlook(machine, last);
        struct perpend_fit next;
        perpend_plan_foresee(&last->plan, &outlook, &next);
        known.value = perpend_fit_predict(&next, &machine->setup, bearing, sweep->x, sweep->y);
    } else if (planned || before->did_kind == PERPEND_DID_LIST) {
        known.allowance *= 2; /* bolts were moved, and nobody has said how far that goes */
    }
    return known;
}

/* ---- what speaks against it ---------------------------------------------------------------- */

/* Beside those of its own sweep: that it is near none of them. Which is the wrong one, they do not
   tell. */
static void doubt_beside(const struct session *session, const struct log_sweep *sweep, double value,
    struct buffer *phrase)
{
    double allowance = 2 * STEEP * session_machine(session)->setup.arm.length;
    struct read_at all = session_read_at(session, sweep, ANYWHERE);
    for (size_t i = 0; i < sweep->reading_count; i++)
        if (sweep->readings[i].counts &&
            gap_between(session, value, sweep->readings[i].reading.value) <= allowance)
            return;
    session_fill(session, phrase, DOUBT_BESIDE,
        SLOTS(SLOT_COUNT("count", all.count), SLOT_TEXT("reading", SHOWN_READING(session, value)),
            SLOT_TEXT("low", SHOWN_READING(session, all.low)),
            SLOT_TEXT("high", SHOWN_READING(session, all.high)),
            SLOT_TEXT("at", SHOWN_BEARING(session, all.last->reading.bearing))));
}

/* One that puts another right was looked at, and the others may be the wrong ones: it is only compared
   with what such gauges show. */
static void add_doubt(const struct session *session, double bearing, double value, bool corrects,
    struct buffer *phrase)
{
    const struct perpend_machine *machine = session_machine(session);
    const struct log_sweep *sweep = session_sweep(session);
    bool first = session_read_at(session, sweep, ANYWHERE).count == 0;
    struct known known = first ? known_of(session, bearing) : (struct known){.any = false};
    double usual = perpend_gauge_at(machine->setup.gauge.kind)
                       ->large[machine->unit == PERPEND_UNIT_INCH ? 1 : 0];
    const struct slot *slots = SLOTS(SLOT_TEXT("reading", SHOWN_READING(session, value)),
        SLOT_READING("known", known.value, machine->setup.gauge.step),
        SLOT_IF("expected", known.expected), SLOT_IF("together", known.together));
    if (known.any && gap_between(session, value, known.value) > known.allowance)
        session_fill(session, phrase, DOUBT_FIRST, slots);
    else if (!known.any && !first && !corrects)
        doubt_beside(session, sweep, value, phrase);
    else if (!known.any && fabs(value) >= usual)
        session_fill(session, phrase, DOUBT_LARGE, slots);
}

enum next session_make_sure(
    struct session *session, double bearing, double value, bool corrects, bool *keep)
{
    struct buffer doubt = {0};
    enum heard heard = HEARD_ANSWER;
    *keep = true;
    add_doubt(session, bearing, value, corrects, &doubt);
    if (doubt.length > 0) {
        dialogue_say(session->dialogue, "%s", buffer_text(&doubt));
        heard = dialogue_make_sure(session->dialogue, session_sentences[DOUBT_PROMPT], keep);
    }
    buffer_finish(&doubt);
    if (!*keep)
        session_say(
            session, READING_NOT_KEPT, SLOTS(SLOT_TEXT("reading", SHOWN_READING(session, value))));
    return session_next(session, heard, NEXT_READ, NEXT_READ);
}
