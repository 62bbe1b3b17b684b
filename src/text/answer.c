/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "text/answer.h"
#include "text/compass.h"
#include "text/escape.h"

/* "as found"; "sweep 2" of one that is called 2. */
static void add_sweep_name(
    const struct words *words, struct buffer *phrase, const struct perpend_sweep *sweep)
{
    const char *name = sweep->name;
    bool number = name[0] != '\0' && name[strspn(name, "0123456789")] == '\0';
    fill(words, phrase, sentences[SWEEP_NAME],
        SLOTS(SLOT_IF("number", number), SLOT_NAME("sweep", name)));
}

static void add_sweep_names(
    const struct words *words, struct buffer *phrase, const struct answer_about *about)
{
    const struct perpend_sweep *first = &about->job->sweeps[about->measurement->first_sweep];
    size_t count = about->measurement->sweep_count;
    if (answer_sweeps_of_one_name(about->job, about->measurement)) {
        struct buffer name = {0};
        add_sweep_name(words, &name, first);
        fill(words, phrase, sentences[SWEEPS_OF_ONE_NAME],
            SLOTS(SLOT_TEXT("sweep", buffer_text(&name)), SLOT_COUNT("count", count)));
        buffer_finish(&name);
        return;
    }
    for (size_t i = 0; i < count; i++) {
        words_list_mark(phrase, i, count);
        add_sweep_name(words, phrase, &first[i]);
    }
}

/* "as found: back 6.67 ± 0.28, right 0.0 ± 0.4 mm/m; ridge 0.067 mm; not met" */
static void say_brief(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const char *verdict = perpend_verdict_text(measurement->verdict);
    struct buffer sweeps = {0};
    add_sweep_names(words, &sweeps, about);
    say_sentence(words, "", sentences[ANSWER_BRIEF],
        SLOTS(SLOT_TEXT("sweeps", buffer_text(&sweeps)),
            SLOTS_OF_LEAN("", measurement->fit.lean, measurement->fit.lean_covariance),
            SLOT_TEXT("unit", words_unit_name(words, WORDS_SLOPE)),
            SLOT_RIDGE("ridge", measurement->ridge.height),
            SLOT_TEXT("verdict", verdict ? verdict : "")));
    buffer_finish(&sweeps);
}

/* How far a hole runs off in an inch of depth, or in 10 mm. */
static double run_off(const struct words *words, struct perpend_slope lean)
{
    double depth = words->unit == PERPEND_UNIT_INCH ? PERPEND_MM_PER_INCH : 10.0;
    return perpend_slope_size(lean) * depth;
}

#define SLOTS_OF_COST(words, lean)                                                                 \
    SLOT_SENTENCE("cost", sentences[COST_OF_LEAN]),                                                \
        SLOT_IF("inch", (words)->unit == PERPEND_UNIT_INCH),                                       \
        SLOT_ROUNDED("off", WORDS_SMALL, run_off(words, lean),                                     \
            (words)->unit == PERPEND_UNIT_INCH ? 0.015 : 0.01)

#define SLOTS_OF_RIDGE(about)                                                                      \
    SLOT_RIDGE_RANGE("ridge", (about)->measurement->ridge.height,                                  \
        (about)->measurement->distribution.low, (about)->measurement->distribution.high),          \
        SLOT_FACING("facing", &(about)->machine->facing),                                          \
        SLOT_GOAL("goal", &(about)->machine->goal),                                                \
        SLOT_IF("any_goal", perpend_goal_is_set(&(about)->machine->goal))

/* ---- the first lines ----------------------------------------------------------------------- */

/* As much of a text as there is room for. */
static void add_cut(struct buffer *out, const char *text, size_t room)
{
    bool cut = words_columns(text) > room;
    size_t used = cut ? 3 : 0;
    out->failed = out->failed || buffer_text_is_lost(text);
    for (struct character c; (c = character_at(text)).bytes > 0; text += c.bytes) {
        used += character_columns(c.code);
        if (used > room)
            break;
        buffer_add_bytes(out, text, c.bytes);
    }
    buffer_add(out, cut ? "..." : "");
}

