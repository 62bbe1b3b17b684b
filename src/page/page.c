/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "page/page.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>
#include <perpend/text.h>
#include <perpend/units.h>

#include "draw/figures.h"
#include "files/files.h"
#include "files/json.h"
#include "files/number.h"
#include "page/reply.h"
#include "report/digest.h"
#include "report/report.h"
#include "text/answer.h"
#include "text/say.h"

enum page_sentence {
#define SENTENCE(name, text) name,
#include "page/sentences.inc"
#undef SENTENCE
    PAGE_SENTENCES
};
static const char *const page_sentences[PAGE_SENTENCES] = {
#define SENTENCE(name, text) [name] = (text),
#include "page/sentences.inc"
#undef SENTENCE
};

/* The last answer and its machine's text: what was judged of rounds that are as they were is not worked out
   again. What comes back is the same either way. */
static struct {
    char *machine;
    struct perpend_solution solution;
} before;

struct page {
    const char *machine_text;
    struct perpend_machine machine;
    struct perpend_job job;
    struct perpend_solution solution;
    struct answer_about about;
    struct json json;
};

/* ---- words ---- */

static struct words words_of(const struct page *page)
{
    return reply_wording(page->machine.unit);
}

/* "NOT YET: ridge 0.067 mm …" as a heading and what stands under it. */
static void put_head(struct page *page)
{
    struct words words = words_of(page);
    answer_verdict(&words, &page->about);
    char *text = buffer_take(&words.out);
    if (text != NULL)
        text[strcspn(text, "\n")] = '\0';
    char *rest = text != NULL ? strstr(text, ": ") : NULL;
    if (rest != NULL)
        *rest = '\0';
    json_add(&page->json, "head: %s, verdict: %s", text, rest != NULL ? rest + 2 : NULL);
    free(text);
}

static void say_plan(struct words *words, const struct answer_about *about)
{
    if (answer_has_plan(about->measurement))
        answer_plan(words, about, NULL);
}

static void put_say(struct page *page)
{
    static const struct {
        const char *key;
        void (*say)(struct words *words, const struct answer_about *about);
    } topics[] = {
        {"findings", answer_findings},
        {"more", answer_more},
        {"steps", say_plan},
        {"worse", answer_worse},
        {"shortfall", answer_shortfall},
        {"next", answer_next_sweep},
        {"settle", answer_remedy},
    };
    json_add(&page->json, "say: {");
    put_head(page);
    for (size_t i = 0; i < sizeof topics / sizeof *topics; i++) {
        struct words words = words_of(page);
        topics[i].say(&words, &page->about);
        reply_words(&page->json, topics[i].key, &words);
    }
    json_add(&page->json, "}");
}

/* ---- the plan ---- */

/* An amount as a job file in this unit has it, to what hands can do; key NULL in a list. */
static void put_length(struct page *page, const char *key, double mm)
{
    char digits[NUMBER_SHOWN];
    bool inch = page->machine.unit == PERPEND_UNIT_INCH;
    words_trimmed(digits, sizeof digits, inch ? mm / PERPEND_MM_PER_INCH : mm, inch ? 5 : 4);
    if (key != NULL)
        json_add(&page->json, "%s: %s", key, digits);
    else
        json_add(&page->json, "%s", digits);
}

static void put_amount(
    struct page *page, const struct perpend_move_row *row, const struct perpend_amount *amount)
{
    char digits[NUMBER_SHOWN];
    switch (row->amount) {
    case PERPEND_AMOUNT_DISPLACEMENT:
        json_add(&page->json, "%s: [", row->key);
        put_length(page, NULL, amount->shift.right);
        put_length(page, NULL, amount->shift.back);
        put_length(page, NULL, amount->shift.up);
        json_add(&page->json, "]");
        break;
    case PERPEND_AMOUNT_THICKNESS:
        put_length(page, row->key, amount->value);
        break;
    default:
        words_trimmed(digits, sizeof digits,
            row->amount == PERPEND_AMOUNT_ANGLE ? perpend_degrees(amount->value) : amount->value,
            4);
        json_add(&page->json, "%s: %s", row->key, digits);
    }
}

