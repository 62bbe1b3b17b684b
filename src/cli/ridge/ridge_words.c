/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/answer.h"
#include "cli/ridge/ridge_question.h"

#define LEVEL 1e-6 /* mm; a bit whose far side rises less than this cuts level */

#define NO_SLOPE 1e-12 /* mm/mm; what the sine of half a turn is off from nothing is less */

static void add_lean(const struct words *words, struct buffer *phrase, struct perpend_slope lean)
{
    bool back = fabs(lean.back) > NO_SLOPE, right = fabs(lean.right) > NO_SLOPE;
    if (!back && !right) {
        buffer_add(phrase, "The spindle stands straight");
        return;
    }
    buffer_add(phrase, "The top leans ");
    if (back) {
        buffer_add(phrase, lean.back > 0.0 ? "back by " : "forward by ");
        words_rounded(words, phrase, WORDS_SLOPE, fabs(lean.back), 0.0);
    }
    if (right) {
        buffer_add(phrase, back ? " and " : "");
        buffer_add(phrase, lean.right > 0.0 ? "right by " : "left by ");
        words_rounded(words, phrase, WORDS_SLOPE, fabs(lean.right), 0.0);
    }
}

/* One row: what, and how much. */
static void say(struct words *words, const char *what, const char *how_much)
{
    struct buffer lead = {0};
    buffer_add(&lead, "  ");
    buffer_add(&lead, what);
    for (size_t columns = words_columns(what); columns < 20; columns++)
        buffer_add(&lead, " ");
    words_paragraph(words, buffer_text(&lead), how_much);
    if (lead.failed)
        words->out.failed = true;
    buffer_finish(&lead);
}

/* A length rounded to three digits in a row of its own, with an end to the sentence. */
static void say_length(
    struct words *words, const char *what, enum words_kind kind, double value, const char *end)
{
    struct buffer phrase = {0};
    words_rounded(words, &phrase, kind, value, 0.0);
    buffer_add(&phrase, end);
    say(words, what, buffer_text(&phrase));
    buffer_finish(&phrase);
}

/* A row for one feed: "least, bearing 166°". */
static void say_feed(struct words *words, const char *how, double along, double height)
{
    struct buffer what = {0}, feed = {0};
    words_feed(&feed, along);
    /* X and Y are named as directions, a bearing is one by itself */
    buffer_add(&what, how);
    buffer_add(&what, feed.length == 1 ? "along " : "");
    buffer_add(&what, buffer_text(&feed));
    if (isfinite(height))
        say_length(words, buffer_text(&what), WORDS_SMALL, height, "");
    else
        say(words, buffer_text(&what), "stripes stand: the stepover is wider than the cut");
    buffer_finish(&what);
    buffer_finish(&feed);
}

static void say_ridges(
    struct words *words, const struct ridge_question *question, const struct ridge_answer *answer)
{
    const struct perpend_ridge *ridge = &answer->ridge;
    struct buffer phrase = {0};
    buffer_add(&phrase, "Ridge ");
    words_rounded(words, &phrase, WORDS_SMALL, ridge->height, 0.0);
    buffer_add(&phrase, " feeding ");
    words_facing(&phrase, &question->facing);
    buffer_add(&phrase, ", roughness" WORDS_GLUE "Ra" WORDS_GLUE);
    words_rounded(words, &phrase, WORDS_SMALL, ridge->ra, 0.0);
    if (!isnan(question->goal)) {
        buffer_add(&phrase,
            ridge->height <= question->goal ? "; it meets the goal of " : "; over the goal of ");
        words_stated(words, &phrase, WORDS_SMALL, question->goal);
    }
    buffer_add(&phrase, ".");
    words_paragraph(words, "", buffer_text(&phrase));
    say_feed(words, "", PERPEND_ALONG_X, ridge->along_x);
    say_feed(words, "", PERPEND_ALONG_Y, ridge->along_y);
    say_feed(words, "least, ", ridge->best_along, ridge->best_height);
    buffer_finish(&phrase);
}

