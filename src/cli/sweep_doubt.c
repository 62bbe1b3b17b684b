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

/* Whether a reading is so far from the others that a slip of the finger is likely. */
static bool is_doubtful(const struct session *session, size_t place, double value)
{
    const struct perpend_setup *setup = &session_machine(session)->setup;
    const struct log_sweep *sweep = session_sweep(session);
    double gap_per_reading = fabs(perpend_gauge_gap_per_reading(&setup->gauge));
    double sum = 0;
    size_t count = 0;
    for (size_t i = 0; i < sweep->reading_count; i++) {
        const struct log_reading *reading = &sweep->readings[i];
        if (reading->counts && session_place(session, reading->reading.bearing) != place) {
            sum += reading->reading.value;
            count++;
        }
    }
    if (count == 0)
        return is_large(session_machine(session), value);
    return fabs(value - sum / (double)count) * gap_per_reading > 2 * STEEP * setup->arm.length;
}

enum course session_make_sure(
    struct session *session, size_t place, double value, const char *typed, bool *keep)
{
    char shown[64];
    *keep = true;
    if (!is_doubtful(session, place, value))
        return COURSE_ON;
    session_reading(session, value, true, shown, sizeof shown);
    double bare;
    bool thou = session_machine(session)->unit == PERPEND_UNIT_INCH &&
                perpend_number_parse(typed, &bare) == PERPEND_OK;
    if (thou) {
        dialogue_say(session->dialogue,
            "%s is far from what is usual here. For thousandths type %s thou. A slip of the "
            "finger?",
            shown, typed);
    } else {
        dialogue_say(
            session->dialogue, "%s is far from what is usual here. A slip of the finger?", shown);
    }
    enum heard heard = dialogue_make_sure(session->dialogue, "keep it", keep);
    if (heard == HEARD_UNDO) {
        *keep = false;
        return COURSE_ON;
    }
    return session_course(heard);
}
