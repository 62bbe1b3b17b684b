/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer on the screen, again when it is asked for, and what became of the ridge. */
#include "cli/sweep/session.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "cli/drift_words.h"
#include "cli/prompt/shell_word.h"
#include "log/whole_file.h"

struct answer_about session_about(const struct session *session)
{
    return (struct answer_about){
        .machine = session_machine(session),
        .job = &session->record.job,
        .measurement = session_measurement(session),
    };
}

bool session_solve(
    struct session *session, enum perpend_status *status, struct perpend_job_fault *where)
{
    struct perpend_solution now;
    *status = perpend_job_solve_again(session_machine(session), &session->record.job,
        session->solved ? &session->solution : NULL, &now, where);
    if (*status != PERPEND_OK)
        return true;
    perpend_solution_finish(&session->solution);
    session->solution = now;
    session->solved = true;
    return log_answers_store(session->book, &session->record, &session->solution, &session->fault);
}

/* ---- what is said -------------------------------------------------------------------------- */

static bool say_answer(struct session *session)
{
    struct words words = session_words(session);
    answer_job(&words, session_machine(session), &session->record.job, &session->solution,
        &(struct answer_options){.in_session = true});
    dialogue_space(session->dialogue);
    return session_show(session, &words);
}

/* What was there at the end of the last job against what is found today; once, with the first answer that
   holds. */
static bool say_drift(struct session *session)
{
    struct log_drift drift;
    struct answer_about about = session_about(session);
    if (session->drift_said || session->solution.measurement_count != 1 ||
        answer_readings_doubtful(&about))
        return true;
    session->drift_said = true;
    if (!log_drift_find(session->book, session->job, &drift, &session->fault))
        return false;
    char *text = drift.before != 0 ? drift_text(&drift, session_machine(session)->unit) : NULL;
    if (text != NULL)
        dialogue_say(session->dialogue, "%s", text);
    free(text);
    log_drift_finish(&drift);
    return true;
}

/* The plan, in words of this screen or for a file. */
static void add_plan(struct session *session, struct words *words)
{
    struct answer_about about = session_about(session);
    answer_steps(words, &about, &(struct answer_options){.more = true, .in_session = true});
}

enum next session_plan(struct session *session, const char *rest)
{
    struct words words = session_words(session);
    (void)rest;
    dialogue_space(session->dialogue);
    add_plan(session, &words);
    if (words.out.length == 0)
        session_say(session, NO_STEPS, NULL);
    return session_show(session, &words) ? NEXT_DID : NEXT_FAIL;
}

enum next session_more(struct session *session, const char *rest)
{
    struct words words = session_words(session);
    struct answer_about about = session_about(session);
    (void)rest;
    dialogue_space(session->dialogue);
    answer_more(&words, &about);
    return session_show(session, &words) ? NEXT_DID : NEXT_FAIL;
}

/* The whole answer, as a page to take to the machine. */
enum next session_print(struct session *session, const char *rest)
{
    struct words words = {.unit = session_machine(session)->unit,
        .width = WORDS_USUAL_WIDTH,
        .utf8 = session_words(session).utf8};
    char usual[64];
    struct fault fault = {.status = 0};
    snprintf(usual, sizeof usual, "plan-%lld-%zu.txt", (long long)session->job,
        session->solution.measurement_count);
    const char *file = rest[0] != '\0' ? rest : usual;
    answer_job(&words, session_machine(session), &session->record.job, &session->solution,
        &(struct answer_options){.more = true, .in_session = true});
    enum whole_file done = words.out.failed ? WHOLE_FILE_FAILED
                                            : whole_file_write(file, buffer_text(&words.out),
                                                  words.out.length, false, &fault);
    session_say(session,
        done == WHOLE_FILE_WRITTEN  ? PRINT_KEPT
        : done == WHOLE_FILE_EXISTS ? PRINT_THERE
                                    : PRINT_NOT,
        SLOTS(SLOT_NAME("file", file), SLOT_TEXT("why", words.out.failed ? "" : fault.text)));
    buffer_finish(&words.out);
    return NEXT_DID;
}

