/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was done after a sweep. */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "text/answer.h"
#include "text/joint_drawing.h"
#include "files/names.h"
#include "cli/options.h"
#include "cli/sweep/sweep_moves.h"
#include "cli/sweep/sweep_session.h"

/* The answers, in the order in which they are named. */
enum did_word {
    DID_PLANNED,
    DID_OTHER,
    DID_CHANGED,
    DID_NOTHING,
    DID_AGAIN,
    DID_MORE,
    DID_READINGS,
    DID_END,
    DID_WORDS
};

static const char *const did_words[DID_WORDS] = {
    "planned", "other", "changed", "nothing", "again", "more", "readings", "end"};

static const char *const did_help[DID_WORDS] = {
    "  planned  \tthe plan above, as it stands",
    "  other    \tsomething else; you are asked bolt by bolt",
    "  changed  \tsomething was moved; you tell what in a line",
    "  nothing  \tno bolt was touched; a fresh sweep that counts by itself",
    "  again    \tall readings of this sweep once more, in place of these",
    "  more     \tbolts and Z as they were; one more sweep, counted together with the last",
    "  readings \tback to the readings, to correct one (as undo); left 0.45 does so at once",
    "  end      \tthe job is over",
};

/* What goes at every question, and here, where it matters most, is told again. */
static const char *const also_help = "  note ... \ta line of your own for the log\n"
                                     "  undo     \tback to the last reading\n"
                                     "  stop     \tleave for now; the job waits\n";

struct did_context {
    bool allowed[DID_WORDS];
    enum did_word said;
    bool corrects; /* it was a reading put right, not one of the words */
};

/* "left 0.50": somebody saw a slip only now. */
static bool is_correction(const char *answer)
{
    char at[32];
    size_t length = strcspn(answer, " ");
    double bearing;
    if (!isalpha((unsigned char)answer[0]) || answer[length] == '\0' || length >= sizeof at)
        return false;
    snprintf(at, sizeof at, "%.*s", (int)length, answer);
    return perpend_bearing_parse(at, &bearing) == PERPEND_OK;
}

static bool check_did(const char *answer, void *opaque, char *complaint, size_t size)
{
    struct did_context *context = opaque;
    context->corrects = context->allowed[DID_READINGS] && is_correction(answer);
    if (context->corrects) {
        context->said = DID_READINGS;
        return true;
    }
    int length = snprintf(complaint, size, "Type one of these:");
    bool any = false;
    for (size_t i = 0; i < DID_WORDS; i++) {
        if (!context->allowed[i])
            continue;
        if (same_word(answer, did_words[i])) {
            context->said = (enum did_word)i;
            return true;
        }
        if (length > 0 && (size_t)length < size) {
            length += snprintf(
                complaint + length, size - (size_t)length, "%s %s", any ? "," : "", did_words[i]);
        }
        any = true;
    }
    return false;
}

static enum did_word standing_word(const struct session *session, const struct did_context *context)
{
    const struct perpend_measurement *measurement = session_measurement(session);
    struct answer_about about = {session_machine(session), &session->record.job, measurement};
    if (answer_readings_doubtful(&about))
        return !measurement->fit.closure.off ? DID_READINGS
               : context->allowed[DID_AGAIN] ? DID_AGAIN
                                             : DID_NOTHING;
    switch (measurement->verdict) {
    case PERPEND_VERDICT_MET:
        return DID_END;
    case PERPEND_VERDICT_TOO_CLOSE:
        if (!answer_has_steps(measurement))
            return context->allowed[DID_MORE] ? DID_MORE : DID_NOTHING;
        break;
    case PERPEND_VERDICT_NO_GOAL:
    case PERPEND_VERDICT_NOT_MET:
        break;
    }
    if (context->allowed[DID_PLANNED])
        return DID_PLANNED;
    if (measurement->verdict != PERPEND_VERDICT_NOT_MET || answer_plan_worsens(measurement))
        return DID_END;
    return context->allowed[DID_CHANGED] ? DID_CHANGED : DID_OTHER;
}

/* `readings` is what `undo` does as well, and `again` is for readings that do not agree: help will
   do to name them. */
static bool is_named(const struct did_context *context, size_t word, enum did_word standing)
{
    return context->allowed[word] && word != standing && word != DID_READINGS && word != DID_AGAIN;
}

