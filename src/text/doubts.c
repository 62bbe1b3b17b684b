/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/doubts.h"

#define SCATTERS 0.01 /* a chance of χ² under which it is said */

#define SURPRISE_GRAIN 4e-4 /* slopes are said to 0.1 mm/m */
#define ACROSS_MATTERS 0.35 /* a share of what was asked */
#define LEARNED_MATTERS 0.05

static void add_suspect(const struct words *words, struct buffer *phrase, const char *where,
    const struct perpend_doubt *doubt, double step)
{
    const struct perpend_reading *reading = doubt->readings;
    const bool twin = doubt->suspect.has_twin;
    char label[WORDS_LABEL];
    fill(words, phrase, sentences[DOUBT_READING],
        SLOTS(SLOT_TEXT("spot", where),
            SLOT_TEXT("bearing", words_bearing_label(label, sizeof label, reading->bearing)),
            SLOT_IF("twin", twin), SLOT_READING("reading", reading[0].value, step),
            SLOT_READING("other", reading[1].value, step),
            SLOT_READING("expected", twin ? (double)NAN : doubt->suspect.expected, step)));
}

static void add_closure(const struct words *words, struct buffer *phrase, const char *where,
    const struct perpend_doubt *doubt, double step)
{
    const struct perpend_reading *by = doubt->readings;
    char names[4][WORDS_LABEL];
    for (size_t i = 0; i < 4; i++)
        words_bearing_label(names[i], sizeof names[i], by[i].bearing);
    fill(words, phrase, sentences[DOUBT_CLOSURE],
        SLOTS(SLOT_TEXT("spot", where), SLOT_TEXT("first", names[0]), SLOT_TEXT("second", names[1]),
            SLOT_TEXT("third", names[2]), SLOT_TEXT("fourth", names[3]),
            SLOT_READING("odd", by[0].value + by[2].value, step),
            SLOT_READING("even", by[1].value + by[3].value, step)));
}

void doubt_add(const struct words *words, struct buffer *phrase,
    const struct perpend_machine *machine, const struct perpend_doubt *doubt)
{
    const int decimals = words->unit == PERPEND_UNIT_INCH ? 1 : 0;
    struct buffer where = {0};
    if (doubt->several)
        fill(words, &where, sentences[DOUBT_WHERE],
            SLOTS(SLOT_COUNT("place", doubt->place),
                SLOT_NUMBER("x", words_shown(words, WORDS_LARGE, doubt->readings[0].x), decimals),
                SLOT_NUMBER("y", words_shown(words, WORDS_LARGE, doubt->readings[0].y), decimals)));
    (doubt->kind == PERPEND_DOUBT_READING ? add_suspect : add_closure)(
        words, phrase, buffer_text(&where), doubt, machine->setup.gauge.step);
    buffer_finish(&where);
}

void doubt_add_advice(
    const struct words *words, struct buffer *phrase, const struct perpend_doubt *doubt)
{
    const struct perpend_suspect *suspect = &doubt->suspect;
    const bool one = doubt->kind == PERPEND_DOUBT_READING;
    fill_next(words, phrase, sentences[DOUBT_TAKE],
        SLOTS(SLOT_IF("all", !one), SLOT_IF("places", doubt->several),
            SLOT_IF("without", one && suspect->has_lean_without),
            SLOTS_OF_LEAN("", suspect->lean_without, suspect->lean_without_covariance)));
}

void answer_scatter(struct words *words, const struct answer_about *about)
{
    const struct perpend_fit_quality *quality = &about->measurement->fit.quality;
    if (quality->p < SCATTERS)
        say_sentence(words, "", sentences[DOUBT_SCATTER],
            SLOTS(SLOT_NUMBER("times", sqrt(quality->chi2 / quality->dof), 1)));
}

