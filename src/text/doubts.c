/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What speaks against the readings, and what an adjustment showed of the mount. */
#include <math.h>

#include "text/answer.h"

static void add_lean(const struct words *words, struct buffer *phrase, struct perpend_slope lean,
    const struct perpend_slope_covariance *covariance)
{
    buffer_add(phrase, lean.back >= 0.0 ? "back by " : "forward by ");
    words_plus_minus(
        words, phrase, WORDS_SLOPE, fabs(lean.back), words_expanded(covariance->back_back));
    buffer_add(phrase, lean.right >= 0.0 ? " and right by " : " and left by ");
    words_plus_minus(
        words, phrase, WORDS_SLOPE, fabs(lean.right), words_expanded(covariance->right_right));
}

static void say_suspect(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_fit *fit = &measurement->fit;
    const struct perpend_reading *reading = &measurement->readings[fit->suspect.index];
    struct buffer phrase = {0};
    buffer_add(&phrase, fit->suspect.has_twin ? "One of the two readings at " : "The reading at ");
    words_bearing(&phrase, reading->bearing);
    if (measurement->sweep_count > 1) {
        buffer_add(&phrase, " of ");
        words_name(
            &phrase, about->job->sweeps[measurement->reading_sweep[fit->suspect.index]].name);
    }
    buffer_add(&phrase, ", ");
    words_reading(words, &phrase, reading->value, about->machine->setup.gauge.step);
    if (fit->suspect.has_twin) {
        buffer_add(&phrase, " or ");
        words_reading(words, &phrase, measurement->readings[fit->suspect.twin].value,
            about->machine->setup.gauge.step);
    }
    buffer_add(&phrase, fit->suspect.has_twin ? ", is wrong: take both again."
                                              : ", does not fit the others: take it again.");
    if (fit->suspect.has_lean_without) {
        buffer_add(&phrase,
            fit->suspect.has_twin ? " Without them the top leans " : " Without it the top leans ");
        add_lean(words, &phrase, fit->suspect.lean_without, &fit->suspect.lean_without_covariance);
        buffer_add(&phrase, ".");
    }
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

static void say_closure(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_fit *fit = &measurement->fit;
    const struct perpend_reading *readings = measurement->readings;
    double step = about->machine->setup.gauge.step;
    size_t order[4] = {0, 1, 2, 3}; /* by bearing, as the closure was formed */
    for (size_t i = 1; i < 4; i++)
        for (size_t k = i; k > 0 && readings[order[k]].bearing < readings[order[k - 1]].bearing;
             k--) {
            size_t swap = order[k];
            order[k] = order[k - 1];
            order[k - 1] = swap;
        }
    struct buffer phrase = {0};
    buffer_add(&phrase, "Opposite readings must add up alike, and do not: ");
    for (size_t pair = 0; pair < 2; pair++) {
        const struct perpend_reading *one = &readings[order[pair]];
        const struct perpend_reading *other = &readings[order[pair + 2]];
        buffer_add(&phrase, pair == 0 ? "" : ", ");
        words_bearing(&phrase, one->bearing);
        buffer_add(&phrase, " and ");
        words_bearing(&phrase, other->bearing);
        buffer_add(&phrase, " make" WORDS_GLUE);
        words_reading(words, &phrase, one->value + other->value, step);
    }
    buffer_add(&phrase, "; ");
    words_reading(words, &phrase, fabs(fit->closure.value), step);
    buffer_add(&phrase, " apart is more than the gauge explains (");
    words_reading(words, &phrase, fit->closure.limit, step);
    buffer_add(&phrase, "). Take all four again.");
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

static void say_scatter(struct words *words, const struct perpend_fit *fit)
{
    struct buffer phrase = {0};
    buffer_add(&phrase, "The readings scatter ");
    buffer_add_number(&phrase, fit->quality.birge, 1);
    buffer_add(&phrase, " times more than the gauge explains: one was misread, the bed is not flat "
                        "there, or the arm slipped.");
    if (fit->quality.birge >= fit->quality.few_repeats)
        buffer_add(&phrase, " Each ± is widened by as much.");
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

static void say_few_repeats(struct words *words, const struct perpend_fit *fit)
{
    struct buffer phrase = {0};
    buffer_add(&phrase, "How well the gauge repeats is known from few readings: each ± is ");
    buffer_add_number(&phrase, fit->quality.few_repeats, 1);
    buffer_add(&phrase, " times wider for it. Repeat more readings, or state the gauge's spread.");
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

static bool closure_off(const struct answer_about *about)
{
    return about->measurement->fit.closure.off && about->measurement->reading_count == 4;
}

bool answer_readings_doubtful(const struct answer_about *about)
{
    return about->measurement->fit.suspect.index != PERPEND_FIT_NO_SUSPECT || closure_off(about);
}

void answer_doubts(struct words *words, const struct answer_about *about)
{
    const struct perpend_fit *fit = &about->measurement->fit;
    if (fit->quality.dof == 0)
        words_paragraph(words, "",
            "Nothing checks these readings: one more, at another bearing, would show a "
            "misreading.");
    if (fit->suspect.index != PERPEND_FIT_NO_SUSPECT)
        say_suspect(words, about);
    if (closure_off(about))
        say_closure(words, about);
    if (fit->quality.birge > 1.0)
        say_scatter(words, fit);
    if (fit->quality.few_repeats > 1.1 && fit->quality.few_repeats > fit->quality.birge)
        say_few_repeats(words, fit);
}

/* A share as whole percent, without a sign. */
static void add_percent(struct buffer *phrase, double share)
{
    buffer_add_number(phrase, fabs(share) * 100.0, 0);
    buffer_add(phrase, WORDS_GLUE "%");
}

/* What the last adjustment showed; nothing when there was none, or nothing was asked. */
static void add_shown(struct buffer *phrase, const struct perpend_adjustment *adjustment)
{
    switch (adjustment->outcome) {
    case PERPEND_OUTCOME_AS_ASKED:
        if (perpend_slope_size(adjustment->asked) > 0.0)
            buffer_add(phrase, "The mount did what the last adjustment asked of it.");
        break;
    case PERPEND_OUTCOME_NOTHING:
        buffer_add(
            phrase, "Nothing moved at the last adjustment: look for a bolt that still holds.");
        break;
    case PERPEND_OUTCOME_WRONG_WAY:
        buffer_add(phrase, "The last adjustment went the wrong way: was the shim put at the other "
                           "end, the bottom instead of the top?");
        break;
    case PERPEND_OUTCOME_PART:
        buffer_add(phrase, "The mount gave back ");
        add_percent(phrase, 1.0 - adjustment->along);
        buffer_add(phrase, " of the last adjustment on tightening.");
        break;
    case PERPEND_OUTCOME_OVER:
        buffer_add(phrase, "The last adjustment moved the spindle ");
        add_percent(phrase, adjustment->along - 1.0);
        buffer_add(phrase, " more than it should have.");
        break;
    case PERPEND_OUTCOME_SIDEWAYS:
        buffer_add(
            phrase, "The last adjustment moved the spindle off the way that was meant, too: by ");
        add_percent(phrase, adjustment->across);
        buffer_add(phrase, " of it, at right angles.");
        break;
    }
}

/* Whether the next plan goes by more than the geometry. */
static bool learned_from(const struct perpend_adjustment *adjustment)
{
    return adjustment->outcome == PERPEND_OUTCOME_PART ||
           adjustment->outcome == PERPEND_OUTCOME_OVER ||
           adjustment->outcome == PERPEND_OUTCOME_SIDEWAYS;
}

static void say_response(struct words *words, const struct answer_about *about, bool steps_follow)
{
    const struct perpend_adjustment *adjustment = &about->measurement->adjustment;
    struct buffer phrase = {0};
    if (!about->measurement->adjusted)
        return;
    bool doubtful = answer_readings_doubtful(about);
    if (doubtful)
        buffer_add(&phrase, "What the last adjustment did these readings cannot tell.");
    else
        add_shown(&phrase, adjustment);
    if (steps_follow && !doubtful && learned_from(adjustment))
        buffer_add(&phrase, " The steps below allow for it.");
    if (phrase.length > 0 || phrase.failed)
        words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

void answer_response(struct words *words, const struct answer_about *about)
{
    say_response(words, about, answer_has_steps(about->measurement));
}

void answer_response_alone(struct words *words, const struct answer_about *about)
{
    say_response(words, about, false);
}
