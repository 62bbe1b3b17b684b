/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/about.h"
#include "text/ridge_answer.h"

#define NO_SLOPE 1e-12 /* mm/mm; what the sine of half a turn is off from nothing is less */

void ridge_ask_of(const struct perpend_machine *machine, struct ridge_question *question)
{
    question->unit = machine->unit;
    question->cutter = machine->cutter;
    question->facing = machine->facing;
    question->goal = machine->goal.ridge;
    question->setup = machine->setup;
    question->bed_as_found = !machine->setup.bed_faced;
}

enum perpend_status ridge_answer_make(
    const struct ridge_question *question, struct ridge_answer *answer)
{
    *answer = (struct ridge_answer){.limits = {.stepover = NAN}};
    enum perpend_status status = PERPEND_OK;
    if (question->has_lean)
        status = perpend_ridge_describe(
            question->lean, &question->cutter, &question->facing, &answer->ridge);
    if (status != PERPEND_OK || isnan(question->goal))
        return status;
    status = perpend_ridge_limits_for(question->lean, &question->cutter, &question->facing,
        question->goal, question->setup.arm.length, &answer->limits);
    if (!question->has_lean)
        answer->limits.stepover = NAN;
    if (status != PERPEND_OK || isnan(question->setup.arm.length) ||
        isnan(question->setup.gauge.step))
        return status;
    answer->has_means = true;
    return perpend_means_for(&question->setup, question->readings, &question->cutter,
        &question->facing, &(struct perpend_goal){question->goal, NAN}, &answer->means);
}

static void say_lean_and_bit(struct words *words, const struct ridge_question *question)
{
    struct perpend_slope lean = question->lean;
    bool back = fabs(lean.back) > NO_SLOPE, right = fabs(lean.right) > NO_SLOPE;
    say_sentence(words, "", sentences[QUESTION],
        SLOTS(SLOT_IF("asked", question->has_lean), SLOT_IF("lean", back || right),
            SLOT_IF("both", back && right), SLOT_IF("back_way", lean.back > 0.0),
            SLOT_IF("right_way", lean.right > 0.0),
            SLOT_ROUNDED("back", WORDS_SLOPE, back ? fabs(lean.back) : (double)NAN, 0.0),
            SLOT_ROUNDED("right", WORDS_SLOPE, right ? fabs(lean.right) : (double)NAN, 0.0),
            SLOT_STATED("bit", WORDS_LARGE, question->cutter.diameter),
            SLOT_STATED("stepover", WORDS_LARGE, question->facing.stepover)));
}

/* One row: what, and how much. */
static void say_row(
    struct words *words, const char *what, const char *how_much, const struct slot *slots)
{
    struct buffer lead = {0};
    buffer_add(&lead, "  ");
    buffer_add(&lead, what);
    for (size_t columns = words_columns(what); columns < 20; columns++)
        buffer_add(&lead, " ");
    say_sentence(words, buffer_text(&lead), how_much, slots);
    buffer_finish(&lead);
}

/* A row for one feed: "least, bearing 166°". */
static void say_feed(struct words *words, bool least, double along, double height)
{
    struct buffer what = {0}, feed = {0};
    words_feed(&feed, along);
    fill(words, &what, sentences[RIDGE_ALONG],
        SLOTS(SLOT_IF("least", least), SLOT_IF("named", feed.length == 1),
            SLOT_TEXT("feed", buffer_text(&feed))));
    say_row(words, buffer_text(&what), isfinite(height) ? "{size}" : sentences[RIDGE_STRIPES],
        SLOTS(SLOT_ROUNDED("size", WORDS_SMALL, height, 0.0)));
    buffer_finish(&what);
    buffer_finish(&feed);
}

