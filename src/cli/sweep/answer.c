/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer on the screen, and what became of the ridge from round to round. */
#include "cli/sweep/session.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include <perpend/drift.h>
#include <perpend/status.h>

#include "cli/complain.h"
#include "cli/drift_words.h"
#include "cli/prompt/shell_word.h"
#include "text/answer.h"

#define BAR_COLUMNS 24
#define QUESTION_ROWS 3 /* that the question after the answer takes */
#define ROUNDS_NAMED 6

static struct answer_about about_measurement(const struct session *session, size_t index)
{
    return (struct answer_about){
        .machine = session_machine(session),
        .job = &session->record.job,
        .measurement = &session->solution.measurements[index],
    };
}

/* The job as the log has it, solved. */
static enum perpend_status solve(struct session *session, struct perpend_job_fault *where)
{
    perpend_solution_finish(&session->solution);
    session->solved = false;
    enum perpend_status status = perpend_job_solve(
        session_machine(session), &session->record.job, &session->solution, where);
    session->solved = status == PERPEND_OK;
    return status;
}

static bool store(struct session *session)
{
    return log_answers_store(session->book, &session->record, &session->solution, &session->fault);
}

/* ---- what is said -------------------------------------------------------------------------- */

/* "Ridge so far: 0.067, 0.021, now 0.008 mm. The lean has changed by 6.1 mm/m toward the front." */
static void say_rounds(const struct session *session, struct words *words)
{
    const struct perpend_solution *solution = &session->solution;
    size_t count = solution->measurement_count;
    struct buffer phrase = {0}, said = {0};
    struct perpend_drift drift = {.explained = 0};
    if (count < 2)
        return;
    size_t first = count > ROUNDS_NAMED ? count - ROUNDS_NAMED : 0;
    for (size_t i = first; i < count; i++) {
        buffer_add(&phrase, i + 1 == count ? ", now " : i > first ? ", " : "");
        words_ridge(words, &phrase, solution->measurements[i].ridge.height);
    }
    const struct perpend_fit *before = &solution->measurements[count - 2].fit;
    const struct perpend_fit *now = &solution->measurements[count - 1].fit;
    /* by lean and bed together: the bed has not moved */
    bool beyond = perpend_drift_between(perpend_fit_sum(before), before->sum_covariance,
                      perpend_fit_sum(now), now->sum_covariance, &drift) == PERPEND_OK &&
                  drift.beyond;
    fill(words, &said, session_sentences[RIDGE_SO_FAR],
        SLOTS(SLOT_TEXT("ridges", buffer_text(&phrase))));
    fill_next(words, &said, session_sentences[LEAN_CHANGED],
        SLOTS(SLOT_IF("beyond", beyond),
            SLOT_ROUNDED("size", WORDS_SLOPE, beyond ? drift.size : 0, drift.explained),
            SLOT_TEXT("toward", beyond ? perpend_bearing_nearest(drift.toward) : "")));
    say_and_finish(words, "", &said);
    buffer_finish(&phrase);
}

/* On one screen if it can be: without the joints' drawings when they would push the verdict off. */
static bool say_answer(struct session *session)
{
    struct answer_about about = about_measurement(session, session->solution.measurement_count - 1);
    int rows = dialogue_rows(session->dialogue);
    struct words words = session_words(session);
    bool fits = false;
    for (int plain = 0; plain < 2 && !fits; plain++) {
        struct answer_options options = {.no_drawing = plain == 1};
        int lines = QUESTION_ROWS;
        buffer_clear(&words.out);
        say_rounds(session, &words);
        answer_job(&words, about.machine, about.job, &session->solution, &options);
        for (const char *at = buffer_text(&words.out); *at != '\0'; at++)
            lines += *at == '\n' ? 1 : 0;
        fits = rows == 0 || lines <= rows;
    }
    if (!fits) { /* the verdict has scrolled away by the time the question comes */
        words_gap(&words);
        answer_brief(&words, &about);
    }
    dialogue_space(session->dialogue);
    return session_show(session, &words);
}

