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
            SLOTS_OF_LEAN(measurement->fit.lean, measurement->fit.lean_covariance),
            SLOT_TEXT("unit", words_unit_name(words, WORDS_SLOPE)),
            SLOT_RIDGE("ridge", measurement->ridge.height),
            SLOT_TEXT("verdict", verdict ? verdict : "")));
    buffer_finish(&sweeps);
}

static double depth_of_cost(const struct words *words)
{
    return words->unit == PERPEND_UNIT_INCH ? PERPEND_MM_PER_INCH : 10.0;
}

/* How far a hole runs off in so much depth. */
static void add_cost_of_lean(const struct words *words, struct buffer *phrase, double lean)
{
    bool inch = words->unit == PERPEND_UNIT_INCH;
    fill(words, phrase, sentences[COST_OF_LEAN],
        SLOTS(SLOT_ROUNDED("off", WORDS_SMALL, lean * depth_of_cost(words), inch ? 0.015 : 0.01),
            SLOT_IF("inch", inch)));
}

void answer_turn_feed(struct words *words, const struct answer_about *about)
{
    const struct perpend_facing *facing = &about->machine->facing;
    const struct perpend_turned_feed *turned = &about->measurement->turned_feed;
    if (!about->measurement->turn_feed_meets_goal)
        return;
    struct buffer cost = {0};
    add_cost_of_lean(words, &cost, perpend_slope_size(about->measurement->fit.lean));
    say_sentence(words, "", sentences[TURN_THE_FEED],
        SLOTS(SLOT_FEED("feed", turned->along), SLOT_IF("both_ways", facing->both_ways),
            SLOT_FEED("not_feed", facing->along),
            SLOT_IF("sure", perpend_verdict_for(turned->chance) == PERPEND_VERDICT_MET),
            SLOT_CHANCE("chance", turned->chance), SLOT_RIDGE("ridge", turned->height),
            SLOT_TEXT("cost", buffer_text(&cost))));
    buffer_finish(&cost);
}

void answer_verdict(struct words *words, const struct answer_about *about)
{
    static const enum sentence verdicts[] = {[PERPEND_VERDICT_NO_GOAL] = VERDICT_NO_GOAL,
        [PERPEND_VERDICT_MET] = VERDICT_MET,
        [PERPEND_VERDICT_NOT_MET] = VERDICT_NOT_MET,
        [PERPEND_VERDICT_TOO_CLOSE] = VERDICT_TOO_CLOSE};
    const struct perpend_measurement *measurement = about->measurement;
    double goal = about->machine->goal, lean = perpend_slope_size(measurement->fit.lean);
    struct buffer phrase = {0}, cost = {0};
    fill(words, &phrase, sentences[verdicts[measurement->verdict]],
        /* how sure that is says nothing of a slope of the bed that no sweep has told apart */
        SLOTS(SLOT_IF("bed", measurement->fit.includes_bed),
            SLOT_RIDGE_RANGE("ridge", measurement->ridge.height, measurement->distribution.low,
                measurement->distribution.high),
            SLOT_FACING("facing", &about->machine->facing), SLOT_STATED("goal", WORDS_SMALL, goal),
            SLOT_CHANCE("chance", measurement->distribution.chance)));
    if (measurement->verdict == PERPEND_VERDICT_MET && lean * depth_of_cost(words) > goal) {
        add_cost_of_lean(words, &cost, lean);
        fill_next(words, &phrase, sentences[VERDICT_WHAT_STAYS],
            SLOTS(SLOT_TEXT("cost", buffer_text(&cost))));
    }
    if (measurement->verdict == PERPEND_VERDICT_NOT_MET && isnan(measurement->limits.lean))
        fill_next(words, &phrase, sentences[VERDICT_ROUND_CORNERS], NULL);
    say_and_finish(words, "", &phrase);
    buffer_finish(&cost);
}