void doubt_add_cut(
    const struct words *words, struct buffer *phrase, const struct perpend_measurement *measurement)
{
    const struct perpend_cut_fit *cut = &measurement->cut;
    if (cut->steps > 0 && !cut->joined)
        fill_next(words, phrase, sentences[CUT_WAITS],
            SLOTS(SLOT_IF("x", fabs(cos(measurement->cuts[0].higher)) < 0.5)));
    else if (cut->off && cut->both_ways && cut->by_arm)
        fill_next(words, phrase, sentences[CUT_OFF],
            SLOTS(SLOT_ROUNDED("apart", WORDS_SLOPE,
                hypot(cut->alone.right - cut->arm.right, cut->alone.back - cut->arm.back), 5e-4)));
}

void answer_measured(struct words *words, const struct answer_about *about)
{
    const struct perpend_machine *machine = about->machine;
    const struct perpend_fit *fit = &about->measurement->fit;
    const struct perpend_measured *measured = &about->job->measured;
    const double found[2] = {measured->along_x, measured->along_y};
    const struct perpend_uncertain_lean lean = {fit->lean, fit->lean_covariance, fit->dof};
    /* of a difference of two readings, 95 % */
    const double unsure = 2.0 * sqrt(2.0) * perpend_gauge_uncertainty(&machine->setup.gauge);
    for (int way = 0; way < 2 && measured->stated; way++) {
        struct perpend_facing facing = machine->facing;
        struct perpend_distribution expected;
        double height;
        facing.both_ways = false;
        facing.along = way == 0 ? PERPEND_ALONG_X : PERPEND_ALONG_Y;
        if (isnan(found[way]) ||
            perpend_ridge_facing(fit->lean, &machine->cutter, &facing, &height) != PERPEND_OK ||
            perpend_ridge_distribution(
                &lean, &machine->cutter, &facing, &machine->goal, &expected) != PERPEND_OK)
            continue;
        const bool higher = found[way] - height > hypot(expected.high - height, unsure);
        if (higher || height - found[way] > hypot(height - expected.low, unsure))
            say_sentence(words, "", sentences[MEASURED_OFF],
                SLOTS(SLOT_IF("x", way == 0), SLOT_RIDGE("measured", found[way]),
                    SLOT_RIDGE_RANGE("expected", height, expected.low, expected.high),
                    SLOT_IF("higher", higher)));
    }
}

void answer_residuals(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *m = about->measurement;
    double step = about->machine->setup.gauge.step;
    struct buffer list = {0}, off = {0};
    char label[WORDS_LABEL];
    for (size_t i = 0; i < m->reading_count; i++) {
        size_t sweep = m->reading_sweep[i];
        bool named = m->sweep_count > 1 && (i == 0 || m->reading_sweep[i - 1] != sweep);
        buffer_clear(&off);
        buffer_add(&off, m->residual[i] > step / 1e6 ? "+" : ""); /* nothing has no sign */
        words_reading(words, &off, m->residual[i], step / 10);
        buffer_add(&list, i > 0 ? ", " : "");
        fill(words, &list, sentences[RESIDUAL],
            SLOTS(SLOT_NAME("sweep", named ? about->job->sweeps[sweep].name : ""),
                SLOT_TEXT(
                    "bearing", words_bearing_label(label, sizeof label, m->readings[i].bearing)),
                SLOT_READING("reading", m->readings[i].value, step),
                SLOT_TEXT("off", buffer_text(&off))));
    }
    for (size_t i = 0; i < m->cut_count; i++)
        fill(words, &list, sentences[CUT_STEP],
            SLOTS(SLOT_IF("first", i == 0), SLOT_IF("any", m->reading_count > 0),
                SLOT_BEARING("higher", m->cuts[i].higher),
                SLOT_READING("step", m->cuts[i].step, step)));
    say_sentence(words, "", sentences[RESIDUALS],
        SLOTS(SLOT_IF("any", m->reading_count > 0), SLOT_TEXT("list", buffer_text(&list))));
    buffer_finish(&list);
    buffer_finish(&off);
}

void answer_doubts(struct words *words, const struct answer_about *about)
{
    struct buffer doubt = {0};
    if (about->measurement->fit.quality.dof == 0 && about->measurement->reading_count > 0)
        fill(words, &doubt, sentences[UNCHECKED], NULL);
    if (answer_readings_doubtful(about)) {
        doubt_add(words, &doubt, about->machine, &about->measurement->doubt);
        buffer_add(&doubt, ".");
        doubt_add_advice(words, &doubt, &about->measurement->doubt);
    }
    say_and_finish(words, "", &doubt);
    answer_scatter(words, about);
}

