/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SENTENCES_H
#define SENTENCES_H

/**
 * All that perpend says of an answer, a plan, a ridge and the time between jobs; a topic a file in
 * sentences/. A command's own sentences stand with the command, in the same form.
 *
 * In a sentence `{lean}` is a slot, filled with what the code hands over under that name. `~` is a
 * blank at which no line may end. `{bed|one|two|three}` says one of several things, each of which may
 * hold slots again, and nothing when there are not as many:
 *
 *     slot                          says the first     the second        the third
 *     a condition                   when it is true    when it is not
 *     a choice                      when it is 0       1                 2 …
 *     a count                       of one             of none or many
 *     a text, a name, a sentence    that says a thing  that is empty
 *     a quantity                    that is known      that is NAN
 */

#include <perpend/ridge.h>

#include "text/words.h"

enum sentence {
#define SENTENCE(name, text) name,
#include "text/sentences/answer.inc"
#include "text/sentences/board.inc"
#include "text/sentences/drift.inc"
#include "text/sentences/gauge.inc"
#include "text/sentences/picture.inc"
#include "text/sentences/plan.inc"
#include "text/sentences/record.inc"
#include "text/sentences/ridge.inc"
#undef SENTENCE
    SENTENCE_COUNT
};

extern const char *const sentences[SENTENCE_COUNT];

enum slot_kind {
    SLOT_KIND_IF,
    SLOT_KIND_CHOICE,
    SLOT_KIND_COUNT,
    SLOT_KIND_TEXT,
    SLOT_KIND_NAME,
    SLOT_KIND_SENTENCE,
    SLOT_KIND_PRINTED,
    SLOT_KIND_FACING,
    SLOT_KIND_GOAL,
    SLOT_KIND_MOVED,
    SLOT_KIND_NUMBER, /* from here on quantities: NAN when not known */
    SLOT_KIND_ROUNDED,
    SLOT_KIND_PLUS_MINUS,
    SLOT_KIND_BARE,
    SLOT_KIND_STATED,
    SLOT_KIND_THICKNESS,
    SLOT_KIND_READING,
    SLOT_KIND_RIDGE,
    SLOT_KIND_RIDGE_RANGE,
    SLOT_KIND_CHANCE,
    SLOT_KIND_BEARING,
    SLOT_KIND_FEED,
    SLOT_KIND_GAUGE,
    SLOT_KIND_ARM
};

/** A thing to fill in: made by one of the macros below, said as the function words_… says it. */
struct slot {
    const char *name;
    enum slot_kind kind;
    double value, more, most;
    enum words_kind of;
    const char *text;
    const struct perpend_facing *facing;
    const struct perpend_goal *goal;
    struct perpend_point point;
};

#define SLOT(...)                                                                                  \
    {                                                                                              \
        __VA_ARGS__                                                                                \
    }
#define SLOT_IF(n, condition) SLOT(.name = (n), .kind = SLOT_KIND_IF, .value = (condition) ? 0 : 1)
#define SLOT_CHOICE(n, choice)                                                                     \
    SLOT(.name = (n), .kind = SLOT_KIND_CHOICE, .value = (double)(choice))
/** A chance, said in the words of five alternatives: see words_odds. */
#define SLOT_ODDS(n, chance) SLOT_CHOICE(n, words_odds(chance))
#define SLOT_COUNT(n, count) SLOT(.name = (n), .kind = SLOT_KIND_COUNT, .value = (double)(count))
/** A phrase, its glue and all; a name that somebody gave, on a screen and in print, where it keeps its
 *  writing direction to itself. The text must outlive the call. */