static void put_planned(struct page *page)
{
    const struct perpend_plan *plan = &page->about.measurement->plan;
    const bool told = answer_has_plan(page->about.measurement);
    json_add(&page->json, "planned: [");
    for (size_t i = 0; told && i < plan->step_count; i++) {
        const struct perpend_step *step = &plan->steps[i];
        const struct perpend_joint *joint = &page->machine.mount.joints[step->joint];
        const struct perpend_move_row *row = perpend_move_find(step->move);
        const bool whole = row->amount == PERPEND_AMOUNT_ANGLE;
        for (size_t j = 0; j < (whole ? 1 : step->bolt_count); j++) {
            if (!whole && bolt_stays(step, j))
                continue;
            json_add(&page->json, "{joint: %s", joint->name);
            if (!whole)
                json_add(&page->json, "bolt: %s", joint->bolts[j].name);
            put_amount(page, row, &step->bolts[j].amount);
            json_add(&page->json, "}");
        }
    }
    json_add(&page->json, "]");
}

/* What can be done: the key of the amount, of how many numbers it is, and whether it is one for the whole
   joint. */
static void put_moves(struct page *page)
{
    const struct perpend_move_row *row;
    json_add(&page->json, "moves: [");
    for (size_t i = 0; (row = perpend_move_at(i)) != NULL; i++)
        json_add(&page->json, "{move: %s, key: %s, parts: %lld, whole: %i}", row->name, row->key,
            row->amount == PERPEND_AMOUNT_DISPLACEMENT ? 3LL : 1LL,
            row->amount == PERPEND_AMOUNT_ANGLE);
    json_add(&page->json, "]");
}

static bool bearing_seen(const struct perpend_measurement *m, size_t reading)
{
    for (size_t k = 0; k < reading; k++)
        if (m->readings[k].bearing == m->readings[reading].bearing)
            return true;
    return false;
}

/* Where the carriage stands now, with Z as the plan leaves it. */
static void put_expected(struct page *page)
{
    const struct perpend_measurement *m = page->about.measurement;
    const struct words words = words_of(page);
    struct perpend_fit next;
    json_add(&page->json, "expected: [");
    if (answer_has_steps(m) && m->reading_count > 0) {
        const struct perpend_reading *here = &m->readings[m->reading_count - 1];
        const struct perpend_outlook outlook = perpend_measurement_outlook(&page->machine, m);
        perpend_plan_foresee(&m->plan, &outlook, &next);
        for (size_t i = 0; i < m->reading_count; i++) {
            const struct perpend_reading *reading = &m->readings[i];
            struct buffer shown = {0};
            char label[WORDS_LABEL];
            if (bearing_seen(m, i))
                continue;
            words_reading(&words, &shown,
                perpend_fit_predict(
                    &next, &page->machine.setup, reading->bearing, here->x, here->y),
                page->machine.setup.gauge.step);
            json_add(&page->json, "{at: %s, reading: %s}",
                words_bearing_label(label, sizeof label, reading->bearing), buffer_text(&shown));
            buffer_finish(&shown);
        }
    }
    json_add(&page->json, "]");
}

/* ---- every measurement ---- */

static void put_rounds(struct page *page)
{
    json_add(&page->json, "rounds: [");
    for (size_t i = 0; i < page->solution.measurement_count; i++) {
        const struct perpend_measurement *m = &page->solution.measurements[i];
        char *sweeps = say_sweeps(&page->job, m);
        char *ridge = say_filled(page->machine.unit, page_sentences[PAGE_RIDGE],
            SLOTS(SLOT_RIDGE("ridge", m->ridge.height)));
        json_add(&page->json, "{sweeps: %s, ridge: %s, verdict: %s}", sweeps, ridge,
            perpend_verdict_text(m->verdict));
        free(sweeps);
        free(ridge);
    }
    json_add(&page->json, "]");
}

/* ---- pictures ---- */

static void put_pictures(struct page *page)
{
    const struct perpend_measurement *m = page->about.measurement;
    const struct floor_lean now = {m->fit.lean, page->job.sweeps[m->first_sweep].name, false};
    const struct floor_lean planned = {m->plan.lean_after, page_sentences[PAGE_AFTER_PLAN], true};
    const bool steps = answer_has_steps(m) && !answer_readings_doubtful(&page->about);
    json_add(&page->json, "pictures: {");
    reply_figure(&page->json, "lean", "lean", figure_lean(&page->machine, &page->solution, steps));
    reply_figure(
        &page->json, "floor", "floor", figure_floor(&page->machine, &now, steps ? &planned : NULL));
    json_add(&page->json, "mount: [");
    if (steps) {
        const struct mount_work work = mount_work_planned(&m->plan);
        for (size_t i = 0; i < page->machine.mount.joint_count; i++)
            if (work.joints[i])
                reply_figure(
                    &page->json, NULL, "mount", figure_mount(&page->machine, i, &work, true));
    }
    json_add(&page->json, "]");
    json_add(&page->json, "}");
}