/* What was measured, and at the end of the line how well. */
static void say_heading(struct words *words, const struct answer_about *about)
{
    struct buffer sweeps = {0}, title = {0}, shown = {0}, tail = {0}, count = {0}, line = {0};
    const char *name = about->machine->name;
    add_sweep_names(words, &sweeps, about);
    fill(words, &title, sentences[ANSWER_HEADING],
        SLOTS(SLOT_NAME("machine", name ? name : ""), SLOT_TEXT("sweeps", buffer_text(&sweeps))));
    fill(words, &tail, sentences[ANSWER_COUNT],
        SLOTS(SLOT_COUNT("count", about->measurement->reading_count),
            SLOT_IF("any", about->measurement->reading_count > 0),
            SLOT_IF("cut", about->measurement->cut_count > 0)));
    words_encode(words, &shown, buffer_text(&title));
    words_encode(words, &count, buffer_text(&tail));
    size_t room = words->width - words_columns(buffer_text(&count)) - 2;
    add_cut(&line, buffer_text(&shown), room);
    for (size_t used = words_columns(buffer_text(&line)); used < room + 2; used++)
        buffer_add(&line, WORDS_GLUE);
    buffer_add(&line, buffer_text(&count));
    say_and_finish(words, "", &line);
    buffer_finish(&sweeps);
    buffer_finish(&title);
    buffer_finish(&shown);
    buffer_finish(&tail);
    buffer_finish(&count);
}

void answer_verdict(struct words *words, const struct answer_about *about)
{
    static const enum sentence verdicts[] = {[PERPEND_VERDICT_NO_GOAL] = VERDICT_NO_GOAL,
        [PERPEND_VERDICT_MET] = VERDICT_MET,
        [PERPEND_VERDICT_NOT_MET] = VERDICT_NOT_MET,
        [PERPEND_VERDICT_TOO_CLOSE] = VERDICT_TOO_CLOSE,
        [PERPEND_VERDICT_UNKNOWN] = VERDICT_UNKNOWN};
    struct buffer phrase = {0}, doubt = {0};
    enum sentence sentence = verdicts[about->measurement->verdict];
    if (answer_readings_doubtful(about)) {
        sentence = VERDICT_READ_AGAIN;
        doubt_add(words, &doubt, about->machine, &about->measurement->doubt);
    }
    fill(words, &phrase, sentences[sentence],
        SLOTS(SLOTS_OF_RIDGE(about), SLOT_TEXT("doubt", buffer_text(&doubt))));
    words_strong(words, buffer_text(&phrase));
    buffer_finish(&phrase);
    buffer_finish(&doubt);
}

/* How the ridge has come down: "Ridge so far: 0.067 mm, 0.021 mm, 0.008 mm." */
static void say_so_far(struct words *words, const struct perpend_solution *solution)
{
    enum { NAMED = 6 };
    size_t count = solution->measurement_count, first = count > NAMED ? count - NAMED : 0;
    struct buffer ridges = {0};
    for (size_t i = first; i < count; i++) {
        buffer_add(&ridges, i > first ? ", " : "");
        words_ridge(words, &ridges, solution->measurements[i].ridge.height);
    }
    say_sentence(words, "", sentences[SO_FAR], SLOTS(SLOT_TEXT("ridges", buffer_text(&ridges))));
    buffer_finish(&ridges);
}

/* ---- the compass, and what is said beside it ----------------------------------------------- */

/* A sentence on a line of its own. */
static void add_line(const struct words *words, struct buffer *phrase, const char *sentence,
    const struct slot *slots)
{
    buffer_add(phrase, phrase->length > 0 ? "\n" : "");
    fill(words, phrase, sentence, slots);
}

static void add_lean(
    const struct words *words, struct buffer *phrase, const struct answer_about *about)
{
    const struct perpend_fit *fit = &about->measurement->fit;
    const struct perpend_slope_covariance *variance = &fit->lean_covariance;
    bool back = fabs(fit->lean.back) > words_expanded(variance->back_back);
    bool right = fabs(fit->lean.right) > words_expanded(variance->right_right);
    const struct slot *slots = SLOTS(SLOT_CHOICE("shows", (back ? 0 : 2) + (right ? 0 : 1)),
        SLOTS_OF_LEAN("", fit->lean, *variance),
        SLOT_IF("before", about->measurement->bed_from_before),
        SLOTS_OF_LEAN("bed_", fit->bed, fit->bed_covariance));
    add_line(words, phrase, sentences[LEAN], slots);
    if (fit->bed_separated)
        add_line(words, phrase, sentences[BED_APART], slots);
    doubt_add_cut(words, phrase, about->measurement);
}

