/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/doubts.h"

#define SCATTERS 0.01 /* a chance of χ² under which it is said */

static void say_suspect(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_suspect *suspect = &measurement->fit.suspect;
    const struct perpend_reading *reading = &measurement->readings[suspect->index];
    const struct perpend_sweep *sweep =
        &about->job->sweeps[measurement->reading_sweep[suspect->index]];
    double step = about->machine->setup.gauge.step;
    say_sentence(words, "", sentences[DOUBT_READING],
        SLOTS(SLOT_IF("twin", suspect->has_twin), SLOT_BEARING("bearing", reading->bearing),
            SLOT_NAME("sweep", measurement->sweep_count > 1 ? sweep->name : ""),
            SLOT_READING("reading", reading->value, step),
            SLOT_READING("other",
                suspect->has_twin ? measurement->readings[suspect->twin].value : (double)NAN, step),
            SLOT_IF("without", suspect->has_lean_without),
            SLOTS_OF_LEAN("", suspect->lean_without, suspect->lean_without_covariance)));
}

static void say_closure(struct words *words, const struct answer_about *about)
{
    const struct perpend_closure *closure = &about->measurement->fit.closure;
    const struct perpend_reading *readings = about->measurement->readings;
    double step = about->machine->setup.gauge.step;
    struct perpend_reading by[4] = {{0}}; /* by bearing, as the closure was formed */
    for (size_t i = 0; i < 4; i++) {
        size_t before = 0;
        for (size_t k = 0; k < 4; k++)
            before += readings[k].bearing < readings[i].bearing;
        by[before] = readings[i];
    }
    say_sentence(words, "", sentences[DOUBT_CLOSURE],
        SLOTS(SLOT_BEARING("first", by[0].bearing), SLOT_BEARING("second", by[1].bearing),
            SLOT_BEARING("third", by[2].bearing), SLOT_BEARING("fourth", by[3].bearing),
            SLOT_READING("odd", by[0].value + by[2].value, step),
            SLOT_READING("even", by[1].value + by[3].value, step),
            SLOT_READING("apart", fabs(closure->value), step),
            SLOT_READING("limit", closure->limit, step)));
}

void answer_doubts(struct words *words, const struct answer_about *about)
{
    const struct perpend_fit *fit = &about->measurement->fit;
    const struct perpend_fit_quality *quality = &fit->quality;
    if (quality->dof == 0)
        say_sentence(words, "", sentences[DOUBT_UNCHECKED], NULL);
    if (fit->suspect.index != PERPEND_FIT_NO_SUSPECT)
        say_suspect(words, about);
    if (fit->closure.off && about->measurement->reading_count == 4)
        say_closure(words, about);
    if (quality->p < SCATTERS)
        say_sentence(words, "", sentences[DOUBT_SCATTER],
            SLOTS(SLOT_NUMBER("times", sqrt(quality->chi2 / quality->dof), 1)));
}

/* What the last adjustment showed; nothing when nothing was asked. */
static void add_shown(const struct words *words, struct buffer *phrase,
    const struct perpend_adjustment *adjustment, bool steps_follow)
{
    static const struct {
        enum sentence sentence;
        bool learned; /* the next plan goes by more than the geometry */
    } shown[] = {[PERPEND_OUTCOME_AS_ASKED] = {SHOWN_AS_ASKED, false},
        [PERPEND_OUTCOME_NOTHING] = {SHOWN_NOTHING, false},
        [PERPEND_OUTCOME_WRONG_WAY] = {SHOWN_WRONG_WAY, false},
        [PERPEND_OUTCOME_PART] = {SHOWN_PART, true},
        [PERPEND_OUTCOME_OVER] = {SHOWN_OVER, true},
        [PERPEND_OUTCOME_SIDEWAYS] = {SHOWN_SIDEWAYS, true}};
    enum perpend_outcome outcome = adjustment->outcome;
    if (outcome == PERPEND_OUTCOME_AS_ASKED && !(perpend_slope_size(adjustment->asked) > 0.0))
        return;
    double share = outcome == PERPEND_OUTCOME_SIDEWAYS ? adjustment->across : adjustment->along - 1;
    fill(words, phrase, sentences[shown[outcome].sentence],
        SLOTS(SLOT_NUMBER("share", fabs(share) * 100.0, 0)));
    if (steps_follow && shown[outcome].learned)
        fill_next(words, phrase, sentences[SHOWN_ALLOWED_FOR], NULL);
}

static void say_response(struct words *words, const struct answer_about *about, bool steps_follow)
{
    struct buffer phrase = {0};
    if (!about->measurement->adjusted)
        return;
    if (answer_readings_doubtful(about))
        fill(words, &phrase, sentences[SHOWN_DOUBTFUL], NULL);
    else
        add_shown(words, &phrase, &about->measurement->adjustment, steps_follow);
    say_and_finish(words, "", &phrase);
}

void answer_response(struct words *words, const struct answer_about *about)
{
    say_response(words, about, answer_has_steps(about->measurement));
}

void answer_response_alone(struct words *words, const struct answer_about *about)
{
    say_response(words, about, false);
}