static void put_solution(struct page *page)
{
    char *json = solution_json(&page->machine, &page->job, &page->solution);
    char *text = perpend_answer_text(&page->machine, &page->job, &page->solution, NULL);
    json_put_json(&page->json, "solution", json);
    json_add(&page->json, "text: %s", text);
    free(json);
    free(text);
}

/* ---- the calls ---- */

static bool read_texts(struct page *page, const char *machine, const char *job)
{
    struct fault fault = {0};
    if (!machine_file_parse(machine, strlen(machine), "machine", &page->machine, &fault))
        return reply_fault(&page->json, "machine", &fault);
    if (*job != '\0' &&
        !job_file_parse(job, strlen(job), "job", &page->machine, &page->job, &fault))
        return reply_fault(&page->json, "job", &fault);
    json_add(&page->json, "error: null");
    return true;
}

static bool solve(struct page *page)
{
    struct perpend_job_fault where;
    struct fault fault = {0};
    const bool same = before.machine != NULL && strcmp(before.machine, page->machine_text) == 0;
    enum perpend_status status = perpend_job_solve_again(
        &page->machine, &page->job, same ? &before.solution : NULL, &page->solution, &where);
    if (status != PERPEND_OK)
        job_fault_text(status, &where, NULL, &page->job, &fault);
    if (status == PERPEND_OK)
        json_add(&page->json, "needs: null");
    else
        json_add(&page->json, "needs: %s", fault.text);
    return status == PERPEND_OK;
}

/* Read and solve, saying what is wrong; whether there is an answer. */
static bool begin(struct page *page, const char *machine, const char *job)
{
    gsl_set_error_handler_off();
    page->machine_text = machine;
    perpend_machine_init(&page->machine);
    json_add(&page->json, "{");
    if (!read_texts(page, machine, job) || page->job.sweep_count == 0 || !solve(page))
        return false;
    page->about = (struct answer_about){&page->machine, &page->job,
        &page->solution.measurements[page->solution.measurement_count - 1]};
    return true;
}

static char *finish(struct page *page)
{
    json_add(&page->json, "}");
    if (page->solution.measurement_count > 0) {
        perpend_solution_finish(&before.solution);
        free(before.machine);
        before.machine = strdup(page->machine_text);
        before.solution = page->solution;
    }
    perpend_job_finish(&page->job);
    perpend_machine_finish(&page->machine);
    return json_take(&page->json);
}

char *page_answer(const char *machine, const char *job)
{
    struct page page = {.json = {.compact = true}};
    if (begin(&page, machine, job)) {
        put_solution(&page);
        json_add(&page.json, "doubtful: %i", answer_readings_doubtful(&page.about));
        put_say(&page);
        put_planned(&page);
        put_moves(&page);
        put_expected(&page);
        put_rounds(&page);
        put_pictures(&page);
    }
    return finish(&page);
}

char *page_record(const char *machine, const char *job)
{
    struct page page = {.json = {.compact = true}};
    char digest[DIGEST_TEXT];
    struct document document = {0};
    struct buffer html = {0};
    if (begin(&page, machine, job)) {
        const struct report_input input = {.machine = &page.machine,
            .job = &page.job,
            .solution = &page.solution,
            .name = page.machine.name != NULL ? page.machine.name : page_sentences[PAGE_NO_NAME],
            .digest = digest_text(machine, strlen(machine), job, strlen(job), digest),
            .digest_of = page_sentences[PAGE_DIGEST_OF],
            .version = PERPEND_VERSION};
        report_build(&input, &document);
        document_html(&document, &html);
        json_add(&page.json, "record: %s", buffer_text(&html));
        page.json.text.failed = page.json.text.failed || html.failed;
    }
    document_finish(&document);
    buffer_finish(&html);
    return finish(&page);
}

char *page_style(void)
{
    struct buffer style = {0};
    figure_svg_style(&style);
    return buffer_take(&style);
}
