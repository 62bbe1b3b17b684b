/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>
#include <perpend/units.h>

#include "text/gets.h"
#include "text/joint_drawing.h"
#include "text/shims.h"
#include "text/steps.h"

void answer_worse(struct words *words, const struct answer_about *about)
{
    if (about->measurement->plan_worsens)
        say_sentence(words, "", sentences[PLAN_WORSENS],
            SLOTS(SLOT_IF("leaves", answer_leaves_run_out(about, ANSWER_ANY_JOINT)),
                SLOT_RIDGE("ridge", about->measurement->plan.ridge)));
}

/* Whether a name has a word of so many bytes among its own. */
static bool has_word(const char *name, const char *word, size_t length)
{
    for (const char *at = name; *at != '\0'; at += strspn(at, " ")) {
        size_t own = strcspn(at, " ");
        if (own == length && strncmp(at, word, length) == 0)
            return true;
        at += own;
    }
    return false;
}

/* Whether a word is in the name of every bolt that stays, and of no other. */
static bool tells_apart(const struct perpend_joint *joint, const struct perpend_step *step,
    const char *word, size_t length)
{
    for (size_t i = 0; i < step->bolt_count; i++)
        if (has_word(joint->bolts[i].name, word, length) != bolt_stays(step, i))
            return false;
    return true;
}

/* The bolts that stay as they are: "the top bolts", or by their names; nothing for none. */
static void add_staying(const struct words *words, struct buffer *phrase,
    const struct perpend_joint *joint, const struct perpend_step *step)
{
    size_t count = 0, place = 0, first = 0;
    for (size_t i = step->bolt_count; i-- > 0;)
        if (bolt_stays(step, i)) {
            count++;
            first = i;
        }
    const char *word = count > 1 ? joint->bolts[first].name : "";
    for (; *word != '\0'; word += strspn(word, " ")) {
        size_t length = strcspn(word, " ");
        if (tells_apart(joint, step, word, length)) {
            struct buffer one = {0};
            buffer_addf(&one, "%.*s", (int)length, word);
            fill(words, phrase, sentences[STEP_GROUP], SLOTS(SLOT_NAME("word", buffer_text(&one))));
            buffer_finish(&one);
            return;
        }
        word += length;
    }
    for (size_t i = 0; i < step->bolt_count; i++)
        if (bolt_stays(step, i)) {
            words_list_mark(phrase, place++, count);
            words_name(phrase, joint->bolts[i].name);
        }
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
    const struct perpend_outlook outlook = perpend_measurement_outlook(about->machine, m);
    struct perpend_fit next;
    perpend_plan_foresee(&m->plan, &outlook, &next);
    return perpend_fit_predict(&next, &about->machine->setup, bearing, here->x, here->y);
}

/* What the gauge can show of a reading: the last leaf that goes, the nearest mark. */
static double shown(const struct perpend_gauge *gauge, double reading)
{
    double steps = reading / gauge->step;
    return gauge->step *
           (perpend_gauge_at(gauge->kind)->no_minus ? floor(steps + 1e-6) : round(steps));
}

/* What the parked arm shows when a step is done; parked anew where it stood elsewhere before. */
static void add_watch(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, const struct perpend_step *step)
{
    const struct perpend_gauge *gauge = &about->machine->setup.gauge;
    const struct perpend_plan *plan = &about->measurement->plan;
    if (isnan(step->watch.reading)) /* a test cut alone says nothing of the arm's height */
        return;
    double goes = shown(gauge, step->watch.reading);
    bool parked = step == plan->steps ||
                  fabs(step->watch.bearing - step[-1].watch.bearing) < PERPEND_PI / 180.0;
    fill_next(words, phrase, sentences[GAUGE_WATCH],
        SLOTS(SLOT_IF("parked", parked), SLOT_BEARING("bearing", step->watch.bearing),
            SLOT_CHOICE("kind", gauge->kind),
            SLOT_IF("leaf", perpend_gauge_at(gauge->kind)->no_minus),
            SLOT_READING("now", step->watch.now, gauge->step),
            SLOT_READING("goes", goes, gauge->step),
            SLOT_READING("stays_out", goes + gauge->step, gauge->step)));
}

