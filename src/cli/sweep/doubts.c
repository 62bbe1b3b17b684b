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

/* The mean of a sweep's readings at a bearing, of all of them where it has none there. */
static double read_before(
    const struct session *session, const struct log_sweep *sweep, double bearing)
{
    size_t place = turn_find(&session->turn, bearing);
    struct read_at here = session_read_at(session, sweep, place);
    return here.count > 0 ? here.mean : session_read_at(session, sweep, ANYWHERE).mean;
}

/* What the first reading should come to: what the plan that was carried out made one expect, else
   what the sweep before had there. A change of lean by STEEP moves the reading by as much of the
   arm's length, and a carriage that has moved over a bed as steep by as much of its way. */
static struct known known_of(const struct session *session, double bearing)
{
    const struct perpend_machine *machine = session_machine(session);
    const struct log_sweep *sweep = session_sweep(session), *before = session_read_sweep(session);
    if (before == NULL || before->id == sweep->id)
        return (struct known){.any = false};
    struct known known = {
        .any = true,
        .together = before->did_kind == PERPEND_DID_UNSTATED && session->instead_of == 0,
        .allowance =
            STEEP * (machine->setup.arm.length + hypot(sweep->x - before->x, sweep->y - before->y)),
    };
    const struct perpend_measurement *last = session->solved ? session_measurement(session) : NULL;
    bool planned = before->did_kind == PERPEND_DID_PLAN;
    if (planned && last != NULL && last->has_plan &&
        last->first_sweep + last->sweep_count - 1 == before->in_job) {
        struct perpend_fit next;
        perpend_plan_foresee(&last->plan, &machine->mount, &last->response, &last->fit, &next);
        known.expected = true;
        known.value = perpend_fit_predict(&next, &machine->setup, bearing, sweep->x, sweep->y);
        return known;
    }
    if (planned || before->did_kind == PERPEND_DID_LIST)
        known.allowance *= 2; /* bolts were moved, and nobody has said how far that goes */
    known.value = read_before(session, before, bearing);
    return known;
}

/* "8.00 mm is far from the 0.95 mm foretold; right if Z was moved since. A slip of the finger?" */
static void doubt_first(
    const struct session *session, const struct known *known, double value, struct buffer *phrase)
{
    struct words words = session_words(session);
    session_fill(session, phrase, DOUBT_FIRST,
        SLOTS(SLOT_TEXT("reading", SHOWN_READING(session, value)),
            SLOT_READING("known", known->value, session_machine(session)->setup.gauge.step),
            SLOT_TEXT("unit", words_unit_name(&words, WORDS_LARGE)),
            SLOT_IF("expected", known->expected), SLOT_IF("together", known->together)));
}

/* ---- those after it ------------------------------------------------------------------------ */

/* What speaks against a reading beside those of its own sweep: that it is near none of them. Which
   is the wrong one, they do not tell. */
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

/* What speaks against a reading, in words; nothing when all is well. One that puts another right was
   looked at, and the others may be the wrong ones: it is only compared with what such gauges show. */
static void add_doubt(const struct session *session, double bearing, double value, bool corrects,
    struct buffer *phrase)
{
    const struct log_sweep *sweep = session_sweep(session);
    bool first = log_sweep_counted(sweep) == 0;
    struct known known = first ? known_of(session, bearing) : (struct known){.any = false};
    bool inch = session_machine(session)->unit == PERPEND_UNIT_INCH;
    if (known.any) {
        if (gap_between(session, value, known.value) > known.allowance)
            doubt_first(session, &known, value, phrase);
    } else if (!first && !corrects) {
        doubt_beside(session, sweep, value, phrase);
    } else if (fabs(value) >=
               perpend_gauge_at(session_machine(session)->setup.gauge.kind)->large[inch ? 1 : 0]) {
        session_fill(session, phrase, DOUBT_LARGE,
            SLOTS(SLOT_TEXT("reading", SHOWN_READING(session, value))));
    }
}

enum next session_make_sure(struct session *session, double bearing, double value, bool corrects,
    const char *typed, bool *keep)
{
    double bare;
    struct buffer doubt = {0};
    *keep = true;
    add_doubt(session, bearing, value, corrects, &doubt);
    if (doubt.length > 0 && session_machine(session)->unit == PERPEND_UNIT_INCH &&
        perpend_number_parse(typed, &bare) == PERPEND_OK) /* without the unit that may be meant */
        session_fill(session, &doubt, DOUBT_THOUSANDTHS, SLOTS(SLOT_TEXT("typed", typed)));
    enum heard heard = HEARD_ANSWER;
    if (doubt.length > 0) {
        dialogue_say(session->dialogue, "%s", buffer_text(&doubt));
        heard = dialogue_make_sure(session->dialogue, "keep it", keep);
    }
    buffer_finish(&doubt);
    if (!*keep)
        session_say(
            session, READING_NOT_KEPT, SLOTS(SLOT_TEXT("reading", SHOWN_READING(session, value))));
    return session_next(session, heard, NEXT_READ, NEXT_READ);
}
