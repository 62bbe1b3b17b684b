/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was done after a sweep. */
#include "cli/sweep/session.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "files/names.h"
#include "text/answer.h"
#include "text/gets.h"

/* ---- into the log -------------------------------------------------------------------------- */

/* "kept: bolt by bolt: top left shim 0.5 mm, top right shim 0.5 mm" */
static void say_did(
    struct session *session, enum perpend_did_kind kind, const struct did_list *list)
{
    bool listed = kind == PERPEND_DID_LIST;
    struct words words = session_words(session);
    struct buffer phrase = {0};
    for (size_t i = 0; listed && i < list->count; i++) {
        const struct perpend_did *did = &list->of[i];
        buffer_add(&phrase, i > 0 ? ", " : " ");
        words_name(
            &phrase, session_machine(session)->mount.joints[did->joint].bolts[did->bolt].name);
        buffer_add(&phrase, WORDS_GLUE);
        bolt_did(&words, &phrase, did->move, &did->amount);
    }
    session_say(session, DID_KEPT,
        SLOTS(SLOT_IF("planned", kind == PERPEND_DID_PLAN), SLOT_IF("changed", listed),
            SLOT_TEXT("bolts", buffer_text(&phrase))));
    buffer_finish(&phrase);
}

static enum next record_did(
    struct session *session, enum perpend_did_kind kind, const struct did_list *list)
{
    const struct log_sweep *sweep = session_read_sweep(session);
    const struct perpend_mount *mount = &session_machine(session)->mount;
    if (!log_did(session->book, sweep->id,
            &(struct log_did_said){kind, mount, list->of, list->count}, &session->fault) ||
        !session_load(session))
        return NEXT_FAIL;
    say_did(session, kind, list);
    return NEXT_SWEEP;
}

/* ---- the words ----------------------------------------------------------------------------- */

/* The plan goes into the log bolt by bolt. */
static enum next did_planned(struct session *session)
{
    const struct perpend_plan *plan = &session_measurement(session)->plan;
    struct did_list list = {.count = 0};
    for (size_t i = 0; i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        for (size_t k = 0; k < step->bolt_count; k++)
            session_add_did(&list, step->joint, k, step->move, step->bolts[k].amount);
    }
    return record_did(session, PERPEND_DID_PLAN, &list);
}

static enum next did_other(struct session *session)
{
    struct did_list list = {.count = 0};
    enum heard heard = session_ask_bolts(session, &list);
    enum next next = session_next(session, heard, NEXT_SWEEP, NEXT_DID);
    if (next != NEXT_SWEEP)
        return next;
    return record_did(session, list.count > 0 ? PERPEND_DID_LIST : PERPEND_DID_NOTHING, &list);
}

/* Without a mount in the machine file there are only words. */
static enum next did_changed(struct session *session)
{
    char answer[ANSWER_SIZE];
    struct question question = {
        .prompt = "what was changed",
        .help = session_sentences[CHANGED_HELP],
        .may_be_empty = true,
        .back_undoes = true,
    };
    enum heard heard = dialogue_ask(session->dialogue, &question, answer);
    if (heard != HEARD_ANSWER)
        return session_next(session, heard, NEXT_SWEEP, NEXT_DID);
    struct log_about about = {.sweep = session_read_sweep(session)->id};
    if (answer[0] != '\0' && !log_note(session->book, &about, LOG_NOTE, answer, &session->fault))
        return NEXT_FAIL;
    return record_did(session, PERPEND_DID_LIST, &(struct did_list){.count = 0});
}

static enum next did_nothing(struct session *session)
{
    return record_did(session, PERPEND_DID_NOTHING, &(struct did_list){.count = 0});
}

static enum next sweep_again(struct session *session)
{
    return session_unsay(session) ? NEXT_AGAIN : NEXT_FAIL;
}

static enum next sweep_more(struct session *session)
{
    return session_unsay(session) ? NEXT_TURN : NEXT_FAIL;
}

static enum next to_readings(struct session *session)
{
    (void)session;
    return NEXT_REVIEW;
}

static enum next end_job(struct session *session)
{
    /* who came back to this answer and ends here takes back what was said to be done */
    bool kept = session_waits(session) || did_nothing(session) != NEXT_FAIL;
    return kept ? NEXT_END : NEXT_FAIL;
}

enum word { PLANNED, OTHER, CHANGED, NOTHING, AGAIN, MORE, READINGS, END, WORDS_THERE };