static void say_choices(
    struct session *session, const struct did_context *context, enum did_word standing)
{
    struct buffer phrase = {0};
    size_t count = 0;
    size_t place = 0;
    for (size_t i = 0; i < DID_WORDS; i++)
        count += is_named(context, i, standing) ? 1 : 0;
    switch (standing) {
    case DID_PLANNED:
        buffer_add(&phrase, "Do that, then press Enter. Or type ");
        break;
    case DID_OTHER:
        buffer_add(&phrase, "Do what you can, then press Enter and tell it bolt by bolt. Or type ");
        break;
    case DID_END:
        buffer_add(&phrase, "Enter ends the job. Or type ");
        break;
    case DID_AGAIN:
        buffer_add(&phrase, "The readings do not agree: Enter takes them all again. Or type ");
        break;
    case DID_NOTHING:
        buffer_add(&phrase, "Enter sweeps anew. Or type ");
        break;
    case DID_READINGS:
        buffer_add(&phrase, "A reading does not fit: Enter goes back to take it again. Or type ");
        break;
    case DID_MORE:
        buffer_add(&phrase, "Leave bolts and Z alone: Enter sweeps once more. Or type ");
        break;
    default:
        buffer_add(&phrase, "What did you do? Type ");
        break;
    }
    for (size_t i = 0; i < DID_WORDS; i++) {
        if (is_named(context, i, standing)) {
            buffer_add(&phrase, place == 0 ? "" : place + 1 == count ? " or " : ", ");
            buffer_add(&phrase, did_words[i]);
            place++;
        }
    }
    buffer_add(&phrase, "; help tells more.");
    dialogue_space(session->dialogue);
    dialogue_say(session->dialogue, "%s", buffer_text(&phrase));
    buffer_finish(&phrase);
}

static enum heard ask_did(struct session *session, struct did_context *context)
{
    const struct perpend_mount *mount = &session_machine(session)->mount;
    enum did_word standing;
    struct buffer help = {0};
    char answer[ANSWER_SIZE];
    context->allowed[DID_PLANNED] = answer_has_steps(session_measurement(session));
    context->allowed[DID_OTHER] = mount->joint_count > 0;
    context->allowed[DID_CHANGED] = mount->joint_count == 0;
    context->allowed[DID_NOTHING] = true;
    context->allowed[DID_MORE] = true;
    context->allowed[DID_AGAIN] = true;
    context->allowed[DID_READINGS] = true;
    context->allowed[DID_END] = true;
    standing = standing_word(session, context);
    say_choices(session, context, standing);
    for (size_t i = 0; i < DID_WORDS; i++)
        if (context->allowed[i])
            buffer_addf(&help, "%s\n", did_help[i]);
    buffer_add(&help, also_help);
    struct question question = {
        .prompt = "what was done",
        .help = buffer_text(&help),
        .standing = did_words[standing],
        .help_is_whole = true,
        .check = check_did,
        .context = context,
    };
    enum heard heard = dialogue_ask(session->dialogue, &question, answer);
    buffer_finish(&help);
    if (heard == HEARD_ANSWER && context->corrects &&
        !dialogue_hear_next(session->dialogue, answer))
        return HEARD_FAIL;
    return heard;
}

/* "kept: bolt by bolt: top left 0.5 mm, top right 0.5 mm" */
static void say_did(const struct session *session, enum perpend_did_kind kind,
    const struct perpend_did *did, size_t count)
{
    struct words words = session_words(session);
    struct buffer phrase = {0};
    buffer_add(&phrase, kind == PERPEND_DID_PLAN      ? "kept: done as planned"
                        : kind == PERPEND_DID_NOTHING ? "kept: nothing was done"
                        : count == 0                  ? "kept: something was changed"
                                                      : "kept: bolt by bolt:");
    for (size_t i = 0; kind == PERPEND_DID_LIST && i < count; i++) {
        const struct perpend_joint *joint = &session_machine(session)->mount.joints[did[i].joint];
        buffer_add(&phrase, i > 0 ? ", " : " ");
        words_name(&phrase, joint->bolts[did[i].bolt].name);
        buffer_add(&phrase, WORDS_GLUE);
        if (did[i].move == PERPEND_MOVE_SHIM) {
            words_stated(&words, &phrase, WORDS_SMALL, did[i].shim);
        } else if (did[i].move == PERPEND_MOVE_SLIDE) {
            words_displacement(&words, &phrase, did[i].slide);
        } else {
            buffer_add_number(&phrase, did[i].turns, 2);
            buffer_add(&phrase, WORDS_GLUE "turns");
        }
    }
    words_paragraph(&words, "", buffer_text(&phrase));
    dialogue_show(session->dialogue, buffer_text(&words.out));
    buffer_finish(&words.out);
    buffer_finish(&phrase);
}