static void say_ridges(
    struct words *words, const struct ridge_question *question, const struct perpend_ridge *ridge)
{
    double goal = question->goal;
    words_gap(words);
    say_sentence(words, "", sentences[RIDGE_HEIGHT],
        SLOTS(SLOT_ROUNDED("ridge", WORDS_SMALL, ridge->height, 0.0),
            SLOT_FACING("facing", &question->facing),
            SLOT_ROUNDED("ra", WORDS_SMALL, ridge->ra, 0.0),
            SLOT_CHOICE("meets", isnan(goal)             ? 2
                                 : ridge->height <= goal ? 0
                                                         : 1),
            SLOT_STATED("goal", WORDS_SMALL, goal)));
    say_feed(words, false, PERPEND_ALONG_X, ridge->along_x);
    say_feed(words, false, PERPEND_ALONG_Y, ridge->along_y);
    say_feed(words, true, ridge->best_along, ridge->best_height);
}

static void say_limits(
    struct words *words, const struct ridge_question *question, const struct ridge_answer *answer)
{
    const struct perpend_ridge_limits *limits = &answer->limits;
    const struct slot *slots = SLOTS(SLOT_STATED("goal", WORDS_SMALL, question->goal),
        SLOT_ROUNDED("lean", WORDS_SLOPE, limits->lean, 0.0),
        SLOT_ROUNDED("across", WORDS_SLOPE, limits->lean_across, 0.0),
        SLOT_ROUNDED("along", WORDS_SLOPE, limits->lean_along, 0.0),
        SLOT_ROUNDED("difference", WORDS_SMALL, limits->opposite_reading, 0.0),
        SLOT_STATED("arm", WORDS_LARGE, question->setup.arm.length),
        SLOT_IF("bed", question->bed_as_found),
        SLOT_IF("any", answer_any_stepover(limits, &question->cutter)),
        SLOT_ROUNDED("stepover", WORDS_LARGE, limits->stepover, 0.0));
    words_gap(words);
    say_sentence(words, "", sentences[LIMITS_OPEN], slots);
    say_row(words, isnan(limits->lean) ? "lean" : "lean, any way", sentences[LIMIT_LEAN], slots);
    if (!isnan(limits->lean) && !question->facing.both_ways) {
        say_row(words, "lean across feed", "{across}", slots);
        say_row(words, "lean along feed", "{along}", slots);
    }
    if (!isnan(limits->opposite_reading) && !answer->has_means)
        say_row(words, "difference", sentences[LIMIT_DIFFERENCE], slots);
    if (question->has_lean || !isnan(limits->stepover))
        say_row(words, "stepover", sentences[LIMIT_STEPOVER], slots);
}

static void say_means(
    struct words *words, const struct ridge_question *question, const struct perpend_means *means)
{
    words_gap(words);
    say_sentence(words, "", sentences[isnan(means->lean) ? MEANS_NONE : MEANS_AGREE],
        SLOTS(SLOT_STATED("goal", WORDS_SMALL, question->goal),
            SLOT_IF("bed", question->bed_as_found),
            SLOT_STATED(
                "agree", WORDS_SMALL, agree_shown(means->agree, question->setup.gauge.step)),
            SLOT_STATED("step", WORDS_SMALL, question->setup.gauge.step),
            SLOT_IF("fine", means->fine_enough), SLOT_COUNT("readings", question->readings),
            SLOT_GAUGE("gauge", means->step_needed), SLOT_ARM("arm", means->arm_needed)));
}

void ridge_answer_words(
    struct words *words, const struct ridge_question *question, const struct ridge_answer *answer)
{
    say_lean_and_bit(words, question);
    if (question->has_lean) {
        say_ridges(words, question, &answer->ridge);
        if (answer->ridge.stripes)
            say_sentence(words, "", sentences[STRIPES],
                SLOTS(SLOT_STATED("depth", WORDS_SMALL, question->facing.depth)));
    }
    if (!isnan(question->goal))
        say_limits(words, question, answer);
    if (answer->has_means)
        say_means(words, question, &answer->means);
}