/* In the order in which they are named. */
static const struct command {
    const char *word;
    enum next (*run)(struct session *session);
    bool in_help_only; /* not named with the others */
} commands[WORDS_THERE] = {
    [PLANNED] = {"planned", did_planned, false},
    [OTHER] = {"other", did_other, false},
    [CHANGED] = {"changed", did_changed, false},
    [NOTHING] = {"nothing", did_nothing, false},
    [AGAIN] = {"again", sweep_again, true},
    [MORE] = {"more", sweep_more, false},
    [READINGS] = {"readings", to_readings, true},
    [END] = {"end", end_job, false},
};

static bool is_allowed(const struct session *session, enum word word)
{
    bool mount = session_machine(session)->mount.joint_count > 0;
    return word == PLANNED   ? answer_has_steps(session_measurement(session))
           : word == OTHER   ? mount
           : word == CHANGED ? !mount
                             : true;
}

/* The word to be expected after this answer. */
static enum word standing_word(const struct session *session)
{
    const struct perpend_measurement *measurement = session_measurement(session);
    struct answer_about about = {session_machine(session), &session->record.job, measurement};
    enum perpend_verdict verdict = measurement->verdict;
    if (answer_readings_doubtful(&about))
        return measurement->doubt.kind == PERPEND_DOUBT_CLOSURE ? AGAIN : READINGS;
    if (verdict == PERPEND_VERDICT_MET)
        return END;
    if (is_allowed(session, PLANNED))
        return PLANNED;
    for (size_t i = 0; i < measurement->remedy_count; i++)
        if (measurement->remedies[i].kind == PERPEND_REMEDY_SWEEPS)
            return MORE;
    if (verdict != PERPEND_VERDICT_NOT_MET || answer_plan_worsens(measurement))
        return END;
    return is_allowed(session, OTHER) ? OTHER : CHANGED;
}

/* ---- the question -------------------------------------------------------------------------- */

/* "nothing, more or end": the words that go here, `last` before the last of them; but not the one to
   be expected and those that only the help names when `standing` tells of one. */
static void add_words(
    const struct session *session, enum word standing, const char *last, struct buffer *phrase)
{
    const char *before = NULL;
    for (size_t i = 0; i < WORDS_THERE; i++) {
        if (!is_allowed(session, (enum word)i) ||
            (standing != WORDS_THERE && (i == standing || commands[i].in_help_only)))
            continue;
        buffer_add(phrase, before == NULL ? "" : phrase->length > 0 ? ", " : "");
        buffer_add(phrase, before != NULL ? before : "");
        before = commands[i].word;
    }
    buffer_add(phrase, phrase->length > 0 ? last : "");
    buffer_add(phrase, before);
}

struct said {
    const struct session *session;
    enum word word;
    bool corrects; /* it was a reading put right, not one of the words */
};

/* "left 0.50": somebody saw a slip only now. */
static bool is_correction(const char *answer)
{
    double bearing;
    size_t length = session_bearing_at(answer, &bearing);
    return length > 0 && answer[length] != '\0';
}

static bool check_did(const char *answer, void *opaque, char *complaint, size_t size)
{
    struct said *said = opaque;
    struct buffer others = {0};
    said->corrects = is_correction(answer);
    said->word = READINGS;
    for (size_t i = 0; i < WORDS_THERE && !said->corrects; i++) {
        said->word = (enum word)i;
        if (is_allowed(said->session, said->word) && same_word(answer, commands[i].word))
            return true;
    }
    add_words(said->session, WORDS_THERE, ", ", &others);
    snprintf(complaint, size, "Type one of these: %s", buffer_text(&others));
    buffer_finish(&others);
    return said->corrects;
}

enum next session_did(struct session *session)
{
    struct said said = {.session = session};
    enum word standing = standing_word(session);
    struct buffer others = {0};
    char answer[ANSWER_SIZE];
    struct question question = {
        .standing = commands[standing].word,
        .help_is_whole = true,
        .check = check_did,
        .context = &said,
    };
    add_words(session, standing, " or ", &others);
    dialogue_space(session->dialogue);
    session_say(session, DID_OFFER,
        SLOTS(SLOT_CHOICE("standing", standing), SLOT_IF("changed", standing == CHANGED),
            SLOT_TEXT("others", buffer_text(&others))));
    buffer_finish(&others);
    enum heard heard = session_ask(session, question, DID_PROMPT, DID_HELP,
        SLOTS(SLOT_IF("planned", is_allowed(session, PLANNED)),
            SLOT_IF("mount", is_allowed(session, OTHER))),
        answer);
    if (heard == HEARD_ANSWER && said.corrects)
        dialogue_hear_next(session->dialogue, answer);
    enum next next = session_next(session, heard, NEXT_DID, NEXT_REVIEW);
    return next == NEXT_DID ? commands[said.word].run(session) : next;
}
