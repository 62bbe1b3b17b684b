/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An adjustment that did not do what it should: the usual causes are asked about, and the answer puts
   right what was told of it, or says that it is really so. What was told before stays in the log's
   history. */
#include "cli/sweep/session.h"

#include "text/doubts.h"

/* Beside the four causes. */
enum { REALLY_SO = PERPEND_CAUSES, NOT_KNOWN, CHOICES };

/* The last sweep before the adjustment, which it was told of. */
static const struct perpend_sweep *adjusted_sweep(const struct session *session)
{
    const struct perpend_measurement *before = session_measurement(session) - 1;
    return &session->record.job.sweeps[before->first_sweep + before->sweep_count - 1];
}

/* What was told: the list, or the steps of the plan. */
static void list_told(const struct session *session, struct did_list *list)
{
    const struct perpend_sweep *sweep = adjusted_sweep(session);
    if (sweep->did_kind == PERPEND_DID_PLAN) {
        session_list_plan(&session_measurement(session)[-1].plan, 0, list);
        return;
    }
    for (list->count = 0; list->count < sweep->did_count; list->count++)
        list->of[list->count] = sweep->did[list->count];
}

/* Tell it anew; the last time counts. */
static enum next tell(
    struct session *session, enum perpend_did_kind kind, bool sure, const struct did_list *list)
{
    size_t in_job = (size_t)(adjusted_sweep(session) - session->record.job.sweeps), at = 0;
    struct buffer bolts = {0};
    while (session->record.sweeps[at].in_job != in_job)
        at++;
    bool kept = session_tell_did(session, session->record.sweeps[at].id, kind, sure, list, &bolts);
    if (kept)
        session_say(session, SURPRISE_KEPT,
            SLOTS(SLOT_IF("sure", sure), SLOT_TEXT("bolts", buffer_text(&bolts))));
    buffer_finish(&bolts);
    return kept ? NEXT_ANSWER : NEXT_FAIL;
}

/* At the other end: what would come nearest to what was seen. */
static enum next turn_round(struct session *session, const struct did_list *told)
{
    struct did_list other = {.count = 0};
    struct perpend_did room[DID_MOST + PERPEND_BOLTS_MOST];
    size_t count = 0;
    if (perpend_did_other_end(&session_machine(session)->mount,
            &session_measurement(session)->adjustment, told->of, told->count, room,
            &count) != PERPEND_OK)
        return NEXT_ANSWER;
    for (size_t i = 0; i < count && i < DID_MOST; i++)
        other.of[other.count++] = room[i];
    return tell(session, PERPEND_DID_LIST, false, &other);
}

static enum next tell_bolts(struct session *session)
{
    struct did_list list = {.count = 0};
    enum next next =
        session_next(session, session_ask_bolts(session, &list), NEXT_DID, NEXT_ANSWER);
    return next == NEXT_DID ? tell(session, PERPEND_DID_LIST, false, &list) : next;
}

static enum heard ask_cause(struct session *session, size_t *cause)
{
    static const char *const words[CHOICES] = {
        "amount", "bolt", "end", "readings", "so", "unknown"};
    const struct perpend_measurement *measurement = session_measurement(session);
    struct words screen = session_words(session);
    struct buffer said = {0}, meant[CHOICES] = {0};
    const char *lines[CHOICES];
    for (size_t i = 0; i < CHOICES; i++) {
        session_fill(session, &meant[i], SURPRISE_CAUSE, SLOTS(SLOT_CHOICE("cause", i)));
        lines[i] = buffer_text(&meant[i]);
    }
    surprise_add(&screen, &said, &measurement->adjustment, true);
    dialogue_space(session->dialogue);
    dialogue_say(session->dialogue, "%s", buffer_text(&said));
    struct question question = {.prompt = session_sentences[SURPRISE_PROMPT],
        .help = session_sentences[SURPRISE_HELP],
        .standing = words[NOT_KNOWN]};
    enum heard heard = dialogue_choose(session->dialogue, &question, words, lines, CHOICES, cause);
    buffer_finish(&said);
    for (size_t i = 0; i < CHOICES; i++)
        buffer_finish(&meant[i]);
    return heard;
}

bool session_surprise(struct session *session, enum next *next)
{
    const struct perpend_measurement *measurement = session_measurement(session);
    int64_t sweep = session_read_sweep(session)->id;
    struct answer_about about = session_about(session);
    struct did_list told;
    size_t cause = NOT_KNOWN;
    if (!measurement->adjusted || measurement->adjustment.outcome != PERPEND_OUTCOME_SURPRISE ||
        answer_readings_doubtful(&about) || session->surprise_known == sweep)
        return false;
    enum heard heard = ask_cause(session, &cause);
    *next = session_next(session, heard, NEXT_ANSWER, NEXT_READ);
    if (heard == HEARD_UNDO)
        *next = session_step_back(session);
    if (heard != HEARD_ANSWER)
        return true;
    list_told(session, &told);
    switch (cause) {
    case PERPEND_CAUSE_AMOUNT:
    case PERPEND_CAUSE_BOLT:
        *next = tell_bolts(session);
        break;
    case PERPEND_CAUSE_END:
        *next = turn_round(session, &told);
        break;
    case PERPEND_CAUSE_READINGS:
        *next = NEXT_AGAIN;
        break;
    case REALLY_SO:
        *next = tell(session, adjusted_sweep(session)->did_kind, true, &told);
        break;
    default:
        session->surprise_known = sweep;
        return false;
    }
    return true;
}