void answer_lean(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_fit *fit = &measurement->fit;
    const struct perpend_slope_covariance *covariance = &fit->lean_covariance;
    bool back = fabs(fit->lean.back) > words_expanded(covariance->back_back);
    bool right = fabs(fit->lean.right) > words_expanded(covariance->right_right);
    struct buffer phrase = {0};
    fill(words, &phrase,
        sentences[back && right ? LEAN_BOTH
                  : back        ? LEAN_BACK_ONLY
                  : right       ? LEAN_RIGHT_ONLY
                                : LEAN_NEITHER],
        SLOTS(SLOTS_OF_LEAN(fit->lean, *covariance)));
    if (fit->includes_bed)
        fill_next(words, &phrase, sentences[LEAN_WITH_BED], NULL);
    if (fit->bed_separated)
        fill_next(words, &phrase, sentences[BED_APART],
            SLOTS(SLOT_IF("before", measurement->bed_from_before),
                SLOTS_OF_LEAN(fit->bed, fit->bed_covariance)));
    say_and_finish(words, "", &phrase);
}

void words_shallow_cut(const struct words *words, struct buffer *phrase,
    const struct perpend_ridge *ridge, double depth)
{
    /* without what a rounded corner adds to it */
    double rise = fmin(ridge->rise, ridge->drop);
    fill(words, phrase, sentences[RIDGE_SHALLOW_CUT],
        SLOTS(SLOT_STATED("depth", WORDS_SMALL, depth),
            SLOT_ROUNDED("rise", WORDS_SMALL, rise, rise / 10.0),
            SLOT_ROUNDED("width", WORDS_LARGE, ridge->width, 0.0)));
}

/* Is the best feed neither X nor Y, and worth the trouble of an oblique cut? */
static bool oblique_is_better(const struct perpend_ridge *ridge)
{
    double plain = fmin(ridge->along_x, ridge->along_y);
    return ridge->best_height < 0.8 * plain && plain - ridge->best_height > 0.001;
}

void answer_ridge(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_ridge *ridge = &measurement->ridge;
    const struct perpend_machine *machine = about->machine;
    struct buffer phrase = {0};
    fill(words, &phrase, sentences[RIDGE_EXPECTED],
        SLOTS(SLOT_STATED("bit", WORDS_LARGE, machine->cutter.diameter),
            SLOT_STATED("stepover", WORDS_LARGE, machine->facing.stepover),
            SLOT_RIDGE("along_x", ridge->along_x), SLOT_RIDGE("along_y", ridge->along_y),
            SLOT_IF("oblique", oblique_is_better(ridge)), SLOT_RIDGE("best", ridge->best_height),
            SLOT_FEED("feed", ridge->best_along)));
    if (!measurement->turn_feed_meets_goal && measurement->verdict != PERPEND_VERDICT_MET &&
        ridge->best_height < ridge->height / 3.0)
        fill_next(words, &phrase, sentences[RIDGE_BY_TURNING],
            SLOTS(SLOT_RIDGE("best", ridge->best_height)));
    if (answer_cut_too_shallow(ridge, machine->facing.depth)) {
        buffer_add(&phrase, " ");
        words_shallow_cut(words, &phrase, ridge, machine->facing.depth);
    }
    say_and_finish(words, "", &phrase);
}

void answer_remedy(struct words *words, const struct answer_about *about)
{
    const struct perpend_remedy *remedy = &about->measurement->remedy;
    /* readings that do not agree are taken again before anything is bought */
    if (about->measurement->verdict != PERPEND_VERDICT_TOO_CLOSE || answer_readings_doubtful(about))
        return;
    const bool by[] = {remedy->by_repeats, remedy->by_step, remedy->by_arm};
    static const enum sentence said[] = {REMEDY_SWEEPS, REMEDY_GAUGE, REMEDY_ARM};
    size_t count = (size_t)by[0] + by[1] + by[2], place = 0;
    struct slot step = SLOT_STATED("step", WORDS_SMALL, remedy->step);
    if (words->unit == PERPEND_UNIT_INCH)
        step = (struct slot)SLOT_ROUNDED("step", WORDS_SMALL, remedy->step, remedy->step / 5.0);
    struct buffer remedies = {0};
    for (size_t i = 0; i < 3; i++) {
        if (!by[i])
            continue;
        buffer_add(&remedies, place == 0 ? "" : place + 1 == count ? "; or " : "; ");
        fill(words, &remedies, sentences[said[i]],
            SLOTS(SLOT_COUNT("count", remedy->repeats), step,
                SLOT_ROUNDED("arm", WORDS_LARGE, remedy->arm, 0.0)));
        place++;
    }
    say_sentence(words, "", sentences[count == 0 ? NO_REMEDY : REMEDIES],
        SLOTS(SLOT_IF("several", count > 1), SLOT_TEXT("remedies", buffer_text(&remedies))));
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
