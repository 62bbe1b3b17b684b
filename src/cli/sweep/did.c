/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was done after a sweep. */
#include "cli/sweep/session.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "files/names.h"
#include "text/answer.h"
#include "text/gets.h"

/* ---- into the log -------------------------------------------------------------------------- */

/* "kept: bolt by bolt: top left shim 0.5 mm, top right shim 0.5 mm" */
static void say_did(struct session *session, enum perpend_did_kind kind,
    const struct perpend_did *did, size_t count)
{
    struct words words = session_words(session);
    struct buffer phrase = {0};
    fill(&words, &phrase, session_sentences[DID_KEPT],
        SLOTS(SLOT_CHOICE("kind", kind == PERPEND_DID_PLAN      ? 0
                                  : kind == PERPEND_DID_NOTHING ? 1
                                  : count == 0                  ? 2
                                                                : 3)));
    for (size_t i = 0; kind == PERPEND_DID_LIST && i < count; i++) {
        const struct perpend_joint *joint = &session_machine(session)->mount.joints[did[i].joint];
        buffer_add(&phrase, i > 0 ? ", " : " ");
        words_name(&phrase, joint->bolts[did[i].bolt].name);
        buffer_add(&phrase, WORDS_GLUE);
        bolt_did(&words, &phrase, did[i].move, &did[i].amount);
    }
    dialogue_say(session->dialogue, "%s", buffer_text(&phrase));
    buffer_finish(&phrase);
}

static enum next record_did(struct session *session, enum perpend_did_kind kind,
    const struct perpend_did *did, size_t count)
{
    const struct log_sweep *sweep = session_read_sweep(session);
    const struct perpend_mount *mount = &session_machine(session)->mount;
    if (!log_did(session->book, sweep->id, kind, mount, did, count, &session->fault) ||
        !session_load(session))
        return NEXT_FAIL;
    say_did(session, kind, did, count);
    return NEXT_SWEEP;
}

/* ---- the words ----------------------------------------------------------------------------- */

/* The plan goes into the log bolt by bolt. */
static enum next did_planned(struct session *session)
{
    const struct perpend_plan *plan = &session_measurement(session)->plan;
    size_t most = 0, count = 0;
    for (size_t i = 0; i < plan->step_count; i++)
        most += plan->steps[i].bolt_count;
    struct perpend_did *did = calloc(most + 1, sizeof *did);
    if (did == NULL)
        return session_next(session, HEARD_FAIL, NEXT_FAIL, NEXT_FAIL);
    for (size_t i = 0; i < plan->step_count; i++)
        for (size_t k = 0; k < plan->steps[i].bolt_count; k++) {
            const struct perpend_step *step = &plan->steps[i];
            if (!perpend_amount_is_none(step->bolts[k].amount))
                did[count++] =
                    (struct perpend_did){step->joint, k, step->move, step->bolts[k].amount};
        }
    enum next next = record_did(session, PERPEND_DID_PLAN, did, count);
    free(did);
    return next;
}

static enum next did_other(struct session *session)
{
    struct perpend_did *did = NULL;
    size_t count = 0;
    enum heard heard = session_ask_bolts(session, &did, &count);
    enum next next = session_next(session, heard, NEXT_SWEEP, NEXT_DID);
    if (next == NEXT_SWEEP)
        next = record_did(session, count > 0 ? PERPEND_DID_LIST : PERPEND_DID_NOTHING, did, count);
    free(did);
    return next;
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
    return record_did(session, PERPEND_DID_LIST, NULL, 0);
}

