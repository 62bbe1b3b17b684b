/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer on the screen, and what became of the ridge from round to round. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/drift.h>
#include <perpend/status.h>

#include "text/answer.h"
#include "cli/drift_words.h"
#include "cli/prompt/shell_word.h"
#include "cli/sweep/sweep_session.h"
#include "text/words.h"

#define BAR_COLUMNS 24
#define QUESTION_ROWS 3 /* that the question after the answer takes */

const struct perpend_measurement *session_measurement(const struct session *session)
{
    return &session->solution.measurements[session->solution.measurement_count - 1];
}

static struct answer_about about_measurement(const struct session *session, size_t index)
{
    return (struct answer_about){
        .machine = session_machine(session),
        .job = &session->record.job,
        .measurement = &session->solution.measurements[index],
    };
}

/* "Ridge so far: 0.067, 0.021, now 0.008 mm. The lean has changed by 6.1 mm/m toward the front." */
static void say_rounds(const struct session *session, struct words *words)
{
    size_t count = session->solution.measurement_count;
    struct buffer phrase = {0};
    if (count < 2)
        return;
    buffer_add(&phrase, "Ridge so far: ");
    size_t first = count > 6 ? count - 6 : 0;
    for (size_t i = first; i < count; i++) {
        const struct perpend_measurement *measurement = &session->solution.measurements[i];
        buffer_add(&phrase, i + 1 == count ? ", now " : i > first ? ", " : "");
        words_ridge(words, &phrase, measurement->ridge.height);
    }
    const struct perpend_fit *before = &session->solution.measurements[count - 2].fit;
    const struct perpend_fit *now = &session->solution.measurements[count - 1].fit;
    struct perpend_drift drift;
    /* by lean and bed together: the bed has not moved */
    if (perpend_drift_between(perpend_fit_sum(before), before->sum_covariance, perpend_fit_sum(now),
            now->sum_covariance, &drift) != PERPEND_OK ||
        !drift.beyond) {
        buffer_add(&phrase,
            ". Since the last sweep the lean has not changed by more than the sweeps "
            "can tell.");
    } else {
        buffer_add(&phrase, ". Since the last sweep the top has come ");
        words_rounded(words, &phrase, WORDS_SLOPE, drift.size, drift.explained);
        buffer_addf(&phrase, " toward the %s.", perpend_bearing_nearest(drift.toward));
    }
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
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
    if (drift.before != 0) {
        char *text = drift_text(&drift, session_machine(session)->unit);
        if (text != NULL)
            dialogue_say(session->dialogue, "%s", text);
        free(text);
    }
    log_drift_finish(&drift);
    return true;
}

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
static enum course missing(
    struct session *session, enum perpend_status status, const struct perpend_job_fault *where)
{
    const struct perpend_machine *machine = session_machine(session);
    job_fault_text(status, where, session->record.machine_name, machine, &session->record.job,
        &session->fault);
    if (status == PERPEND_ERR_UNDETERMINED && where->fit.need.kind == PERPEND_NEED_BEARING &&
        is_at_hand(session, where->sweep)) {
        struct fault said; /* on the screen it goes without saying which machine this is */
        job_fault_text(status, where, NULL, machine, &session->record.job, &said);
        dialogue_say(session->dialogue, "%s", said.text);
        if (session_add_bearing(session, where->fit.need.bearing)) {
            session->skipped[session_place(session, where->fit.need.bearing)] = false;
            return COURSE_BACK;
        }
    }
    return COURSE_FAIL;
}

/* On one screen if it can be: without the joints' drawings when they would push the verdict off. */
static bool say_answer(struct session *session)
{
    struct answer_about about = about_measurement(session, session->solution.measurement_count - 1);
    int rows = dialogue_rows(session->dialogue);
    for (int plain = 0; plain < 2; plain++) {
        struct answer_options options = {.no_drawing = plain == 1};
        struct words words = session_words(session);
        int lines = QUESTION_ROWS;
        say_rounds(session, &words);
        answer_measurement(&words, &about, &options);
        for (const char *at = buffer_text(&words.out); *at != '\0'; at++)
            lines += *at == '\n' ? 1 : 0;
        if (plain == 1 || rows == 0 || lines <= rows) {
            if (rows > 0 && lines > rows) {
                /* the verdict has scrolled away by the time the question comes */
                words_gap(&words);
                answer_brief(&words, &about);
            }
            dialogue_space(session->dialogue);
            return session_show(session, &words);
        }
        buffer_finish(&words.out);
    }
    return true;
}

/* The job as the log has it, solved. */
static enum perpend_status solve(struct session *session, struct perpend_job_fault *where)
{
    perpend_solution_finish(&session->solution);
    session->solved = false;
    enum perpend_status status = perpend_job_solve(
        session_machine(session), &session->record.job, NULL, &session->solution, where);
    session->solved = status == PERPEND_OK;
    return status;
}

static bool store(struct session *session)
{
    return log_answers_store(session->book, &session->record, &session->solution, &session->fault);
}

