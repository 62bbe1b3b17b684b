/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "text/gets.h"
#include "text/joint_drawing.h"
#include "text/shims.h"
#include "text/steps.h"

void answer_worse(struct words *words, const struct answer_about *about)
{
    if (answer_plan_worsens(about->measurement))
        say_sentence(words, "", sentences[PLAN_WORSENS],
            SLOTS(SLOT_IF("leaves", answer_leaves_run_out(about, ANSWER_ANY_JOINT)),
                SLOT_RIDGE("ridge", about->measurement->plan.ridge)));
}

/* Names of the bolts that stay as they are, or of the others. */
static void add_bolts(struct buffer *phrase, const struct perpend_joint *joint,
    const struct perpend_step *step, bool staying)
{
    size_t count = 0, place = 0;
    for (size_t i = 0; i < step->bolt_count; i++)
        count += bolt_stays(step, i) == staying;
    for (size_t i = 0; i < step->bolt_count; i++) {
        if (bolt_stays(step, i) != staying)
            continue;
        words_list_mark(phrase, place++, count);
        words_name(phrase, joint->bolts[i].name);
    }
}

/* What each bolt gets, without a drawing: "top left: 0.53 mm; top right: 0.53 mm". */
static void add_gets(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, const struct perpend_step *step)
{
    const struct perpend_joint *joint = &about->machine->mount.joints[step->joint];
    struct buffer gets = {0};
    for (size_t i = 0; i < step->bolt_count; i++) {
        if (bolt_stays(step, i))
            continue;
        buffer_clear(&gets);
        bolt_gets(words, &gets, step, i, &about->machine->stock);
        buffer_add(phrase, phrase->length > 0 ? "; " : "");
        fill(words, phrase, sentences[STEP_BOLT],
            SLOTS(SLOT_NAME("bolt", joint->bolts[i].name),
                SLOT_IF(
                    "slide", perpend_move_find(step->move)->amount == PERPEND_AMOUNT_DISPLACEMENT),
                SLOT_TEXT("gets", buffer_text(&gets))));
    }
    buffer_finish(&gets);
}

/* Where the carriage stands: at the last reading. */
static const struct perpend_reading *last_reading(const struct perpend_measurement *measurement)
{
    return &measurement->readings[measurement->reading_count - 1];
}

/* What the gauge should read after the plan, at a bearing where the carriage stands. */
static double reading_after(const struct answer_about *about, double bearing)
{
    const struct perpend_measurement *m = about->measurement;
    const struct perpend_reading *here = last_reading(m);
    struct perpend_fit next;
    perpend_plan_foresee(&m->plan, &about->machine->mount, &m->response, &m->fit, &next);
    return perpend_fit_predict(&next, &about->machine->setup, bearing, here->x, here->y);
}

static void add_watch(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, const struct perpend_step *step)
{
    const struct perpend_gauge *gauge = &about->machine->setup.gauge;
    const struct perpend_plan *plan = &about->measurement->plan;
    double tight = reading_after(about, step->watch.bearing);
    /* what tightening is known to make of the reading, after the last step */
    bool gives = step == &plan->steps[plan->step_count - 1] &&
                 !(fabs(tight - step->watch.reach) <= gauge->step);
    fill(words, phrase, sentences[GAUGE_WATCH],
        SLOTS(SLOT_BEARING("bearing", step->watch.bearing), SLOT_CHOICE("kind", gauge->kind),
            SLOT_READING("now", step->watch.now, gauge->step),
            SLOT_READING("reach", step->watch.reach, gauge->step), SLOT_IF("gives", gives),
            SLOT_READING("tight", tight, gauge->step)));
}

/* One numbered step. */
static void say_numbered(
    struct words *words, unsigned *number, const char *sentence, const struct slot *slots)
{
    char lead[16];
    snprintf(lead, sizeof lead, "%u. ", ++*number);
    say_sentence(words, lead, sentence, slots);
}

/* What to do to the joint, up to where the drawing follows, or with what each bolt gets. */
static void say_deed(struct words *words, unsigned *number, const struct answer_about *about,
    const struct perpend_step *step, bool drawn)
{
    const struct perpend_joint *joint = &about->machine->mount.joints[step->joint];
    struct buffer loose = {0}, snug = {0}, gets = {0};
    add_bolts(&snug, joint, step, true);
    if (snug.length > 0)
        add_bolts(&loose, joint, step, false);
    else
        fill(words, &loose, sentences[STEP_ALL_BOLTS], NULL);
    add_gets(words, &gets, about, step);
    say_numbered(words, number, sentences[STEP_DO],
        SLOTS(SLOT_CHOICE("move", perpend_move_index(step->move)), SLOT_NAME("joint", joint->name),
            SLOT_IF("drawn", drawn), SLOT_TEXT("seen", joint_drawing_view(joint->face)),
            SLOT_TEXT("loose", buffer_text(&loose)), SLOT_TEXT("snug", buffer_text(&snug)),
            SLOT_NAME(
                "pivot", step->pivot < step->bolt_count ? joint->bolts[step->pivot].name : ""),
            SLOT_IF("out", step_takes_out(step)), SLOT_TEXT("gets", buffer_text(&gets))));
    buffer_finish(&loose);
    buffer_finish(&snug);
    buffer_finish(&gets);
}

/* A step is told to raise the ridge by more than this, mm, and this share. */
#define RAISES 0.001
#define RAISES_SHARE 0.1