/* One numbered step. */
static void say_numbered(
    struct words *words, unsigned *number, const char *sentence, const struct slot *slots)
{
    char lead[16];
    snprintf(lead, sizeof lead, "%u. ", ++*number);
    say_sentence(words, lead, sentence, slots);
}

/* Clockwise to who stands where the joint faces: of a slide as the bolts go round, of a turn as told. */
static bool goes_clockwise(const struct perpend_joint *joint, const struct perpend_step *step)
{
    struct perpend_point turn = perpend_turn_for(step->change);
    return perpend_dot(turn, perpend_face_direction(joint->face)) > 0.0;
}

/* What to do to the joint, up to where the bolts follow, a line each. */
static void say_deed(struct words *words, unsigned *number, const struct answer_about *about,
    const struct perpend_step *step)
{
    const struct perpend_joint *joint = &about->machine->mount.joints[step->joint];
    struct buffer snug = {0};
    struct perpend_point centre;
    double angle = fabs(step->bolts[0].amount.value);
    bool pivots = step->move == PERPEND_MOVE_SLIDE && step->pivot < step->bolt_count;
    add_staying(words, &snug, joint, step);
    say_numbered(words, number, sentences[STEP_DO],
        SLOTS(SLOT_CHOICE("move", perpend_move_index(step->move)), SLOT_NAME("joint", joint->name),
            SLOT_TEXT("seen", joint_drawing_view(joint->face)),
            SLOT_TEXT("snug", buffer_text(&snug)),
            SLOT_NAME("pivot", pivots ? joint->bolts[step->pivot].name : ""),
            SLOT_IF("clockwise", goes_clockwise(joint, step)),
            SLOT_BEARING("bearing", step->watch.bearing), SLOT_IF("grown", step->watch.grows > 0.0),
            SLOT_THICKNESS("grows", fabs(step->watch.grows)),
            SLOT_NUMBER("angle", perpend_degrees(angle), 2),
            SLOT_THICKNESS("rim", angle * perpend_joint_rim(joint, &centre)),
            SLOT_IF("out", step_takes_out(step))));
    buffer_finish(&snug);
}

/* The ridge without a step. */
static double ridge_without(const struct answer_about *about, const struct perpend_step *step)
{
    const struct perpend_measurement *m = about->measurement;
    struct perpend_slope made = perpend_response_expect(&m->response, step->change);
    struct perpend_slope lean = {
        m->plan.lean_after.right - made.right, m->plan.lean_after.back - made.back};
    double ridge = NAN;
    perpend_ridge_facing(lean, &about->machine->cutter, &about->machine->facing, &ridge);
    return ridge;
}

static void say_step(struct words *words, unsigned *number, const struct answer_about *about,
    const struct perpend_step *step, const struct answer_options *options)
{
    const struct perpend_joint *joint = &about->machine->mount.joints[step->joint];
    enum perpend_amount_kind amount = perpend_move_find(step->move)->amount;
    struct buffer phrase = {0};
    if (options->brief && step->for_holes) {
        say_numbered(words, number, sentences[STEP_ELSEWHERE],
            SLOTS(SLOT_NAME("joint", joint->name), SLOT_IF("in_session", options->in_session)));
        return;
    }
    say_deed(words, number, about, step);
    if (options->more)
        joint_drawing_add(words, joint, step, &about->machine->stock, 3);
    else if (amount == PERPEND_AMOUNT_THICKNESS || amount == PERPEND_AMOUNT_TURNS)
        joint_list_add(words, joint, step, &about->machine->stock, 6);
    add_watch(words, &phrase, about, step);
    if (step->move == PERPEND_MOVE_SHIM)
        shim_notes(words, &phrase, about, step);
    if (step->for_holes)
        fill_next(words, &phrase, sentences[STEP_FOR_HOLES],
            SLOTS(SLOT_RIDGE("without", ridge_without(about, step))));
    say_and_finish(words, "   ", &phrase);
}

unsigned answer_step_number(const struct perpend_plan *plan, size_t step)
{
    unsigned number = 2;
    for (size_t i = 0; i < step; i++)
        number += plan->steps[i].joint == plan->steps[i + 1].joint ? 1 : 2;
    return number;
}