/* A share in words: a little, a quarter, a third, a half, most. */
static int share_choice(double share)
{
    return share < 0.18 ? 0 : share < 0.29 ? 1 : share < 0.42 ? 2 : share < 0.66 ? 3 : 4;
}

void surprise_add(const struct words *words, struct buffer *phrase,
    const struct perpend_adjustment *adjustment, bool question)
{
    double asked = perpend_slope_size(adjustment->asked);
    double across = fabs(adjustment->across);
    fill_next(words, phrase, sentences[SHOWN_SURPRISE],
        SLOTS(SLOT_ROUNDED("asked", WORDS_SLOPE, asked, SURPRISE_GRAIN),
            SLOT_ROUNDED("came", WORDS_SLOPE, adjustment->along * asked, SURPRISE_GRAIN),
            SLOT_ROUNDED("across", WORDS_SLOPE,
                across > ACROSS_MATTERS ? across * asked : (double)NAN, SURPRISE_GRAIN),
            SLOT_IF("question", question)));
}

/* What the last adjustment showed; nothing when nothing was asked. */
static void add_shown(const struct words *words, struct buffer *phrase,
    const struct perpend_adjustment *adjustment, bool steps_follow)
{
    static const enum sentence shown[] = {[PERPEND_OUTCOME_AS_ASKED] = SHOWN_AS_ASKED,
        [PERPEND_OUTCOME_PART] = SHOWN_PART,
        [PERPEND_OUTCOME_OVER] = SHOWN_OVER,
        [PERPEND_OUTCOME_SIDEWAYS] = SHOWN_SIDEWAYS};
    enum perpend_outcome outcome = adjustment->outcome;
    bool surprise = outcome == PERPEND_OUTCOME_SURPRISE;
    if (!(perpend_slope_size(adjustment->asked) > 0.0))
        return;
    double share = outcome == PERPEND_OUTCOME_SIDEWAYS ? adjustment->across : adjustment->along - 1;
    if (surprise)
        surprise_add(words, phrase, adjustment, steps_follow);
    else
        fill_next(words, phrase, sentences[shown[outcome]],
            SLOTS(SLOT_CHOICE("share", share_choice(fabs(share)))));
    if (steps_follow && outcome != PERPEND_OUTCOME_AS_ASKED)
        fill_next(words, phrase, sentences[surprise ? SHOWN_LEFT_OUT : SHOWN_ALLOWED_FOR], NULL);
}

/* What earlier jobs taught, where it changes the first plan of this one. */
static void add_learned_before(
    const struct words *words, struct buffer *phrase, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    if (!about->job->has_learned || measurement->first_sweep > 0)
        return;
    double lean = perpend_slope_size(measurement->fit.lean);
    double more = perpend_slope_size(measurement->plan.wanted) - lean;
    if (fabs(more) > LEARNED_MATTERS * lean)
        fill_next(words, phrase, sentences[LEARNED_BEFORE],
            SLOTS(
                SLOT_IF("more", more > 0), SLOT_CHOICE("share", share_choice(fabs(more) / lean))));
}

static void add_response(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, bool steps_follow)
{
    if (!about->measurement->adjusted)
        return;
    if (answer_readings_doubtful(about))
        fill_next(words, phrase, sentences[SHOWN_DOUBTFUL], NULL);
    else
        add_shown(words, phrase, &about->measurement->adjustment, steps_follow);
}

void response_add(
    const struct words *words, struct buffer *phrase, const struct answer_about *about)
{
    bool steps_follow = answer_has_steps(about->measurement);
    if (steps_follow)
        add_learned_before(words, phrase, about);
    add_response(words, phrase, about, steps_follow);
}

void answer_response_alone(struct words *words, const struct answer_about *about)
{
    struct buffer phrase = {0};
    add_response(words, &phrase, about, false);
    say_and_finish(words, "", &phrase);
}