#define WORTH_IT 0.35 /* the chance from which a remedy is named with the answer itself */

static void add_remedies(
    const struct words *words, struct buffer *phrase, const struct answer_about *about, size_t most)
{
    struct buffer remedies = {0};
    for (size_t i = 0; i < about->measurement->remedy_count && i < most; i++) {
        const struct perpend_remedy *remedy = &about->measurement->remedies[i];
        if (most == 1 && remedy->chance < WORTH_IT)
            continue;
        struct slot step = SLOT_STATED("step", WORDS_SMALL, remedy->value);
        if (words->unit == PERPEND_UNIT_INCH)
            step =
                (struct slot)SLOT_ROUNDED("step", WORDS_SMALL, remedy->value, remedy->value / 5.0);
        buffer_add(&remedies, i == 0 ? "" : "; or ");
        fill(words, &remedies, sentences[REMEDY],
            SLOTS(SLOT_CHOICE("kind", remedy->kind), SLOT_COUNT("count", (size_t)remedy->value),
                SLOT_IF("several", remedy->value > 1.0), step,
                SLOT_ROUNDED("arm", WORDS_LARGE, remedy->value, 0.0),
                SLOT_ODDS("odds", remedy->chance)));
    }
    add_line(words, phrase, sentences[remedies.length == 0 ? NO_REMEDY : REMEDIES],
        SLOTS(SLOT_TEXT("remedies", buffer_text(&remedies))));
    buffer_finish(&remedies);
}

static void add_turn_feed(
    const struct words *words, struct buffer *phrase, const struct answer_about *about)
{
    const struct perpend_turned_feed *turned = &about->measurement->turned_feed;
    if (about->measurement->turn_feed_meets_goal)
        add_line(words, phrase, sentences[TURN_THE_FEED],
            SLOTS(SLOT_FEED("feed", turned->along),
                SLOT_IF("both_ways", about->machine->facing.both_ways),
                SLOT_IF("sure", perpend_verdict_for(turned->chance) == PERPEND_VERDICT_MET),
                SLOT_RIDGE("ridge", turned->height)));
}

/* What follows from the verdict. */
static void add_consequence(
    const struct words *words, struct buffer *phrase, const struct answer_about *about, bool to_act)
{
    const struct perpend_measurement *m = about->measurement;
    const struct slot *slots = SLOTS(SLOTS_OF_RIDGE(about), SLOTS_OF_COST(words, m->fit.lean),
        SLOT_IF("stays", run_off(words, m->fit.lean) > about->machine->goal.ridge),
        SLOT_ODDS("odds", m->distribution.chance));
    switch (m->verdict) {
    case PERPEND_VERDICT_MET:
        add_line(words, phrase, sentences[MET_LEAVE], slots);
        return;
    case PERPEND_VERDICT_NOT_MET:
        if (isnan(m->limits.lean))
            add_line(words, phrase, sentences[TOO_ROUND], slots);
        return;
    case PERPEND_VERDICT_TOO_CLOSE:
        add_line(words, phrase, sentences[CLOSE_CHANCE], slots);
        if (!to_act)
            add_remedies(words, phrase, about, 1);
        return;
    case PERPEND_VERDICT_UNKNOWN:
        add_line(words, phrase, sentences[BED_HIDES], slots);
        return;
    case PERPEND_VERDICT_NO_GOAL:
        return;
    }
}

/* With `to_act` only what somebody acts on; answer_more says the rest. */
static void add_findings(
    const struct words *words, struct buffer *phrase, const struct answer_about *about, bool to_act)
{
    const struct perpend_measurement *m = about->measurement;
    if (answer_readings_doubtful(about)) {
        doubt_add_advice(words, phrase, &about->measurement->doubt);
        add_line(words, phrase, sentences[AS_READ], SLOTS(SLOTS_OF_RIDGE(about)));
        return;
    }
    add_lean(words, phrase, about);
    add_consequence(words, phrase, about, to_act);
    add_turn_feed(words, phrase, about);
    if (m->ridge.stripes)
        add_line(words, phrase, sentences[STRIPES],
            SLOTS(SLOT_STATED("depth", WORDS_SMALL, about->machine->facing.depth)));
    if (m->fit.quality.dof == 0 && m->reading_count > 0)
        add_line(words, phrase, sentences[UNCHECKED], NULL);
    if (!to_act || m->adjustment.outcome == PERPEND_OUTCOME_SURPRISE)
        response_add(words, phrase, about);
}