static void say_depth(
    struct words *words, const struct ridge_question *question, const struct perpend_ridge *ridge)
{
    struct buffer phrase = {0};
    double depth = question->facing.depth;
    bool corner = ridge->rise > 2.0 * ridge->drop; /* most of the rise is its roundness */
    if (ridge->rise < LEVEL)
        return;
    if (ridge_cut_too_shallow(ridge, depth)) {
        words_shallow_cut(words, &phrase, ridge, depth);
    } else if (!corner && (isnan(depth) || !ridge->depth_short)) {
        buffer_add(&phrase, "The bit's far side rises ");
        words_rounded(words, &phrase, WORDS_SMALL, ridge->rise, ridge->rise / 10.0);
        if (isnan(depth)) {
            buffer_add(&phrase, ": a shallower cut leaves it standing.");
        } else {
            buffer_add(&phrase, ", less than the cut of ");
            words_stated(words, &phrase, WORDS_SMALL, depth);
            buffer_add(&phrase, ": the bit cuts its whole width.");
        }
    }
    if (phrase.length > 0 || phrase.failed)
        words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

static void say_limits(
    struct words *words, const struct ridge_question *question, const struct ridge_answer *answer)
{
    const struct perpend_ridge_limits *limits = &answer->limits;
    struct buffer phrase = {0};
    words_gap(words);
    buffer_add(&phrase, "What keeps the ridge at ");
    words_stated(words, &phrase, WORDS_SMALL, question->goal);
    buffer_add(&phrase, " or under, at most");
    words_paragraph(words, "", buffer_text(&phrase));
    if (isnan(limits->lean)) {
        say(words, "lean", "none: the bit's rounded corners leave more, even upright");
    } else {
        say_length(words, "lean, any way", WORDS_SLOPE, limits->lean, "");
    }
    if (!isnan(limits->lean) && !question->facing.both_ways) {
        say_length(words, "lean across feed", WORDS_SLOPE, limits->lean_across, "");
        say_length(words, "lean along feed", WORDS_SLOPE, limits->lean_along, "");
    }
    if (!isnan(limits->opposite_reading)) {
        buffer_clear(&phrase);
        buffer_add(&phrase, " between opposite readings, on the ");
        words_stated(words, &phrase, WORDS_LARGE, question->setup.arm.length);
        buffer_add(&phrase, " arm");
        buffer_add(&phrase, question->bed_as_found ? ", on a faced bed" : "");
        say_length(
            words, "difference", WORDS_SMALL, limits->opposite_reading, buffer_text(&phrase));
    }
    if (answer_any_stepover(limits, &question->cutter))
        say(words, "stepover", "any that the bit can cut, at this lean");
    else if (!isnan(limits->stepover))
        say_length(words, "stepover", WORDS_LARGE, limits->stepover, " at this lean");
    else if (question->has_lean)
        say(words, "stepover", "none is small enough at this lean");
    buffer_finish(&phrase);
}

static void say_means(
    struct words *words, const struct ridge_question *question, const struct ridge_answer *answer)
{
    const struct perpend_means *means = &answer->means;
    struct buffer phrase = {0};
    words_gap(words);
    if (isnan(means->lean)) {
        words_paragraph(words, "",
            "No arm and no gauge help here: take a smaller stepover, a bit with sharper corners, "
            "or a larger goal.");
        return;
    }
    buffer_add(&phrase, "With this bit the ridge is sure to stay within ");
    words_stated(words, &phrase, WORDS_SMALL, question->goal);
    buffer_add(&phrase, question->bed_as_found ? ", once the bed is faced," : "");
    buffer_add(&phrase, " while opposite readings, whichever pair, agree within ");
    words_rounded(words, &phrase, WORDS_SMALL, means->agree, 0.0);
    buffer_add(&phrase, ". For that a gauge that reads to ");
    words_stated(words, &phrase, WORDS_SMALL, question->setup.gauge.step);
    if (means->fine_enough)
        buffer_add(&phrase, " is fine enough");
    else
        buffer_add(&phrase, " is too coarse");
    buffer_addf(&phrase, " at %u readings a sweep", question->readings);
    if (!means->fine_enough) {
        buffer_add(&phrase, ": it takes ");
        if (!isnan(means->step_needed)) {
            buffer_add(&phrase, "one that reads to ");
            words_gauge_step(words, &phrase, means->step_needed);
        }
        if (!isnan(means->arm_needed)) {
            buffer_add(&phrase, isnan(means->step_needed) ? "an arm of " : ", or an arm of ");
            words_arm(words, &phrase, means->arm_needed);
        }
        if (isnan(means->step_needed) && isnan(means->arm_needed))
            buffer_add(&phrase, "more readings, or a larger goal");
    }
    buffer_add(&phrase, ".");
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

void ridge_answer_words(
    struct words *words, const struct ridge_question *question, const struct ridge_answer *answer)
{
    struct buffer phrase = {0};
    if (question->has_lean) {
        add_lean(words, &phrase, question->lean);
        buffer_add(&phrase, ". ");
    }
    words_stated(words, &phrase, WORDS_LARGE, question->cutter.diameter);
    buffer_add(&phrase, " bit, ");
    words_stated(words, &phrase, WORDS_LARGE, question->facing.stepover);
    buffer_add(&phrase, " stepover.");
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
    if (question->has_lean) {
        words_gap(words);
        say_ridges(words, question, answer);
        say_depth(words, question, &answer->ridge);
    }
    if (!isnan(question->goal))
        say_limits(words, question, answer);
    if (answer->has_means)
        say_means(words, question, answer);
}
