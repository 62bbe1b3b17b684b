/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was done after a sweep. */
#include "cli/sweep/session.h"

#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

/* ---- into the log -------------------------------------------------------------------------- */

bool session_tell_did(struct session *session, int64_t sweep, enum perpend_did_kind kind, bool sure,
    const struct did_list *list, struct buffer *bolts)
{
    const struct perpend_sweep done = {.did_kind = kind,
        .did = (struct perpend_did *)list->of,
        .did_count = list->count,
        .did_sure = sure};
    const struct perpend_mount *mount = &session_machine(session)->mount;
    session_add_did(session, bolts, list);
    return log_did(session->book, sweep, mount, &done, &session->fault) && session_load(session);
}

void session_list_plan(const struct perpend_plan *plan, unsigned without, struct did_list *list)
{
    list->count = 0;
    for (size_t i = 0; i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        for (size_t k = 0; !(without & 1U << i) && k < step->bolt_count; k++)
            if (!perpend_amount_is_none(step->bolts[k].amount))
                list->of[list->count++] =
                    (struct perpend_did){step->joint, k, step->move, step->bolts[k].amount};
    }
}

static enum next record_did(
    struct session *session, enum perpend_did_kind kind, const struct did_list *list)
{
    struct buffer bolts = {0};
    int64_t sweep = session_read_sweep(session)->id;
    bool kept = session_tell_did(session, sweep, kind, false, list, &bolts);
    if (kept)
        session_say(session, DID_KEPT,
            SLOTS(SLOT_IF("planned", kind == PERPEND_DID_PLAN),
                SLOT_IF("changed", kind == PERPEND_DID_LIST),
                SLOT_TEXT("bolts", buffer_text(&bolts))));
    buffer_finish(&bolts);
    return kept ? NEXT_SWEEP : NEXT_FAIL;
}

static enum next record_steps(struct session *session, enum perpend_did_kind kind, unsigned without)
{
    struct did_list list;
    session_list_plan(&session_measurement(session)->plan, without, &list);
    return record_did(session, kind, &list);
}

/* ---- the words ----------------------------------------------------------------------------- */

enum next session_did_plan(struct session *session, const char *rest)
{
    (void)rest;
    return record_steps(session, PERPEND_DID_PLAN, 0);
}

/* "skip 3": the number that stands before the step on the screen; "skip": what is for holes only. */
enum next session_did_without(struct session *session, const char *rest)
{
    const struct perpend_plan *plan = &session_measurement(session)->plan;
    struct buffer steps = {0};
    unsigned without = 0;
    double number = 0;
    bool told = perpend_number_parse(rest, &number) == PERPEND_OK;
    for (size_t i = 0; i < plan->step_count; i++) {
        unsigned own = answer_step_number(plan, i);
        if (told ? number == (double)own : rest[0] == '\0' && plan->steps[i].for_holes)
            without |= 1U << i;
        buffer_addf(&steps, "%s%u", i > 0 ? ", " : "", own);
    }
    if (without == 0)
        session_say(session, SKIP_WHAT, SLOTS(SLOT_TEXT("steps", buffer_text(&steps))));
    buffer_finish(&steps);
    return without == 0 ? NEXT_DID : record_steps(session, PERPEND_DID_LIST, without);
}

enum next session_did_other(struct session *session, const char *rest)
{
    struct did_list list = {.count = 0};
    (void)rest;
    enum heard heard = session_ask_bolts(session, &list);
    enum next next = session_next(session, heard, NEXT_SWEEP, NEXT_DID);
    if (next != NEXT_SWEEP)
        return next;
    return record_did(session, list.count > 0 ? PERPEND_DID_LIST : PERPEND_DID_NOTHING, &list);
}

/* Without a mount in the machine file there are only words. */
enum next session_did_changed(struct session *session, const char *rest)
{
    char answer[ANSWER_SIZE];
    struct question question = {.may_be_empty = true, .back_undoes = true};
    (void)rest;
    enum heard heard = session_ask(session, question, CHANGED_PROMPT, CHANGED_HELP, NULL, answer);
    if (heard != HEARD_ANSWER)
        return session_next(session, heard, NEXT_SWEEP, NEXT_DID);
    struct log_about about = {.sweep = session_read_sweep(session)->id};
    if (answer[0] != '\0' && !log_note(session->book, &about, LOG_NOTE, answer, &session->fault))
        return NEXT_FAIL;
    return record_did(session, PERPEND_DID_LIST, &(struct did_list){.count = 0});
}