/* The readings on their compass; nothing where they do not make one. */
static void draw_compass(
    const struct words *words, struct buffer *drawing, const struct answer_about *about)
{
    enum { MOST = 8 };
    const struct perpend_measurement *m = about->measurement;
    struct compass_mark marks[MOST];
    struct buffer shown = {0};
    if (several_places(m) || m->reading_count > MOST || m->reading_count == 0)
        return;
    for (size_t i = 0; i < m->reading_count; i++) {
        buffer_clear(&shown);
        words_reading(words, &shown, m->readings[i].value, about->machine->setup.gauge.step);
        marks[i].bearing = m->readings[i].bearing;
        snprintf(marks[i].shown, sizeof marks[i].shown, "%s", buffer_text(&shown));
    }
    compass_draw(drawing, marks, m->reading_count);
    drawing->failed = drawing->failed || shown.failed;
    buffer_finish(&shown);
}

/* Two texts side by side, each line by line; the one on the right ends in a line end. */
static void add_beside(struct words *words, const char *drawing, size_t column, const char *text)
{
    while (*drawing != '\0' || *text != '\0') {
        size_t width = strcspn(drawing, "\n"), length = strcspn(text, "\n");
        buffer_add_bytes(&words->out, drawing, width);
        if (length > 0)
            buffer_addf(&words->out, "%*s%.*s", (int)(column - width), "", (int)length, text);
        buffer_add(&words->out, "\n");
        drawing += width + (drawing[width] == '\n');
        text += length + (text[length] == '\n');
    }
}

static size_t widest_line(const char *text)
{
    size_t widest = 0;
    for (size_t length; *text != '\0'; text += length + (text[length] == '\n')) {
        length = strcspn(text, "\n");
        widest = length > widest ? length : widest;
    }
    return widest;
}

static void say_findings(
    struct words *words, const struct answer_about *about, bool compass, bool to_act)
{
    struct buffer phrase = {0}, drawing = {0}, beside = {0};
    add_findings(words, &phrase, about, to_act);
    if (compass)
        draw_compass(words, &drawing, about);
    size_t column = widest_line(buffer_text(&drawing)) + 3;
    if (drawing.length == 0 || column > words->width / 2 + 2) {
        for (char *at = phrase.bytes; at != NULL && *at != '\0'; at++)
            *at = (char)(*at == '\n' ? ' ' : *at); /* all on as few rows as it takes */
        say_and_finish(words, "", &phrase);
    } else {
        words_wrap(words, &beside, words->width - (unsigned)column, "", buffer_text(&phrase));
        add_beside(words, buffer_text(&drawing), column, buffer_text(&beside));
    }
    words->out.failed = words->out.failed || drawing.failed || beside.failed;
    buffer_finish(&phrase);
    buffer_finish(&drawing);
    buffer_finish(&beside);
}

/* ---- all else ------------------------------------------------------------------------------ */

static void say_ridge(struct words *words, const struct answer_about *about)
{
    const struct perpend_ridge *ridge = &about->measurement->ridge;
    const struct perpend_facing *facing = &about->machine->facing;
    double plain = fmin(ridge->along_x, ridge->along_y);
    /* whether an oblique cut is worth the trouble */
    bool oblique = ridge->best_height < 0.8 * plain && plain - ridge->best_height > 0.001;
    say_sentence(words, "", sentences[RIDGE_EXPECTED],
        SLOTS(SLOT_STATED("bit", WORDS_LARGE, about->machine->cutter.diameter),
            SLOT_STATED("stepover", WORDS_LARGE, facing->stepover),
            SLOT_RIDGE("along_x", ridge->along_x), SLOT_RIDGE("along_y", ridge->along_y),
            SLOT_IF("oblique", oblique), SLOT_RIDGE("best", ridge->best_height),
            SLOT_FEED("feed", ridge->best_along)));
}

static void say_agree(struct words *words, const struct answer_about *about)
{
    double agree = answer_agree(about);
    if (!isnan(agree))
        say_sentence(words, "", sentences[MORE_AGREE],
            SLOTS(SLOT_STATED(
                "agree", WORDS_SMALL, agree_shown(agree, about->machine->setup.gauge.step))));
}