/* What was left last time against what is found today; once, with the first answer that holds. */
static bool say_drift(struct session *session)
{
    struct log_drift drift;
    struct answer_about about = about_measurement(session, 0);
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
    const struct perpend_machine *machine = session_machine(session);
    const struct perpend_job *job = &session->record.job;
    double bearing = where->fit.need.bearing;
    job_fault_text(status, where, session->record.machine_name, machine, job, &session->fault);
    if (status != PERPEND_ERR_UNDETERMINED || where->fit.need.kind != PERPEND_NEED_BEARING ||
        !is_at_hand(session, where->sweep))
        return NEXT_FAIL;
    struct fault said; /* on the screen it goes without saying which machine this is */
    job_fault_text(status, where, NULL, machine, job, &said);
    dialogue_say(session->dialogue, "%s", said.text);
    if (!turn_add(&session->turn, bearing))
        return NEXT_FAIL;
    session->turn.skipped[turn_find(&session->turn, bearing)] = false;
    return NEXT_READ;
}

enum next session_answer(struct session *session)
{
    struct perpend_job_fault where;
    if (!session_load(session))
        return NEXT_FAIL;
    enum perpend_status status = solve(session, &where);
    if (status != PERPEND_OK)
        return ask_missing(session, status, &where);
    return store(session) && say_answer(session) && say_drift(session) ? NEXT_DID : NEXT_FAIL;
}

bool session_unsay(struct session *session)
{
    int64_t copy;
    struct perpend_job_fault where;
    if (session_waits(session))
        return true;
    if (!log_did_unsay(session->book, session_read_sweep(session)->id,
            "what was said to be done was taken back", &copy, &session->fault) ||
        !session_load(session))
        return false;
    session_say(session, DID_UNSAID, NULL);
    /* as it was answered before anything was said */
    return solve(session, &where) != PERPEND_OK || store(session);
}

/* ---- the end ------------------------------------------------------------------------------- */

/* "  as found          0.067 mm  ▒▒▒▒▒▒▒▒" */
static void add_bar(const struct session *session, struct words *words, const char *name,
    double value, double largest)
{
    char number[48] = "stripes"; /* which have no height */
    int bar = BAR_COLUMNS, pad = 16 - (int)words_columns(name);
    if (isfinite(value)) {
        bar = largest > 0 ? (int)lround(BAR_COLUMNS * value / largest) : 0;
        perpend_number_format(number, sizeof number, words_shown(words, WORDS_SMALL, value),
            words_ridge_decimals(words, value));
    }
    buffer_addf(&words->out, "  %s%*s%9s %s%s", name, pad > 0 ? pad : 0, "", number,
        words_unit_name(words, WORDS_SMALL), bar > 0 ? "  " : "");
    for (int i = 0; i < bar; i++)
        buffer_add(&words->out, dialogue_utf8(session->dialogue) ? "▒" : "#");
    buffer_add(&words->out, "\n");
}

static void add_bars(const struct session *session, struct words *words)
{
    const struct perpend_solution *solution = &session->solution;
    double goal = session_machine(session)->goal.ridge;
    double largest = isnan(goal) ? 0 : goal;
    for (size_t i = 0; i < solution->measurement_count; i++)
        if (isfinite(solution->measurements[i].ridge.height))
            largest = fmax(largest, solution->measurements[i].ridge.height);
    say_sentence(words, "", session_sentences[RIDGE_BY_ROUND], NULL);
    for (size_t i = 0; i < solution->measurement_count; i++) {
        const struct perpend_measurement *measurement = &solution->measurements[i];
        add_bar(session, words, session->record.job.sweeps[measurement->first_sweep].name,
            measurement->ridge.height, largest);
    }
    if (!isnan(goal))
        add_bar(session, words, "goal", goal, largest);
}

/* "In the mount now, from the stock: 8 × 0.05 mm brass." */
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
    size_t count = session->solution.measurement_count;
    struct words words = session_words(session);
    struct buffer log = {0};
    if (session->solved && count > 0) {
        struct answer_about found = about_measurement(session, 0);
        struct answer_about left = about_measurement(session, count - 1);
        say_sentence(
            &words, "", session_sentences[FOUND_AND_LEFT], SLOTS(SLOT_IF("left", count > 1)));
        answer_brief(&words, &found);
        if (count > 1)
            answer_brief(&words, &left);
        words_gap(&words);
        add_bars(session, &words);
        words_gap(&words);
        say_leaves(session, &words);
    }
    if (session->wishes->log != NULL) {
        buffer_add(&log, " --log ");
        shell_word_add(&log, session->wishes->log);
    }
    say_sentence(&words, "", session_sentences[THE_RECORD],
        SLOTS(SLOT_COUNT("job_number", session->job), SLOT_NAME("path", log_path(session->book)),
            SLOT_TEXT("log", buffer_text(&log))));
    say_sentence(&words, "", session_sentences[ARM_OUT], NULL);
    buffer_finish(&log);
    dialogue_space(session->dialogue);
    return session_show(session, &words);
}