/* ---- the state ----------------------------------------------------------------------------- */

/* Whether a sweep of the job belongs to the measurement at hand, which can still be added to. */
static bool is_at_hand(const struct session *session, size_t sweep)
{
    const struct perpend_job *job = &session->record.job;
    for (size_t i = sweep; i < job->sweep_count; i++)
        if (job->sweeps[i].did_kind != PERPEND_DID_UNSTATED)
            return false;
    return true;
}

/* A job that cannot be solved as it is: say why, and ask for the reading that would help. */
static enum next ask_missing(
    struct session *session, enum perpend_status status, const struct perpend_job_fault *where)
{
    const struct perpend_job *job = &session->record.job;
    double bearing = where->fit.need.bearing;
    job_fault_text(status, where, session->record.machine_name, job, &session->fault);
    if (status != PERPEND_ERR_UNDETERMINED || where->fit.need.kind != PERPEND_NEED_BEARING ||
        !is_at_hand(session, where->sweep))
        return NEXT_FAIL;
    struct fault said; /* on the screen it goes without saying which machine this is */
    job_fault_text(status, where, NULL, job, &said);
    dialogue_say(session->dialogue, "%s", said.text);
    if (!turn_add(&session->turn, bearing))
        return NEXT_FAIL;
    session->turn.skipped[turn_find(&session->turn, bearing)] = false;
    session->asked = turn_find(&session->turn, bearing);
    return NEXT_READ;
}

enum next session_answer(struct session *session)
{
    struct perpend_job_fault where;
    enum perpend_status status;
    if (!session_load(session) || !session_solve(session, &status, &where))
        return NEXT_FAIL;
    if (status != PERPEND_OK)
        return ask_missing(session, status, &where);
    enum next next;
    if (session_surprise(session, &next))
        return next;
    return say_answer(session) && say_drift(session) ? NEXT_DID : NEXT_FAIL;
}

/* ---- the end ------------------------------------------------------------------------------- */

/* "In the mount now: 8 × 0.05 mm brass." */
static void say_leaves(const struct session *session, struct words *words)
{
    const struct perpend_stock *stock = &session_machine(session)->stock;
    struct buffer phrase = {0};
    for (size_t i = 0; i < stock->leaf_count; i++) {
        const struct perpend_leaf *leaf = &stock->leaves[i];
        unsigned used = leaf->count - session->solution.leaves_left[i];
        if (used == 0)
            continue;
        buffer_add(&phrase, phrase.length == 0 ? "" : ", ");
        buffer_addf(&phrase, "%u" WORDS_GLUE "×" WORDS_GLUE, used);
        words_stated(words, &phrase, WORDS_SMALL, leaf->thick);
        buffer_add(&phrase, leaf->name != NULL ? " " : "");
        words_name(&phrase, leaf->name);
    }
    if (phrase.length > 0 || phrase.failed)
        say_sentence(words, "", session_sentences[LEAVES_IN_MOUNT],
            SLOTS(SLOT_TEXT("leaves", buffer_text(&phrase))));
    buffer_finish(&phrase);
}

bool session_summary(struct session *session)
{
    const struct perpend_solution *solution = &session->solution;
    struct words words = session_words(session);
    struct buffer log = {0};
    if (session->solved) {
        say_sentence(&words, "", session_sentences[FOUND_AND_NOW],
            SLOTS(SLOT_RIDGE("found", solution->measurements[0].ridge.height),
                SLOT_RIDGE("now", solution->measurement_count > 1
                                      ? session_measurement(session)->ridge.height
                                      : (double)NAN)));
        say_leaves(session, &words);
    }
    if (session->wishes->log != NULL) {
        buffer_add(&log, " --log ");
        shell_word_add(&log, session->wishes->log);
    }
    say_sentence(&words, "", session_sentences[THE_RECORD],
        SLOTS(SLOT_COUNT("job_number", session->job), SLOT_TEXT("log", buffer_text(&log))));
    say_sentence(&words, "", session_sentences[ARM_OUT], NULL);
    buffer_finish(&log);
    dialogue_space(session->dialogue);
    return session_show(session, &words);
}