void answer_findings(struct words *words, const struct answer_about *about)
{
    say_findings(words, about, false, false);
}

void answer_turn_feed(struct words *words, const struct answer_about *about)
{
    struct buffer phrase = {0};
    add_turn_feed(words, &phrase, about);
    say_and_finish(words, "", &phrase);
}

void answer_remedy(struct words *words, const struct answer_about *about)
{
    struct buffer phrase = {0};
    /* readings that do not agree are taken again before anything is bought */
    if (about->measurement->verdict == PERPEND_VERDICT_TOO_CLOSE &&
        !answer_readings_doubtful(about))
        add_remedies(words, &phrase, about, PERPEND_REMEDIES);
    say_and_finish(words, "", &phrase);
}

void answer_more(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *m = about->measurement;
    struct buffer response = {0};
    if (!isnan(m->distribution.chance) && !answer_readings_doubtful(about))
        say_sentence(
            words, "", sentences[MORE_CHANCE], SLOTS(SLOT_ODDS("odds", m->distribution.chance)));
    say_ridge(words, about);
    say_agree(words, about);
    say_sentence(words, "", sentences[MORE_COST], SLOTS(SLOTS_OF_COST(words, m->fit.lean)));
    if (m->fit.includes_bed)
        say_sentence(words, "", sentences[LEAN_WITH_BED], NULL);
    answer_remedy(words, about);
    if (m->adjustment.outcome != PERPEND_OUTCOME_SURPRISE) /* which the answer says itself */
        response_add(words, &response, about);
    say_and_finish(words, "", &response);
    answer_scatter(words, about);
    answer_residuals(words, about);
}

/* ---- the whole ----------------------------------------------------------------------------- */

void answer_steps(
    struct words *words, const struct answer_about *about, const struct answer_options *options)
{
    if (about->measurement->plan_worsens) {
        words_gap(words);
        answer_worse(words, about);
        answer_shortfall(words, about);
    }
    if (!answer_has_plan(about->measurement))
        return;
    words_gap(words);
    answer_plan(words, about, options);
    answer_shortfall(words, about);
    answer_next_sweep(words, about);
}

/* How much of it is left out, from what helps least on: the compass, then what nobody acts on, then the
   steps. */
enum detail { ALL, NO_COMPASS, TO_ACT, NO_STEPS, DETAILS };

static void say_job(struct words *words, const struct answer_about *about,
    const struct perpend_solution *solution, const struct answer_options *options,
    enum detail detail)
{
    say_heading(words, about);
    answer_verdict(words, about);
    if (solution->measurement_count > 1)
        say_so_far(words, solution);
    words_gap(words);
    say_findings(
        words, about, detail == ALL || detail == NO_STEPS, detail == TO_ACT || options->more);
    if (detail < TO_ACT)
        answer_measured(words, about);
    if (answer_readings_doubtful(about) && !options->more)
        return; /* nobody is to loosen a bolt for these */
    if (detail == NO_STEPS) {
        words_gap(words);
        say_sentence(words, "", sentences[STEPS_ELSEWHERE],
            SLOTS(SLOT_IF("in_session", options->in_session)));
        return;
    }
    answer_steps(words, about,
        &(struct answer_options){options->more, detail == TO_ACT, options->in_session});
}

static size_t rows_of(const struct buffer *out)
{
    size_t rows = 0;
    for (const char *at = buffer_text(out); *at != '\0'; at++)
        rows += *at == '\n';
    return rows;
}

void answer_job(struct words *words, const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_solution *solution,
    const struct answer_options *options)
{
    size_t last = solution->measurement_count - 1;
    struct answer_about about = {machine, job, &solution->measurements[last]};
    for (enum detail detail = ALL; detail < DETAILS; detail++) {
        buffer_clear(&words->out);
        say_job(words, &about, solution, options, detail);
        if (options->more || rows_of(&words->out) <= ANSWER_ROWS)
            break;
    }
    if (!options->more)
        return;
    words_gap(words);
    answer_more(words, &about);
    words_gap(words);
    for (size_t i = 0; i < last; i++) {
        struct answer_about earlier = {machine, job, &solution->measurements[i]};
        say_brief(words, &earlier);
    }
}