static bool record_did(struct session *session, enum perpend_did_kind kind,
    const struct perpend_did *did, size_t count)
{
    const struct log_sweep *sweep = session_read_sweep(session);
    const struct perpend_mount *mount = &session_machine(session)->mount;
    if (!log_did(session->book, sweep->id, kind, mount, did, count, &session->fault) ||
        !session_load(session))
        return false;
    say_did(session, kind, did, count);
    return true;
}

/* The plan goes into the log bolt by bolt. */
static bool record_plan(struct session *session)
{
    const struct perpend_plan *plan = &session_measurement(session)->plan;
    size_t most = 0, count = 0;
    for (size_t i = 0; i < plan->step_count; i++)
        most += plan->steps[i].bolt_count;
    struct perpend_did *did = calloc(most + 1, sizeof *did);
    if (did == NULL)
        return fault_out_of_memory(&session->fault);
    for (size_t i = 0; i < plan->step_count; i++)
        for (size_t k = 0; k < plan->steps[i].bolt_count; k++) {
            const struct perpend_step *step = &plan->steps[i];
            const struct perpend_bolt_move *bolt = &step->bolts[k];
            struct perpend_did one = {.joint = step->joint, .bolt = k, .move = step->move};
            if (step->move == PERPEND_MOVE_SHIM)
                one.shim = bolt->shim;
            else if (step->move == PERPEND_MOVE_SLIDE)
                one.slide = bolt->slide;
            else
                one.turns = bolt->turns;
            if (one.shim != 0 || one.turns != 0 || perpend_dot(one.slide, one.slide) > 0)
                did[count++] = one;
        }
    bool done = record_did(session, PERPEND_DID_PLAN, did, count);
    free(did);
    return done;
}

/* Without a mount in the machine file there are only words. */
static enum course note_change(struct session *session)
{
    char answer[ANSWER_SIZE];
    struct question question = {
        .prompt = "what was changed",
        .help = "One line for the log, in your own words; Enter alone for none.",
        .may_be_empty = true,
        .back_undoes = true,
    };
    enum heard heard = dialogue_ask(session->dialogue, &question, answer);
    if (heard != HEARD_ANSWER)
        return session_course(heard);
    struct log_about about = {.sweep = session_read_sweep(session)->id};
    if (answer[0] != '\0' && !log_note(session->book, &about, LOG_NOTE, answer, &session->fault))
        return COURSE_FAIL;
    return record_did(session, PERPEND_DID_LIST, NULL, 0) ? COURSE_ON : COURSE_FAIL;
}

static enum course note_other(struct session *session)
{
    struct sweep_moves moves = {.count = 0};
    enum course course = session_ask_moves(session, &moves);
    if (course == COURSE_ON) {
        enum perpend_did_kind kind = moves.count > 0 ? PERPEND_DID_LIST : PERPEND_DID_NOTHING;
        course = record_did(session, kind, moves.did, moves.count) ? COURSE_ON : COURSE_FAIL;
    }
    free(moves.did);
    return course;
}

enum course session_did(struct session *session)
{
    for (;;) {
        struct did_context context = {.said = DID_END};
        enum heard heard = ask_did(session, &context);
        if (heard != HEARD_ANSWER)
            return session_course(heard);
        enum course course = COURSE_ON;
        switch (context.said) {
        case DID_PLANNED:
            return record_plan(session) ? COURSE_ON : COURSE_FAIL;
        case DID_NOTHING:
            return record_did(session, PERPEND_DID_NOTHING, NULL, 0) ? COURSE_ON : COURSE_FAIL;
        case DID_OTHER:
            course = note_other(session);
            break;
        case DID_CHANGED:
            course = note_change(session);
            break;
        case DID_AGAIN:
            return session_unsay(session) ? session_sweep_again(session) : COURSE_FAIL;
        case DID_MORE:
            return session_unsay(session) ? COURSE_MORE : COURSE_FAIL;
        case DID_READINGS:
            return COURSE_BACK;
        case DID_END:
        case DID_WORDS:
            if (session_pending(session) == NULL &&
                !record_did(session, PERPEND_DID_NOTHING, NULL, 0))
                return COURSE_FAIL;
            return COURSE_END;
        }
        if (course != COURSE_BACK)
            return course;
    }
}
