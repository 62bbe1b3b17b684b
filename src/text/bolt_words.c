/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a bolt gets in a step, in words. */
#include <math.h>

#include "text/bolt_words.h"

void words_thickness(const struct words *words, struct buffer *phrase, double thickness)
{
    words_rounded(words, phrase, WORDS_SMALL, thickness, fabs(thickness) < 0.1 ? 0.004 : 0.04);
}

static void add_stack(const struct words *words, struct buffer *phrase,
    const struct perpend_bolt_move *move, const struct perpend_stock *stock)
{
    for (size_t i = 0; i < move->stack_count; i++) {
        const struct perpend_stack_part *part = &move->stack[i];
        buffer_addf(phrase, "%s%u" WORDS_GLUE "×" WORDS_GLUE, i > 0 ? " + " : "", part->count);
        words_stated(words, phrase, WORDS_SMALL, part->thick);
        if (stock && part->leaf < stock->leaf_count && stock->leaves[part->leaf].name) {
            buffer_add(phrase, " ");
            words_name(phrase, stock->leaves[part->leaf].name);
        }
    }
}

void words_displacement(
    const struct words *words, struct buffer *phrase, struct perpend_point displacement)
{
    const double parts[] = {displacement.right, displacement.back, displacement.up};
    static const char *const plus[] = {"right", "back", "up"};
    static const char *const minus[] = {"left", "forward", "down"};
    double largest = fmax(fabs(parts[0]), fmax(fabs(parts[1]), fabs(parts[2])));
    size_t count = 0, place = 0;
    for (size_t i = 0; i < 3; i++)
        count += largest > 0.0 && fabs(parts[i]) >= largest / 20.0;
    if (count == 0)
        buffer_add(phrase, "not at all");
    for (size_t i = 0; i < 3 && count > 0; i++) {
        if (fabs(parts[i]) < largest / 20.0)
            continue;
        words_list_mark(phrase, place++, count);
        words_rounded(words, phrase, WORDS_SMALL, fabs(parts[i]), 0.04);
        buffer_addf(phrase, WORDS_GLUE "%s", parts[i] >= 0.0 ? plus[i] : minus[i]);
    }
}

void bolt_gets(const struct words *words, struct buffer *phrase, const struct perpend_step *step,
    size_t bolt, const struct perpend_stock *stock)
{
    const struct perpend_bolt_move *move = &step->bolts[bolt];
    if (step->move == PERPEND_MOVE_SHIM && move->amount.value != 0.0) {
        words_thickness(words, phrase, fabs(move->amount.value));
        if (move->amount.value < 0.0)
            buffer_add(phrase, " out");
        if (move->stack_count > 0) {
            buffer_add(phrase, ": ");
            add_stack(words, phrase, move, stock);
        }
    } else if (step->move == PERPEND_MOVE_SCREW && move->amount.value != 0.0) {
        buffer_add_number(phrase, fabs(move->amount.value), 2);
        buffer_add(
            phrase, move->amount.value > 0.0 ? WORDS_GLUE "turn in (" : WORDS_GLUE "turn out (");
        buffer_add_number(phrase, fabs(move->amount.value) * 360.0, 0);
        buffer_add(phrase, "°)");
    } else if (step->move == PERPEND_MOVE_SLIDE && bolt == step->pivot) {
        buffer_add(phrase, "keep snug: the pivot");
    } else if (step->move == PERPEND_MOVE_SLIDE) {
        buffer_add(phrase, "moves ");
        words_displacement(words, phrase, move->amount.shift);
    } else if (step->move == PERPEND_MOVE_SCREW) {
        buffer_add(phrase, "stays as it is");
    } else {
        buffer_add(phrase, "keep snug");
    }
}
