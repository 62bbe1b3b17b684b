/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/sweep/sweep_session.h"

#include <math.h>
#include <stdio.h>

const struct perpend_machine *session_machine(const struct session *session)
{
    return session->loaded ? &session->record.machine : session->start.machine;
}

bool session_load(struct session *session)
{
    if (session->job == 0)
        return true;
    if (session->loaded) {
        log_record_finish(&session->record);
        session->loaded = false;
    }
    session->record = (struct log_record){.id = 0};
    if (!log_load(session->book, session->job, &session->record, &session->fault))
        return false;
    session->loaded = true;
    if (!session->record.readable) {
        session->fault = session->record.why;
        return false;
    }
    return true;
}

bool session_open(struct session *session)
{
    bool fresh = session->job == 0;
    int64_t sweep;
    if (fresh && !log_job_start(session->book, &session->start, &session->job, &session->fault))
        return false;
    if (session->drafted) {
        bool added = session->instead_of != 0
                         ? log_sweep_again(session->book, session->instead_of, "taken again",
                               &sweep, &session->fault)
                         : log_sweep_add(session->book, session->job, session->draft.name,
                               session->draft.x, session->draft.y, &sweep, &session->fault);
        if (!added)
            return false;
        session->drafted = false;
        fresh = true;
    }
    return !fresh || session_load(session);
}

struct words session_words(const struct session *session)
{
    return dialogue_words(session->dialogue, session_machine(session)->unit);
}

bool session_show(struct session *session, struct words *words)
{
    bool whole = !words->out.failed;
    dialogue_show(session->dialogue, buffer_text(&words->out));
    buffer_finish(&words->out);
    return whole ||
           fault_set(&session->fault, 3, "memory is out; close something and go on from here");
}

enum course session_course(enum heard heard)
{
    switch (heard) {
    case HEARD_ANSWER:
        return COURSE_ON;
    case HEARD_UNDO:
        return COURSE_BACK;
    default:
        return COURSE_STOP;
    }
}

const struct log_sweep *session_sweep(const struct session *session)
{
    size_t count = session->record.sweep_count;
    for (size_t i = 0; i < count && session->reviewed != 0; i++)
        if (session->record.sweeps[i].id == session->reviewed)
            return &session->record.sweeps[i];
    if (session->drafted)
        return &session->draft;
    return count > 0 ? &session->record.sweeps[count - 1] : NULL;
}

const struct log_sweep *session_read_sweep(const struct session *session)
{
    for (size_t i = session->record.sweep_count; i > 0; i--)
        if (log_sweep_counted(&session->record.sweeps[i - 1]) > 0)
            return &session->record.sweeps[i - 1];
    return NULL;
}

const struct log_sweep *session_pending(const struct session *session)
{
    const struct log_sweep *sweep = session_read_sweep(session);
    return sweep != NULL && sweep->did_kind == PERPEND_DID_UNSTATED ? sweep : NULL;
}

/* Decimals that a value has, in the unit people see, up to a limit. */
static int decimals_of(double value, int least, int most)
{
    for (int decimals = least; decimals < most; decimals++) {
        double scaled = value * pow(10, decimals);
        if (fabs(scaled - round(scaled)) < 1e-6)
            return decimals;
    }
    return most;
}

void session_reading(
    const struct session *session, double value, bool unit, char *text, size_t size)
{
    const struct perpend_machine *machine = session_machine(session);
    bool inch = machine->unit == PERPEND_UNIT_INCH;
    double per = inch ? PERPEND_MM_PER_INCH : 1;
    int decimals = decimals_of(machine->setup.gauge.step / per, 1, 5);
    char digits[64];
    decimals = decimals_of(value / per, decimals, 6);
    perpend_number_format(digits, sizeof digits, value / per, decimals);
    snprintf(text, size, "%s%s", digits, !unit ? "" : inch ? " in" : " mm");
}
