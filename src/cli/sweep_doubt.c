/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading that is far from what is to be expected is asked about before it is kept. */
#include <math.h>

#include <perpend/status.h>

#include "sweep_session.h"

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

/* Readings a new one can be held against. */
struct others {
    size_t count;
    double sum, low, high;
    size_t place; /* of the last one taken in */
};

static void take_in(struct others *others, size_t place, double value)
{
    others->low = others->count == 0 ? value : fmin(others->low, value);
    others->high = others->count == 0 ? value : fmax(others->high, value);
    others->sum += value;
    others->place = place;
    others->count++;
}

/* Those of a sweep, but for the place itself. */
static struct others others_of(
    const struct session *session, const struct log_sweep *sweep, size_t place)
{
    struct others others = {.count = 0};
    for (size_t i = 0; i < sweep->reading_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        size_t at = session_place(session, reading->reading.bearing);
        if (reading->counts && at != place)
            take_in(&others, at, reading->reading.value);
    }
    return others;
}

static bool is_far(const struct session *session, const struct others *others, double value)
{
    const struct perpend_setup *setup = &session_machine(session)->setup;
    double gap_per_reading = fabs(perpend_gauge_gap_per_reading(&setup->gauge));
    return fabs(value - others->sum / (double)others->count) * gap_per_reading >
           2 * STEEP * setup->arm.length;
}

/* What speaks against a reading, in words; false when nothing does. One that puts another right was
   looked at, and the others may be the wrong ones: it is only held against what such gauges show. A slip of the finger is likely
   when it is far from the others of this sweep, the first one when it is far from the sweep before
   or larger than such gauges show. */
static bool add_doubt(
    const struct session *session, size_t place, double value, bool corrects, struct buffer *phrase)
{
    const struct log_sweep *sweep = session_sweep(session), *before = session_read_sweep(session);
    struct others others = others_of(session, sweep, place);
    char low[64], high[64];
    bool first = others.count == 0;
    if (first && before != NULL && before->id != sweep->id)
        others = others_of(session, before, session->bearing_count);
    if (others.count == 0 || corrects) {
        if (is_large(session_machine(session), value))
            buffer_add(phrase, "is far from what is usual here.");
        return phrase->length > 0;
    }
    if (!is_far(session, &others, value))
        return false;
    session_reading(session, others.low, true, low, sizeof low);
    session_reading(session, others.high, true, high, sizeof high);
    if (first) {
        buffer_addf(phrase,
            "is far from the sweep before, which read %s to %s; it is right if Z "
            "was zeroed since.",
            low, high);
    } else if (others.count == 1) {
        char name[48];
        plan_view_name(
            name, sizeof name, session->bearings[others.place], dialogue_utf8(session->dialogue));
        buffer_addf(phrase, "is far from the %s of %s: one of the two is wrong.", low, name);
    } else {
        buffer_add(phrase, "is far from what is usual here.");
    }
    return true;
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
    if (!add_doubt(session, place, value, corrects, &doubt)) {
        buffer_finish(&doubt);
        return COURSE_ON;
    }
    session_reading(session, value, true, shown, sizeof shown);
    if (meant_in_thou(session, typed))
        dialogue_say(session->dialogue, "%s %s For thousandths type %s thou. A slip of the finger?",
            shown, buffer_text(&doubt), typed);
    else
        dialogue_say(session->dialogue, "%s %s A slip of the finger?", shown, buffer_text(&doubt));
    buffer_finish(&doubt);
    enum heard heard = dialogue_make_sure(session->dialogue, "keep it", keep);
    if (heard == HEARD_UNDO)
        *keep = false;
    if (!*keep && (heard == HEARD_ANSWER || heard == HEARD_UNDO))
        dialogue_say(session->dialogue, "not kept: %s", shown);
    return heard == HEARD_UNDO ? COURSE_ON : session_course(heard);
}