/* A step that takes out lean which the passes hide, so that without it the floor would be better. */
static void add_without(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, const struct perpend_step *step)
{
    const struct perpend_measurement *m = about->measurement;
    struct perpend_slope made = perpend_response_expect(&m->response, step->change);
    struct perpend_slope lean = {
        m->plan.leaves.right - made.right, m->plan.leaves.back - made.back};
    double ridge;
    if (m->plan.step_count < 2 ||
        perpend_ridge_facing(lean, &about->machine->cutter, &about->machine->facing, &ridge) !=
            PERPEND_OK ||
        m->plan.ridge - ridge <= fmax(RAISES, RAISES_SHARE * m->plan.ridge))
        return;
    fill_next(words, phrase, sentences[STEP_RAISES_THE_RIDGE],
        SLOTS(SLOT_RIDGE("without", ridge), SLOT_RIDGE("with", m->plan.ridge)));
}

static void say_step(struct words *words, unsigned *number, const struct answer_about *about,
    const struct perpend_step *step, const struct answer_options *options)
{
    const struct perpend_joint *joint = &about->machine->mount.joints[step->joint];
    bool drawn = !(options && options->no_drawing);
    struct buffer phrase = {0};
    say_deed(words, number, about, step, drawn);
    if (drawn)
        joint_drawing_add(words, joint, step, &about->machine->stock, 3);
    add_watch(words, &phrase, about, step);
    if (step->move == PERPEND_MOVE_SHIM)
        shim_notes(words, &phrase, about, step);
    if (!answer_slope_shows(step->change, &about->measurement->fit.lean_covariance))
        fill_next(words, &phrase, sentences[STEP_MAY_BE_LEFT_OUT], NULL);
    else
        add_without(words, &phrase, about, step);
    say_and_finish(words, "   ", &phrase);
}

static bool turns_screws(const struct perpend_plan *plan)
{
    for (size_t i = 0; i < plan->step_count; i++)
        if (plan->steps[i].move == PERPEND_MOVE_SCREW)
            return true;
    return false;
}

void answer_plan(
    struct words *words, const struct answer_about *about, const struct answer_options *options)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_plan *plan = &measurement->plan;
    unsigned number = 0;
    if (plan->step_count == 0)
        return;
    say_sentence(words, "", sentences[PLAN_OPENS],
        SLOTS(SLOT_CHOICE("why", answer_readings_doubtful(about)                     ? 0
                                 : measurement->turn_feed_meets_goal                 ? 1
                                 : measurement->verdict == PERPEND_VERDICT_TOO_CLOSE ? 2
                                                                                     : 3)));
    say_numbered(words, &number, sentences[PLAN_UNPLUG], NULL);
    for (size_t i = 0; i < plan->step_count; i++)
        say_step(words, &number, about, &plan->steps[i], options);
    say_numbered(words, &number, sentences[PLAN_TIGHTEN],
        SLOTS(SLOT_IF("screws", turns_screws(plan)), SLOT_MOVED("tip", plan->tip, false)));
}

static bool bearing_seen(const struct perpend_measurement *measurement, size_t reading)
{
    const struct perpend_reading *asked = &measurement->readings[reading];
    for (size_t k = 0; k < reading; k++) {
        const struct perpend_reading *one = &measurement->readings[k];
        if (one->bearing == asked->bearing && one->x == asked->x && one->y == asked->y)
            return true;
    }
    return false;
}

/* Readings that the next sweep should bring, at the bearings and the place of the last one, up to
   eight of them; one for all when they round to the same. */
static void add_expected(
    const struct words *words, struct buffer *phrase, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_reading *here = last_reading(measurement);
    struct buffer list = {0}, first = {0}, value = {0};
    char label[WORDS_LABEL];
    size_t shown = 0;
    bool alike = true;
    for (size_t i = 0; i < measurement->reading_count && shown < 8; i++) {
        const struct perpend_reading *reading = &measurement->readings[i];
        if (reading->x != here->x || reading->y != here->y || bearing_seen(measurement, i))
            continue;
        struct buffer *number = shown == 0 ? &first : &value;
        buffer_clear(number);
        words_reading(words, number, reading_after(about, reading->bearing),
            about->machine->setup.gauge.step);
        alike = alike && strcmp(buffer_text(number), buffer_text(&first)) == 0;
        buffer_add(&list, shown++ == 0 ? "" : ", ");
        fill(words, &list, sentences[PLAN_READING],
            SLOTS(SLOT_TEXT("bearing", words_bearing_label(label, sizeof label, reading->bearing)),
                SLOT_TEXT("reading", buffer_text(number))));
    }
    if (alike)
        fill(words, phrase, sentences[PLAN_ALL_ROUND],
            SLOTS(SLOT_TEXT("reading", buffer_text(&first))));
    else
        buffer_add(phrase, buffer_text(&list));
    buffer_finish(&list);
    buffer_finish(&first);
    buffer_finish(&value);
}

void answer_next_sweep(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_goal *goal = &about->machine->goal;
    double ridge = measurement->plan.ridge;
    struct buffer readings = {0};
    if (measurement->plan.step_count == 0)
        return;
    add_expected(words, &readings, about);
    say_sentence(words, "", sentences[PLAN_NEXT_SWEEP],
        SLOTS(SLOT_IF("touch", perpend_gauge_at(about->machine->setup.gauge.kind)->by_z),
            SLOT_IF("places", several_places(measurement)),
            SLOT_TEXT("readings", buffer_text(&readings)), SLOT_RIDGE("ridge", ridge),
            SLOT_IF("no_lower", ridge >= measurement->ridge.height),
            SLOT_CHOICE("goal", !perpend_goal_is_set(goal)                                 ? 2
                                : perpend_goal_kept(goal, ridge, measurement->plan.leaves) ? 0
                                                                                           : 1)));
    buffer_finish(&readings);
}