enum course session_answer(struct session *session)
{
    struct perpend_job_fault where;
    if (!session_load(session))
        return COURSE_FAIL;
    enum perpend_status status = solve(session, &where);
    if (status != PERPEND_OK)
        return missing(session, status, &where);
    return store(session) && say_answer(session) && say_drift(session) ? COURSE_ON : COURSE_FAIL;
}

bool session_unsay(struct session *session)
{
    int64_t copy;
    struct perpend_job_fault where;
    if (session_pending(session) != NULL)
        return true;
    if (!log_did_unsay(session->book, session_read_sweep(session)->id,
            "what was said to be done was taken back", &copy, &session->fault) ||
        !session_load(session))
        return false;
    dialogue_say(session->dialogue, "taken back: what was said to be done");
    /* as it was answered before anything was said */
    return solve(session, &where) != PERPEND_OK || store(session);
}

/* ---- the end ------------------------------------------------------------------------------- */

static void add_bar(const struct session *session, struct words *words, const char *name,
    double value, double largest)
{
    struct buffer line = {0};
    char number[48];
    /* stripes left standing have no height */
    bool stripes = !isfinite(value);
    int bar = stripes ? BAR_COLUMNS : largest > 0 ? (int)lround(BAR_COLUMNS * value / largest) : 0;
    int pad = 16 - (int)words_columns(name);
    if (stripes)
        snprintf(number, sizeof number, "stripes");
    else
        perpend_number_format(number, sizeof number, words_shown(words, WORDS_SMALL, value),
            words_ridge_decimals(words, value));
    buffer_addf(&line, "  %s%*s%9s %s  ", name, pad > 0 ? pad : 0, "", number,
        words_unit_name(words, WORDS_SMALL));
    for (int i = 0; i < bar; i++)
        buffer_add(&line, dialogue_utf8(session->dialogue) ? "▒" : "#");
    while (line.length > 0 && line.bytes[line.length - 1] == ' ')
        line.bytes[--line.length] = '\0';
    buffer_add(&line, "\n");
    buffer_add(&words->out, buffer_text(&line));
    buffer_finish(&line);
}

static void add_bars(const struct session *session, struct words *words)
{
    double goal = session_machine(session)->goal;
    double largest = isnan(goal) ? 0 : goal;
    for (size_t i = 0; i < session->solution.measurement_count; i++)
        if (isfinite(session->solution.measurements[i].ridge.height))
            largest = fmax(largest, session->solution.measurements[i].ridge.height);
    words_paragraph(words, "", "The ridge to expect, round by round:");
    for (size_t i = 0; i < session->solution.measurement_count; i++) {
        const struct perpend_measurement *measurement = &session->solution.measurements[i];
        const char *name = session->record.job.sweeps[measurement->first_sweep].name;
        add_bar(session, words, name, measurement->ridge.height, largest);
    }
    if (!isnan(goal))
        add_bar(session, words, "goal", goal, largest);
}

static void add_own_log(const struct session *session, struct buffer *phrase)
{
    if (session->own_log == NULL)
        return;
    buffer_add(phrase, " --log ");
    shell_word_add(phrase, session->own_log);
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
        buffer_add(
            &phrase, phrase.length == 0 ? "Of the stock there are in the mount now: " : ", ");
        buffer_addf(&phrase, "%u" WORDS_GLUE "×" WORDS_GLUE, used);
        words_stated(words, &phrase, WORDS_SMALL, leaf->thick);
        if (leaf->name != NULL) {
            buffer_add(&phrase, " ");
            words_name(&phrase, leaf->name);
        }
    }
    if (phrase.length > 0 || phrase.failed) {
        buffer_add(&phrase, ". If they stay there, lower the counts in the machine file.");
        words_paragraph(words, "", buffer_text(&phrase));
    }
    buffer_finish(&phrase);
}

bool session_summary(struct session *session)
{
    size_t count = session->solution.measurement_count;
    struct words words = session_words(session);
    struct buffer phrase = {0};
    if (session->solved && count > 0) {
        struct answer_about found = about_measurement(session, 0);
        struct answer_about left = about_measurement(session, count - 1);
        words_paragraph(&words, "", count > 1 ? "As found and as left:" : "As found:");
        answer_brief(&words, &found);
        if (count > 1)
            answer_brief(&words, &left);
        words_gap(&words);
        add_bars(session, &words);
        words_gap(&words);
        say_leaves(session, &words);
    }
    buffer_addf(&phrase, "The record is job %lld in ", (long long)session->job);
    words_name(&phrase, log_path(session->book));
    buffer_addf(&phrase, ". To see it: perpend log show %lld", (long long)session->job);
    add_own_log(session, &phrase);
    buffer_addf(&phrase, ". As a page: perpend report %lld", (long long)session->job);
    add_own_log(session, &phrase);
    buffer_add(&phrase, ".");
    words_paragraph(&words, "", buffer_text(&phrase));
    words_paragraph(&words, "",
        "Take the arm out of the spindle before the power goes on, and home and zero again. If "
        "fibreboard is faced: eye protection, dust extraction, a rated mask.");
    buffer_finish(&phrase);
    dialogue_space(session->dialogue);
    return session_show(session, &words);
}
