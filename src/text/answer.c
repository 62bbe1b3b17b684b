/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "text/answer.h"

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

void answer_brief(struct words *words, const struct answer_about *about)
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

/* How far a hole runs off in so much depth. */
static double depth_of_cost(const struct words *words)
{
    return words->unit == PERPEND_UNIT_INCH ? PERPEND_MM_PER_INCH : 10.0;
}

#define SLOTS_OF_COST(words, lean)                                                                 \
    SLOT_SENTENCE("cost", sentences[COST_OF_LEAN]),                                                \
        SLOT_IF("inch", (words)->unit == PERPEND_UNIT_INCH),                                       \
        SLOT_ROUNDED("off", WORDS_SMALL, perpend_slope_size(lean) * depth_of_cost(words),          \
            (words)->unit == PERPEND_UNIT_INCH ? 0.015 : 0.01)

void answer_turn_feed(struct words *words, const struct answer_about *about)
{
    const struct perpend_facing *facing = &about->machine->facing;
    const struct perpend_turned_feed *turned = &about->measurement->turned_feed;
    if (about->measurement->turn_feed_meets_goal)
        say_sentence(words, "", sentences[TURN_THE_FEED],
            SLOTS(SLOT_FEED("feed", turned->along), SLOT_IF("both_ways", facing->both_ways),
                SLOT_FEED("not_feed", facing->along),
                SLOT_IF("sure", perpend_verdict_for(turned->chance) == PERPEND_VERDICT_MET),
                SLOT_CHANCE("chance", turned->chance), SLOT_RIDGE("ridge", turned->height),
                SLOTS_OF_COST(words, about->measurement->fit.lean)));
}

void answer_verdict(struct words *words, const struct answer_about *about)
{
    static const enum sentence verdicts[] = {[PERPEND_VERDICT_NO_GOAL] = VERDICT_NO_GOAL,
        [PERPEND_VERDICT_MET] = VERDICT_MET,
        [PERPEND_VERDICT_NOT_MET] = VERDICT_NOT_MET,
        [PERPEND_VERDICT_TOO_CLOSE] = VERDICT_TOO_CLOSE,
        [PERPEND_VERDICT_UNKNOWN] = VERDICT_UNKNOWN};
    const struct perpend_measurement *m = about->measurement;
    double off = perpend_slope_size(m->fit.lean) * depth_of_cost(words);
    say_sentence(words, "", sentences[verdicts[m->verdict]],
        SLOTS(SLOT_RIDGE_RANGE("ridge", m->ridge.height, m->distribution.low, m->distribution.high),
            SLOT_FACING("facing", &about->machine->facing),
            SLOT_GOAL("goal", &about->machine->goal), SLOT_CHANCE("chance", m->distribution.chance),
            SLOT_IF("stays", off > about->machine->goal.ridge), SLOTS_OF_COST(words, m->fit.lean),
            SLOT_IF("too_round", isnan(m->limits.lean))));
}

void answer_lean(struct words *words, const struct answer_about *about)
{
    const struct perpend_fit *fit = &about->measurement->fit;
    const struct perpend_slope_covariance *variance = &fit->lean_covariance;
    bool back = fabs(fit->lean.back) > words_expanded(variance->back_back);
    bool right = fabs(fit->lean.right) > words_expanded(variance->right_right);
    const char *bed = fit->includes_bed    ? sentences[LEAN_WITH_BED]
                      : fit->bed_separated ? sentences[BED_APART]
                                           : "";
    say_sentence(words, "", sentences[LEAN],
        SLOTS(SLOT_CHOICE("shows", (back ? 0 : 2) + (right ? 0 : 1)),
            SLOTS_OF_LEAN("", fit->lean, *variance), SLOT_SENTENCE("bed", bed),
            SLOT_IF("before", about->measurement->bed_from_before),
            SLOTS_OF_LEAN("bed_", fit->bed, fit->bed_covariance)));
}

/* Is the best feed neither X nor Y, and worth the trouble of an oblique cut? */
static bool oblique_is_better(const struct perpend_ridge *ridge)
{
    double plain = fmin(ridge->along_x, ridge->along_y);
    return ridge->best_height < 0.8 * plain && plain - ridge->best_height > 0.001;
}