#define SLOT_TEXT(n, phrase) SLOT(.name = (n), .kind = SLOT_KIND_TEXT, .text = (phrase))
#define SLOT_NAME(n, given) SLOT(.name = (n), .kind = SLOT_KIND_NAME, .text = (given))
#define SLOT_PRINTED(n, given) SLOT(.name = (n), .kind = SLOT_KIND_PRINTED, .text = (given))
/** Another sentence, filled from the same slots; "" for none. */
#define SLOT_SENTENCE(n, said) SLOT(.name = (n), .kind = SLOT_KIND_SENTENCE, .text = (said))
#define SLOT_FACING(n, way) SLOT(.name = (n), .kind = SLOT_KIND_FACING, .facing = (way))
#define SLOT_GOAL(n, set) SLOT(.name = (n), .kind = SLOT_KIND_GOAL, .goal = (set))
#define SLOT_MOVED(n, by, exact)                                                                   \
    SLOT(.name = (n), .kind = SLOT_KIND_MOVED, .point = (by), .value = (exact) ? 1 : 0)
#define SLOT_QUANTITY(n, k, o, v, m)                                                               \
    SLOT(.name = (n), .kind = (k), .of = (o), .value = (v), .more = (m))
#define SLOT_NUMBER(n, v, decimals) SLOT_QUANTITY(n, SLOT_KIND_NUMBER, WORDS_SMALL, v, decimals)
#define SLOT_ROUNDED(n, o, v, expanded) SLOT_QUANTITY(n, SLOT_KIND_ROUNDED, o, v, expanded)
#define SLOT_PLUS_MINUS(n, o, v, expanded) SLOT_QUANTITY(n, SLOT_KIND_PLUS_MINUS, o, v, expanded)
#define SLOT_BARE(n, o, v, expanded) SLOT_QUANTITY(n, SLOT_KIND_BARE, o, v, expanded)
#define SLOT_STATED(n, o, v) SLOT_QUANTITY(n, SLOT_KIND_STATED, o, v, 0)
#define SLOT_READING(n, v, step) SLOT_QUANTITY(n, SLOT_KIND_READING, WORDS_LARGE, v, step)
#define SLOT_RIDGE(n, v) SLOT_QUANTITY(n, SLOT_KIND_RIDGE, WORDS_SMALL, v, 0)
#define SLOT_RIDGE_RANGE(n, v, low, high)                                                          \
    SLOT(.name = (n), .kind = SLOT_KIND_RIDGE_RANGE, .value = (v), .more = (low), .most = (high))
#define SLOT_CHANCE(n, v) SLOT_QUANTITY(n, SLOT_KIND_CHANCE, WORDS_SMALL, v, 0)
#define SLOT_BEARING(n, v) SLOT_QUANTITY(n, SLOT_KIND_BEARING, WORDS_SMALL, v, 0)
#define SLOT_FEED(n, along) SLOT_QUANTITY(n, SLOT_KIND_FEED, WORDS_SMALL, along, 0)
#define SLOT_THICKNESS(n, v) SLOT_QUANTITY(n, SLOT_KIND_THICKNESS, WORDS_SMALL, v, 0)
#define SLOT_GAUGE(n, step) SLOT_QUANTITY(n, SLOT_KIND_GAUGE, WORDS_SMALL, step, 0)
#define SLOT_ARM(n, length) SLOT_QUANTITY(n, SLOT_KIND_ARM, WORDS_LARGE, length, 0)

/** The slots of one call, ended by one without a name. */
#define SLOTS(...) ((const struct slot[]){__VA_ARGS__, {.name = NULL}})

/**
 * Say a sentence: add it to a phrase, or as a paragraph of its own to words->out behind `lead`.
 *
 * Given:    words     the unit that people see
 *           sentence  as above
 *           slots     by SLOTS; NULL for none. More than the sentence asks for do no harm; one that is
 *                     missing shows as {name?}
 * Returned: phrase    the sentence added, behind a blank when fill_next finds something there
 */
void fill(const struct words *words, struct buffer *phrase, const char *sentence,
    const struct slot *slots);
void fill_next(const struct words *words, struct buffer *phrase, const char *sentence,
    const struct slot *slots);
void say_sentence(
    struct words *words, const char *lead, const char *sentence, const struct slot *slots);

/** Set a phrase as a paragraph behind `lead`, if it says anything, and release it. */
void say_and_finish(struct words *words, const char *lead, struct buffer *phrase);

#endif
