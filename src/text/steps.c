/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan as steps for a tired person, each caution where the hand meets the thing. */
#include <math.h>
#include <stdlib.h>
#include <stdio.h>
#include <string.h>

#include <perpend/fit.h>
#include <perpend/status.h>

#include "text/answer.h"
#include "text/joint_drawing.h"

/* "the gap reads", "the tip scrapes at Z", "the dial reads". */
static const char *gauge_reads(const struct perpend_gauge *gauge)
{
    switch (gauge->kind) {
    case PERPEND_GAUGE_GAP:
        return "the gap reads";
    case PERPEND_GAUGE_TOUCH:
        return "the tip scrapes at Z";
    case PERPEND_GAUGE_DIAL:
    case PERPEND_GAUGE_LEVER:
        break;
    }
    return "the dial reads";
}

bool answer_plan_worsens(const struct perpend_measurement *measurement)
{
    return measurement->has_plan && measurement->verdict != PERPEND_VERDICT_MET &&
           measurement->plan.step_count > 0 &&
           measurement->plan.ridge > measurement->distribution.high;
}

void answer_worse(struct words *words, const struct answer_about *about)
{
    struct buffer phrase = {0};
    if (!answer_plan_worsens(about->measurement))
        return;
    if (answer_wants_leaves(about))
        buffer_add(&phrase, "More leaves first: with those on hand the lean that can be taken out "
                            "would leave a ridge of ");
    else
        buffer_add(&phrase,
            "Leave the bolts alone: the lean that this mount can take out now would "
            "leave a ridge of ");
    words_ridge(words, &phrase, about->measurement->plan.ridge);
    buffer_add(&phrase, ", higher than it is.");
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

bool answer_has_plan(const struct perpend_measurement *measurement)
{
    if (!measurement->has_plan || measurement->verdict == PERPEND_VERDICT_MET ||
        answer_plan_worsens(measurement))
        return false;
    return measurement->verdict == PERPEND_VERDICT_NOT_MET ||
           answer_slope_shows(measurement->fit.lean, &measurement->fit.lean_covariance);
}

bool answer_has_steps(const struct perpend_measurement *measurement)
{
    return answer_has_plan(measurement) && measurement->plan.step_count > 0;
}

/* Whether a bolt stays as it is in a step: it gets no shim, is the pivot, is not turned. */
static bool stays(const struct perpend_step *step, size_t bolt)
{
    bool turns = perpend_move_row(step->move)->amount == PERPEND_AMOUNT_DISPLACEMENT;
    return turns ? bolt == step->pivot : perpend_amount_is_none(step->bolts[bolt].amount);
}

/* Names of the bolts that stay as they are, or of the others; returns how many. */
static size_t add_bolts(struct buffer *phrase, const struct perpend_joint *joint,
    const struct perpend_step *step, bool staying)
{
    size_t count = 0, place = 0;
    for (size_t i = 0; i < step->bolt_count; i++)
        count += stays(step, i) == staying;
    for (size_t i = 0; i < step->bolt_count; i++) {
        if (stays(step, i) != staying)
            continue;
        words_list_mark(phrase, place++, count);
        words_name(phrase, joint->bolts[i].name);
    }
    return count;
}

static void add_loosening(
    struct buffer *phrase, const struct perpend_joint *joint, const struct perpend_step *step)
{
    struct buffer snug = {0};
    size_t kept = add_bolts(&snug, joint, step, true);
    buffer_add(phrase, ": loosen ");
    if (kept == 0)
        buffer_add(phrase, "all its bolts");
    else
        add_bolts(phrase, joint, step, false);
    if (kept > 0) {
        buffer_add(phrase, ", keep ");
        buffer_add(phrase, buffer_text(&snug));
        buffer_add(phrase, " just snug");
    }
    buffer_finish(&snug);
}

/* What each bolt gets, without a drawing: "top left: 0.53 mm; top right: 0.53 mm". */
static void add_gets(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, const struct perpend_step *step)
{
    const struct perpend_joint *joint = &about->machine->mount.joints[step->joint];
    bool first = true;
    for (size_t i = 0; i < step->bolt_count; i++) {
        if (stays(step, i))
            continue;
        buffer_add(phrase, first ? " " : "; ");
        first = false;
        words_name(phrase, joint->bolts[i].name);
        buffer_add(phrase, step->move == PERPEND_MOVE_SLIDE ? " " : ": ");
        bolt_gets(words, phrase, step, i, &about->machine->stock);
    }
    buffer_add(phrase, ".");
}

/* Where the carriage stands: at the last reading. */
static const struct perpend_reading *last_reading(const struct perpend_measurement *measurement)
{
    return &measurement->readings[measurement->reading_count - 1];
}

static struct perpend_fit after_plan(const struct answer_about *about)
{
    const struct perpend_measurement *m = about->measurement;
    struct perpend_fit next;
    perpend_plan_foresee(&m->plan, &about->machine->mount, &m->response, &m->fit, &next);
    return next;
}

/* What tightening is known to make of the reading, after the last step. */
static void add_give(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, const struct perpend_step *step)
{
    const struct perpend_plan *plan = &about->measurement->plan;
    const struct perpend_setup *setup = &about->machine->setup;
    if (step != &plan->steps[plan->step_count - 1])
        return;
    struct perpend_fit next = after_plan(about);
    const struct perpend_reading *here = last_reading(about->measurement);
    double tight = perpend_fit_predict(&next, setup, step->watch.bearing, here->x, here->y);
    if (fabs(tight - step->watch.reach) <= setup->gauge.step)
        return;
    buffer_add(phrase, ", about ");
    words_reading(words, phrase, tight, setup->gauge.step);
    buffer_add(phrase, " once it is tight");
}

static void add_watch(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, const struct perpend_step *step)
{
    const struct perpend_gauge *gauge = &about->machine->setup.gauge;
    buffer_add(phrase, "Park the arm at ");
    words_bearing(phrase, step->watch.bearing);
    buffer_addf(phrase, ": %s ", gauge_reads(gauge));
    words_reading(words, phrase, step->watch.now, gauge->step);
    buffer_add(phrase, " now and ");
    words_reading(words, phrase, step->watch.reach, gauge->step);
    buffer_add(phrase, " when it is done");
    add_give(words, phrase, about, step);
    buffer_add(phrase, ".");
}

/* One numbered step. */
static void say(struct words *words, unsigned *number, const char *text)
{
    char lead[16];
    snprintf(lead, sizeof lead, "%u. ", ++*number);
    words_paragraph(words, lead, text);
}

/* What to do to the joint, up to where the drawing or the list of bolts follows. */
static void add_deed(struct buffer *phrase, const struct perpend_joint *joint,
    const struct perpend_step *step, bool drawn)
{
    words_name(phrase, joint->name);
    if (drawn)
        buffer_addf(phrase, ", %s", joint_drawing_view(joint->face));
    if (step->move == PERPEND_MOVE_SCREW)
        buffer_add(phrase, ": loosen the bolts that clamp it a little, not the push screws");
    else if (drawn && step->move == PERPEND_MOVE_SHIM)
        buffer_add(phrase, ": loosen the bolts in brackets");
    else if (drawn && step->move == PERPEND_MOVE_SLIDE && step->pivot < step->bolt_count) {
        buffer_add(phrase, ": keep ");
        words_name(phrase, joint->bolts[step->pivot].name);
        buffer_add(phrase, " just snug, loosen the others");
    } else
        add_loosening(phrase, joint, step);
    switch (step->move) {
    case PERPEND_MOVE_SHIM:
        if (step_takes_out(step))
            buffer_add(phrase, drawn ? " and take" : ", and take at");
        else
            buffer_add(phrase, drawn ? " and slip in" : ", and slip in at");
        break;
    case PERPEND_MOVE_SLIDE:
        buffer_add(phrase, step->pivot == PERPEND_NO_BOLT
                               ? ", and turn it about the middle of its bolts so that"
                               : ", and swing it so that");
        break;
    case PERPEND_MOVE_SCREW:
        buffer_add(phrase, drawn ? ", and turn these" : ", and turn the push screws at");
        break;
    }
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
    buffer_add(phrase, " For the floor alone leave this step out: without it the ridge would be ");
    words_ridge(words, phrase, ridge);
    buffer_add(phrase, ", with it ");
    words_ridge(words, phrase, m->plan.ridge);
    buffer_add(phrase, ".");
}

static void say_step(struct words *words, unsigned *number, const struct answer_about *about,
    const struct perpend_step *step, const struct answer_options *options)
{
    const struct perpend_joint *joint = &about->machine->mount.joints[step->joint];
    bool drawn = !(options && options->no_drawing);
    struct buffer phrase = {0};
    add_deed(&phrase, joint, step, drawn);
    if (!drawn)
        add_gets(words, &phrase, about, step);
    say(words, number, buffer_text(&phrase));
    if (drawn)
        joint_drawing_add(words, joint, step, &about->machine->stock, 3);
    buffer_clear(&phrase);
    add_watch(words, &phrase, about, step);
    if (step->move == PERPEND_MOVE_SHIM)
        shim_notes(words, &phrase, about, step);
    if (!answer_slope_shows(step->change, &about->measurement->fit.lean_covariance))
        buffer_add(&phrase, " This is less than the sweep can tell: it may be left out.");
    else
        add_without(words, &phrase, about, step);
    words_paragraph(words, "   ", buffer_text(&phrase));
    buffer_finish(&phrase);
}

static const char *introduction(const struct answer_about *about)
{
    if (answer_readings_doubtful(about))
        return "When the readings have been taken again and stand:";
    if (about->measurement->turn_feed_meets_goal)
        return "To take the lean out as well:";
    if (about->measurement->verdict == PERPEND_VERDICT_TOO_CLOSE)
        return "To adjust rather than wait for certainty:";
    return "What to do:";
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
    words_paragraph(words, "", introduction(about));
    say(words, &number,
        "Unplug the spindle; turn it by hand; hold its weight before loosening bolts.");
    for (size_t i = 0; i < plan->step_count; i++)
        say_step(words, &number, about, &plan->steps[i], options);
    struct buffer phrase = {0};
    buffer_add(&phrase, turns_screws(plan) ? "Tighten the bolts that clamp, not the push screws, "
                                             "crosswise"
                                           : "Tighten crosswise");
    buffer_add(&phrase, ", in steps, to the maker's torque (the maker's manual "
                        "comes first), and sweep again. Before cutting take the arm out, home, and "
                        "zero X, Y and Z: the tip moves ");
    words_displacement(words, &phrase, plan->tip);
    buffer_add(&phrase, ".");
    say(words, &number, buffer_text(&phrase));
    buffer_finish(&phrase);
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
static void add_predictions(
    const struct words *words, struct buffer *phrase, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_setup *setup = &about->machine->setup;
    struct perpend_fit next = after_plan(about);
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
        words_reading(words, number,
            perpend_fit_predict(&next, setup, reading->bearing, reading->x, reading->y),
            setup->gauge.step);
        alike = alike && strcmp(buffer_text(number), buffer_text(&first)) == 0;
        buffer_add(&list, shown++ == 0 ? "" : ", ");
        buffer_add(&list, words_bearing_label(label, sizeof label, reading->bearing));
        buffer_add(&list, WORDS_GLUE);
        buffer_add(&list, buffer_text(number));
    }
    buffer_add(phrase, buffer_text(alike ? &first : &list));
    if (alike)
        buffer_add(phrase, " all round");
    if (list.failed || first.failed || value.failed)
        phrase->failed = true;
    buffer_finish(&list);
    buffer_finish(&first);
    buffer_finish(&value);
}

static bool several_places(const struct perpend_measurement *measurement)
{
    const struct perpend_reading *here = last_reading(measurement);
    for (size_t i = 0; i < measurement->reading_count; i++)
        if (measurement->readings[i].x != here->x || measurement->readings[i].y != here->y)
            return true;
    return false;
}

void answer_next_sweep(struct words *words, const struct answer_about *about)
{
    const struct perpend_plan *plan = &about->measurement->plan;
    struct buffer phrase = {0};
    if (plan->step_count == 0) {
        buffer_finish(&phrase);
        return;
    }
    buffer_add(&phrase, about->machine->setup.gauge.kind == PERPEND_GAUGE_TOUCH
                            ? "With Z's zero left as it is"
                            : "With Z left as it is");
    if (several_places(about->measurement))
        buffer_add(&phrase, ", and the carriage where it is now");
    buffer_add(&phrase, ", the next sweep should read ");
    add_predictions(words, &phrase, about);
    buffer_add(&phrase, "; the ridge left is ");
    words_ridge(words, &phrase, plan->ridge);
    if (plan->ridge >= about->measurement->ridge.height)
        buffer_add(&phrase, ", no lower than it is");
    if (!isnan(about->machine->goal))
        buffer_add(&phrase,
            plan->ridge <= about->machine->goal ? ", under the goal" : ", still over the goal");
    buffer_add(&phrase, ".");
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}