void answer_ridge(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *m = about->measurement;
    const struct perpend_ridge *ridge = &m->ridge;
    const struct perpend_facing *facing = &about->machine->facing;
    bool shallow = answer_cut_too_shallow(ridge, facing->depth);
    bool turning = !m->turn_feed_meets_goal && m->verdict != PERPEND_VERDICT_MET &&
                   ridge->best_height < ridge->height / 3.0;
    say_sentence(words, "", sentences[RIDGE_EXPECTED],
        SLOTS(SLOT_STATED("bit", WORDS_LARGE, about->machine->cutter.diameter),
            SLOT_STATED("stepover", WORDS_LARGE, facing->stepover),
            SLOT_RIDGE("along_x", ridge->along_x), SLOT_RIDGE("along_y", ridge->along_y),
            SLOT_IF("oblique", oblique_is_better(ridge)), SLOT_RIDGE("best", ridge->best_height),
            SLOT_FEED("feed", ridge->best_along), SLOT_IF("turning", turning),
            SLOT_SENTENCE("shallow", shallow ? sentences[RIDGE_SHALLOW_CUT] : ""),
            SLOTS_OF_SHALLOW_CUT(ridge, facing->depth)));
}

void answer_remedy(struct words *words, const struct answer_about *about)
{
    /* readings that do not agree are taken again before anything is bought */
    if (about->measurement->verdict != PERPEND_VERDICT_TOO_CLOSE || answer_readings_doubtful(about))
        return;
    size_t count = about->measurement->remedy_count;
    struct buffer remedies = {0};
    for (size_t i = 0; i < count; i++) {
        const struct perpend_remedy *remedy = &about->measurement->remedies[i];
        struct slot step = SLOT_STATED("step", WORDS_SMALL, remedy->value);
        if (words->unit == PERPEND_UNIT_INCH)
            step =
                (struct slot)SLOT_ROUNDED("step", WORDS_SMALL, remedy->value, remedy->value / 5.0);
        buffer_add(&remedies, i == 0 ? "" : i + 1 == count ? "; or " : "; ");
        fill(words, &remedies, sentences[REMEDY],
            SLOTS(SLOT_CHOICE("kind", remedy->kind), SLOT_COUNT("count", (size_t)remedy->value),
                SLOT_IF("several", remedy->value > 1.0), step,
                SLOT_ROUNDED("arm", WORDS_LARGE, remedy->value, 0.0),
                SLOT_NUMBER("percent", 100.0 * remedy->chance, 0)));
    }
    say_sentence(words, "", sentences[count == 0 ? NO_REMEDY : REMEDIES],
        SLOTS(SLOT_TEXT("remedies", buffer_text(&remedies))));
    buffer_finish(&remedies);
}

static void say_heading(struct words *words, const struct answer_about *about)
{
    struct buffer sweeps = {0};
    add_sweep_names(words, &sweeps, about);
    const char *name = about->machine->name;
    say_sentence(words, "", sentences[ANSWER_HEADING],
        SLOTS(SLOT_NAME("machine", name ? name : ""), SLOT_TEXT("sweeps", buffer_text(&sweeps)),
            SLOT_COUNT("count", about->measurement->reading_count)));
    buffer_finish(&sweeps);
}

void answer_measurement(
    struct words *words, const struct answer_about *about, const struct answer_options *options)
{
    answer_turn_feed(words, about);
    answer_verdict(words, about);
    answer_remedy(words, about);
    answer_lean(words, about);
    answer_doubts(words, about);
    answer_ridge(words, about);
    answer_response(words, about);
    if (answer_plan_worsens(about->measurement)) {
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

void answer_job(struct words *words, const struct perpend_machine *machine,
    const struct perpend_job *job, const struct perpend_solution *solution,
    const struct answer_options *options)
{
    for (size_t i = 0; i < solution->measurement_count; i++) {
        struct answer_about about = {machine, job, &solution->measurements[i]};
        if (i + 1 < solution->measurement_count) {
            answer_brief(words, &about);
            continue;
        }
        words_gap(words);
        say_heading(words, &about);
        answer_measurement(words, &about, options);
    }
}