static enum next did_nothing(struct session *session)
{
    return record_did(session, PERPEND_DID_NOTHING, NULL, 0);
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

enum needs { NEEDS_NOTHING, NEEDS_STEPS, NEEDS_MOUNT, NEEDS_NO_MOUNT };

enum word { PLANNED, OTHER, CHANGED, NOTHING, AGAIN, MORE, READINGS, END, WORDS_THERE };

/* In the order in which they are named. */
static const struct command {
    const char *word;
    const char *help;
    const char *offer; /* what Enter does, where this word is the one to be expected */
    enum needs needs;
    enum next (*run)(struct session *session);
    bool in_help_only; /* not named with the others */
} commands[WORDS_THERE] = {
    [PLANNED] = {"planned", "the plan above, as it stands", "Do that, then press Enter. Or type ",
        NEEDS_STEPS, did_planned, false},
    [OTHER] = {"other", "something else; you are asked bolt by bolt",
        "Do what you can, then press Enter and tell it bolt by bolt. Or type ", NEEDS_MOUNT,
        did_other, false},
    [CHANGED] = {"changed", "something was moved; you tell what in a line",
        "What did you do? Type ", NEEDS_NO_MOUNT, did_changed, false},
    [NOTHING] = {"nothing", "no bolt was touched; a fresh sweep that counts by itself",
        "Enter sweeps anew. Or type ", NEEDS_NOTHING, did_nothing, false},
    [AGAIN] = {"again", "all readings of this sweep once more, in place of these",
        "The readings do not agree: Enter takes them all again. Or type ", NEEDS_NOTHING,
        sweep_again, true},
    [MORE] = {"more", "bolts and Z as they were; one more sweep, counted together with the last",
        "Leave bolts and Z alone: Enter sweeps once more. Or type ", NEEDS_NOTHING, sweep_more,
        false},
    [READINGS] = {"readings",
        "back to the readings, to correct one (as undo); left 0.45 does so at once",
        "A reading does not fit: Enter goes back to take it again. Or type ", NEEDS_NOTHING,
        to_readings, true},
    [END] = {"end", "the job is over", "Enter ends the job. Or type ", NEEDS_NOTHING, end_job,
        false},
};

/* What goes at every question, and here, where it matters most, is told again. */
static const char also_help[] = "  note ... \ta line of your own for the log\n"
                                "  undo     \tback to the last reading\n"
                                "  stop     \tleave for now; the job waits\n";

static bool is_allowed(const struct session *session, enum word word)
{
    bool mount = session_machine(session)->mount.joint_count > 0;
    switch (commands[word].needs) {
    case NEEDS_STEPS:
        return answer_has_steps(session_measurement(session));
    case NEEDS_MOUNT:
        return mount;
    case NEEDS_NO_MOUNT:
        return !mount;
    case NEEDS_NOTHING:
        break;
    }
    return true;
}

/* The word to be expected after this answer. */
static enum word standing_word(const struct session *session)
{
    const struct perpend_measurement *measurement = session_measurement(session);
    struct answer_about about = {session_machine(session), &session->record.job, measurement};
    enum perpend_verdict verdict = measurement->verdict;
    if (answer_readings_doubtful(&about))
        return measurement->fit.closure.off ? AGAIN : READINGS;
    if (verdict == PERPEND_VERDICT_MET)
        return END;
    if (is_allowed(session, PLANNED))
        return PLANNED;
    if (verdict == PERPEND_VERDICT_TOO_CLOSE)
        return MORE;
    if (verdict != PERPEND_VERDICT_NOT_MET || answer_plan_worsens(measurement))
        return END;
    return is_allowed(session, OTHER) ? OTHER : CHANGED;
}

/* ---- the question -------------------------------------------------------------------------- */

static void say_choices(struct session *session, enum word standing)
{
    struct buffer phrase = {0};
    size_t named[WORDS_THERE], count = 0;
    for (size_t i = 0; i < WORDS_THERE; i++)
        if (i != standing && !commands[i].in_help_only && is_allowed(session, (enum word)i))
            named[count++] = i;
    buffer_add(&phrase, commands[standing].offer);
    for (size_t i = 0; i < count; i++)
        buffer_addf(&phrase, "%s%s",
            i == 0           ? ""
            : i + 1 == count ? " or "
                             : ", ",
            commands[named[i]].word);
    buffer_add(&phrase, "; help tells more.");
    dialogue_space(session->dialogue);
    dialogue_say(session->dialogue, "%s", buffer_text(&phrase));
    buffer_finish(&phrase);
}

struct said {
    const struct session *session;
    enum word word;
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
    struct said *said = opaque;
    const char *mark = "";
    int length = snprintf(complaint, size, "Type one of these:");
    said->corrects = is_correction(answer);
    said->word = READINGS;
    for (size_t i = 0; i < WORDS_THERE && !said->corrects; i++) {
        if (!is_allowed(said->session, (enum word)i))
            continue;
        said->word = (enum word)i;
        if (same_word(answer, commands[i].word))
            return true;
        if (length > 0 && (size_t)length < size)
            length += snprintf(
                complaint + length, size - (size_t)length, "%s %s", mark, commands[i].word);
        mark = ",";
    }
    return said->corrects;
}

enum next session_did(struct session *session)
{
    struct said said = {.session = session};
    enum word standing = standing_word(session);
    struct buffer help = {0};
    char answer[ANSWER_SIZE];
    say_choices(session, standing);
    for (size_t i = 0; i < WORDS_THERE; i++)
        if (is_allowed(session, (enum word)i))
            buffer_addf(&help, "  %-8s \t%s\n", commands[i].word, commands[i].help);
    buffer_add(&help, also_help);
    struct question question = {
        .prompt = "what was done",
        .help = buffer_text(&help),
        .standing = commands[standing].word,
        .help_is_whole = true,
        .check = check_did,
        .context = &said,
    };
    enum heard heard = dialogue_ask(session->dialogue, &question, answer);
    buffer_finish(&help);
    if (heard == HEARD_ANSWER && said.corrects)
        dialogue_hear_next(session->dialogue, answer);
    enum next next = session_next(session, heard, NEXT_DID, NEXT_REVIEW);
    return next == NEXT_DID ? commands[said.word].run(session) : next;
}