enum next session_did_nothing(struct session *session, const char *rest)
{
    (void)rest;
    return record_did(session, PERPEND_DID_NOTHING, &(struct did_list){.count = 0});
}

/* ---- the question -------------------------------------------------------------------------- */

/* What Enter alone does: the alternatives of DID_OFFER. */
enum standing {
    STANDS_DONE,
    STANDS_NOT,
    STANDS_AGAIN,
    STANDS_SUSPECT,
    STANDS_FAR,
    STANDS_ADD,
    STANDS_END
};

static enum standing standing_of(const struct session *session, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_doubt *doubt = &measurement->doubt;
    enum perpend_verdict verdict = measurement->verdict;
    if (doubt->kind != PERPEND_DOUBT_NONE)
        return doubt->sweep != session_read_sweep(session)->in_job ? STANDS_FAR
               : doubt->kind == PERPEND_DOUBT_CLOSURE              ? STANDS_AGAIN
                                                                   : STANDS_SUSPECT;
    if (verdict == PERPEND_VERDICT_MET)
        return STANDS_END;
    if (answer_has_steps(measurement))
        return STANDS_DONE;
    for (size_t i = 0; i < measurement->remedy_count; i++)
        if (measurement->remedies[i].kind == PERPEND_REMEDY_SWEEPS)
            return STANDS_ADD;
    if (verdict != PERPEND_VERDICT_NOT_MET || measurement->plan_worsens)
        return STANDS_END;
    return STANDS_NOT;
}

/* One line, by the table of words or as a reading put right. */
static enum next take_line(struct session *session, const char *line, const char *doubtful)
{
    enum next next;
    if (session_obey(session, line, AT_DID, &next))
        return next;
    if (!session_take_doubtful(session, doubtful, line, &next))
        return session_refuse_line(session, line, AT_DID);
    /* one that was put right makes another answer; one that was gone to is asked for */
    return next == NEXT_READ && session->asked == NOWHERE ? NEXT_ANSWER : next;
}

enum next session_did(struct session *session)
{
    static const char *const standings[] = {
        "done", "", "again", "", "", "add", "end"}; /* "": none does */
    session->at = session_read_sweep(session)->id;
    if (session->turn.count == 0)
        session_bearings_of(session, session_sweep(session));
    struct answer_about about = session_about(session);
    enum standing standing = standing_of(session, &about);
    struct buffer words = {0}, help = {0}, suspect = {0};
    char line[ANSWER_SIZE];
    if (standing == STANDS_SUSPECT || standing == STANDS_FAR)
        session_add_doubtful(session, &suspect, &about.measurement->doubt);
    session_add_words(session, &words, AT_DID, standings[standing]);
    session_add_help(session, &help, AT_DID);
    dialogue_space(session->dialogue);
    session_say(session, DID_OFFER,
        SLOTS(SLOT_CHOICE("standing", standing), SLOT_TEXT("suspect", buffer_text(&suspect)),
            SLOT_TEXT("words", buffer_text(&words))));
    struct question question = {.help = buffer_text(&help),
        .help_is_whole = true,
        .standing = standing == STANDS_SUSPECT       ? buffer_text(&suspect)
                    : standings[standing][0] != '\0' ? standings[standing]
                                                     : NULL};
    enum heard heard = session_ask(session, question, DID_PROMPT, DID_HELP, NULL, line);
    buffer_finish(&words);
    buffer_finish(&help);
    enum next next = heard == HEARD_UNDO     ? session_step_back(session)
                     : heard == HEARD_ANSWER ? take_line(session, line, buffer_text(&suspect))
                                             : session_next(session, heard, NEXT_DID, NEXT_DID);
    buffer_finish(&suspect);
    return next;
}
