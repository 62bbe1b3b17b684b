/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "text/escape.h"
#include "text/sentences.h"

const char *const sentences[SENTENCE_COUNT] = {
#define SENTENCE(name, text) [name] = (text),
#include "text/sentences/answer.inc"
#include "text/sentences/board.inc"
#include "text/sentences/drift.inc"
#include "text/sentences/gauge.inc"
#include "text/sentences/picture.inc"
#include "text/sentences/plan.inc"
#include "text/sentences/record.inc"
#include "text/sentences/ridge.inc"
#undef SENTENCE
};

static void say_quantity(const struct words *words, struct buffer *phrase, const struct slot *slot)
{
    const enum words_kind of = slot->of;
    const double value = slot->value, more = slot->more;
    switch (slot->kind) {
    case SLOT_KIND_NUMBER:
        buffer_add_number(phrase, value, (int)more);
        break;
    case SLOT_KIND_ROUNDED:
        words_rounded(words, phrase, of, value, more);
        break;
    case SLOT_KIND_PLUS_MINUS:
        words_plus_minus(words, phrase, of, value, more);
        break;
    case SLOT_KIND_BARE:
        words_plus_minus_bare(words, phrase, of, value, more);
        break;
    case SLOT_KIND_STATED:
        words_stated(words, phrase, of, value);
        break;
    case SLOT_KIND_THICKNESS:
        words_thickness(words, phrase, value);
        break;
    case SLOT_KIND_READING:
        words_reading(words, phrase, value, more);
        break;
    case SLOT_KIND_RIDGE:
        words_ridge(words, phrase, value);
        break;
    case SLOT_KIND_RIDGE_RANGE:
        words_ridge_range(words, phrase, value, more, slot->most);
        break;
    case SLOT_KIND_CHANCE:
        words_chance(phrase, value);
        break;
    case SLOT_KIND_BEARING:
        words_bearing(phrase, value);
        break;
    case SLOT_KIND_FEED:
        words_feed(phrase, value);
        break;
    case SLOT_KIND_GAUGE:
        words_gauge_step(words, phrase, value);
        break;
    case SLOT_KIND_ARM:
        words_arm(words, phrase, value);
        break;
    default:
        return;
    }
}

static void say_slot(const struct words *words, struct buffer *phrase, const struct slot *slot,
    const struct slot *slots)
{
    char *name;
    switch (slot->kind) {
    case SLOT_KIND_IF:
    case SLOT_KIND_CHOICE:
        return; /* these choose, and say nothing themselves */
    case SLOT_KIND_COUNT:
        buffer_add_number(phrase, slot->value, 0);
        break;
    case SLOT_KIND_TEXT:
        buffer_add(phrase, slot->text);
        break;
    case SLOT_KIND_NAME:
        words_name(phrase, slot->text);
        break;
    case SLOT_KIND_SENTENCE:
        fill(words, phrase, slot->text, slots);
        break;
    case SLOT_KIND_PRINTED:
        name = isolated_name(slot->text);
        buffer_add(phrase, name);
        free(name);
        break;
    case SLOT_KIND_FACING:
        words_facing(phrase, slot->facing);
        break;
    case SLOT_KIND_GOAL:
        words_goal(words, phrase, slot->goal);
        break;
    case SLOT_KIND_MOVED:
        words_displacement(words, phrase, slot->point, slot->value > 0);
        break;
    default:
        say_quantity(words, phrase, slot);
        break;
    }
}

/* Which of several things a slot says: see the table in sentences.h. */
static size_t chosen(const struct slot *slot)
{
    bool says;
    switch (slot->kind) {
    case SLOT_KIND_IF:
    case SLOT_KIND_CHOICE:
        return (size_t)slot->value;
    case SLOT_KIND_COUNT:
        says = slot->value == 1.0;
        break;
    case SLOT_KIND_TEXT: /* a lost one is let through, to be noticed */
        says = slot->text == NULL || *slot->text != '\0' || buffer_text_is_lost(slot->text);
        break;
    case SLOT_KIND_NAME:
    case SLOT_KIND_SENTENCE:
    case SLOT_KIND_PRINTED:
        says = slot->text != NULL && *slot->text != '\0';
        break;
    case SLOT_KIND_GOAL:
        says = perpend_goal_is_set(slot->goal);
        break;
    default:
        says = !isnan(slot->value);
        break;
    }
    return says ? 0 : 1;
}

/* The end of a part: the next of `ends` that stands outside further braces. */
static const char *part_end(const char *at, const char *limit, const char *ends)
{
    for (int depth = 0; at < limit; at++) {
        if (depth == 0 && strchr(ends, *at) != NULL)
            break;
        depth += (*at == '{') - (*at == '}');
    }
    return at;
}

static const struct slot *slot_named(const struct slot *slots, const char *name, size_t length)
{
    for (; slots != NULL && slots->name != NULL; slots++)
        if (strlen(slots->name) == length && strncmp(slots->name, name, length) == 0)
            return slots;
    return NULL;
}

static void fill_part(const struct words *words, struct buffer *phrase, const char *at,
    const char *end, const struct slot *slots)
{
    while (at < end) {
        if (*at != '{') {
            buffer_add_bytes(phrase, *at == '~' ? WORDS_GLUE : at, 1);
            at++;
            continue;
        }
        const char *close = part_end(at + 1, end, "}"), *bar = part_end(at + 1, close, "|");
        const struct slot *slot = slot_named(slots, at + 1, (size_t)(bar - at - 1));
        if (slot == NULL) {
            buffer_add_bytes(phrase, at, (size_t)(bar - at));
            buffer_add(phrase, "?}");
        } else if (bar == close) {
            say_slot(words, phrase, slot, slots);
        } else {
            size_t skip = chosen(slot);
            for (; skip > 0 && bar < close; skip--)
                bar = part_end(bar + 1, close, "|");
            if (bar < close)
                fill_part(words, phrase, bar + 1, part_end(bar + 1, close, "|"), slots);
        }
        at = close + 1;
    }
}

void fill(const struct words *words, struct buffer *phrase, const char *sentence,
    const struct slot *slots)
{
    fill_part(words, phrase, sentence, sentence + strlen(sentence), slots);
}

void fill_next(const struct words *words, struct buffer *phrase, const char *sentence,
    const struct slot *slots)
{
    buffer_add(phrase, phrase->length > 0 ? " " : "");
    fill(words, phrase, sentence, slots);
}

void say_and_finish(struct words *words, const char *lead, struct buffer *phrase)
{
    if (phrase->length > 0 || phrase->failed)
        words_paragraph(words, lead, buffer_text(phrase));
    buffer_finish(phrase);
}

void say_sentence(
    struct words *words, const char *lead, const char *sentence, const struct slot *slots)
{
    struct buffer phrase = {0};
    fill(words, &phrase, sentence, slots);
    say_and_finish(words, lead, &phrase);
}