void answer_plan(
    struct words *words, const struct answer_about *about, const struct answer_options *options)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_plan *plan = &measurement->plan;
    const struct answer_options plain = {.more = false};
    unsigned number = 0;
    options = options != NULL ? options : &plain;
    if (plan->step_count == 0)
        return;
    say_sentence(words, "", sentences[PLAN_OPENS],
        SLOTS(SLOT_CHOICE("why", answer_readings_doubtful(about)                     ? 0
                                 : measurement->turn_feed_meets_goal                 ? 1
                                 : measurement->verdict == PERPEND_VERDICT_TOO_CLOSE ? 2
                                                                                     : 3)));
    say_numbered(words, &number, sentences[PLAN_UNPLUG],
        SLOTS(SLOT_THICKNESS("raise", plan->raise > 0.0 ? plan->raise : (double)NAN),
            SLOT_BEARING("bearing", plan->steps[0].watch.bearing)));
    for (size_t i = 0; i < plan->step_count; i++) {
        bool last = i + 1 == plan->step_count;
        say_step(words, &number, about, &plan->steps[i], options);
        if (last || plan->steps[i + 1].joint != plan->steps[i].joint)
            say_numbered(words, &number, sentences[PLAN_TIGHTEN],
                SLOTS(SLOT_IF("screws", plan->steps[i].move == PERPEND_MOVE_SCREW),
                    SLOT_IF("last", last), SLOT_IF("more", options->more),
                    SLOT_MOVED("tip", plan->tip, false)));
    }
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
   eight of them; one for all where they are as near to one another as the gauge shows. */
static void add_expected(
    const struct words *words, struct buffer *phrase, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_gauge *gauge = &about->machine->setup.gauge;
    const struct perpend_reading *here = last_reading(measurement);
    struct buffer list = {0};
    char label[WORDS_LABEL];
    double least = INFINITY, most = -INFINITY;
    size_t count = 0;
    for (size_t i = 0; i < measurement->reading_count && count < 8; i++) {
        const struct perpend_reading *reading = &measurement->readings[i];
        if (reading->x != here->x || reading->y != here->y || bearing_seen(measurement, i))
            continue;
        double value = reading_after(about, reading->bearing);
        least = fmin(least, value);
        most = fmax(most, value);
        buffer_add(&list, count++ == 0 ? "" : ", ");
        fill(words, &list, sentences[PLAN_READING],
            SLOTS(SLOT_TEXT("bearing", words_bearing_label(label, sizeof label, reading->bearing)),
                SLOT_READING("reading", shown(gauge, value), gauge->step)));
    }
    double middle = gauge->step * round((least + most) / 2.0 / gauge->step);
    if (most - least <= 2.0 * gauge->step)
        fill(words, phrase, sentences[PLAN_ALL_ROUND],
            SLOTS(SLOT_READING("reading", middle, gauge->step)));
    else
        buffer_add(phrase, buffer_text(&list));
    buffer_finish(&list);
}

void answer_next_sweep(struct words *words, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_goal *goal = &about->machine->goal;
    double ridge = measurement->plan.ridge, was = perpend_slope_size(measurement->fit.lean),
           lean = perpend_slope_size(measurement->plan.lean_after);
    bool lean_alone = isnan(goal->ridge) && isfinite(goal->lean);
    struct buffer readings = {0};
    if (measurement->plan.step_count == 0)
        return;
    if (measurement->reading_count > 0)
        add_expected(words, &readings, about);
    say_sentence(words, "", sentences[PLAN_NEXT_SWEEP],
        SLOTS(SLOT_IF("touch", perpend_gauge_at(about->machine->setup.gauge.kind)->by_z),
            SLOT_IF("places", several_places(measurement)),
            SLOT_TEXT("readings", buffer_text(&readings)), SLOT_RIDGE("ridge", ridge),
            SLOT_ROUNDED("lean", WORDS_SLOPE, lean_alone ? lean : (double)NAN, 0.0),
            SLOT_IF("no_lower", lean_alone ? lean >= was : ridge >= measurement->ridge.height),
            SLOT_CHOICE("goal", !perpend_goal_is_set(goal) ? 2
                                : perpend_goal_kept(goal, ridge, measurement->plan.lean_after)
                                    ? 0
                                    : 1)));
    buffer_finish(&readings);
}
