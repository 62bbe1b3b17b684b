/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>

#include "text/about.h"
#include "text/board.h"

#define MAP_COLUMNS 8
#define MAP_ROWS 5
#define BIG_BIT 25.0      /* mm, on a quarter-inch collet; common practice, no source */
#define NOTHING_LEFT 5e-3 /* of the board: less is not worth a figure */
#define CLEAR 0.04        /* mm; so finely is a height told */

#define SLOTS_PLACE(prefix, x, y)                                                                  \
    SLOT_STATED(prefix "x", WORDS_LARGE, x), SLOT_STATED(prefix "y", WORDS_LARGE, y)

static void say_pass(struct words *words, const struct board_survey *board, unsigned pass)
{
    const double depth = pass * board->machine->facing.depth;
    const double share = perpend_cleanup_share(&board->cleanup, depth);
    const double chance = perpend_cleanup_chance(&board->cleanup, depth);
    say_sentence(words, "  ", sentences[BOARD_PASS],
        SLOTS(SLOT_NUMBER("pass", pass, 0), SLOT_STATED("depth", WORDS_SMALL, depth),
            SLOT_IF("none", share < NOTHING_LEFT && words_odds(chance) < 3),
            SLOT_ODDS("odds", chance), SLOT_NUMBER("share", fmax(100.0 * share, 1.0), 0)));
}

/* Heights under Z at spots of the grid, the back above, each with the pass that cuts it. */
static void draw_map(struct words *words, const struct board_survey *board)
{
    const struct perpend_cleanup *cleanup = &board->cleanup;
    struct buffer map = {0};
    say_sentence(words, "", sentences[BOARD_MAP],
        SLOTS(SLOT_TEXT("unit", words_unit_name(words, WORDS_SMALL))));
    buffer_addf(&map, "%*s\n", 9 * MAP_COLUMNS / 2 + 2, "back");
    for (size_t row = MAP_ROWS; row-- > 0;) {
        for (size_t column = 0; column < MAP_COLUMNS; column++) {
            const struct perpend_cell *cell =
                &cleanup->cell[row * (cleanup->rows - 1) / (MAP_ROWS - 1) * cleanup->columns +
                               column * (cleanup->columns - 1) / (MAP_COLUMNS - 1)];
            char number[24];
            perpend_number_format(number, sizeof number,
                words_shown(words, WORDS_SMALL, cell->fall),
                words->unit == PERPEND_UNIT_INCH ? 0 : 2);
            buffer_addf(&map, "%6s:%-2.0f", number,
                fmax(ceil(cell->fall / board->machine->facing.depth), 1.0));
        }
        buffer_add(&map, "\n");
    }
    buffer_addf(&map, "%*s\n", 9 * MAP_COLUMNS / 2 + 2, "front");
    buffer_add(&words->out, buffer_text(&map));
    words->out.failed |= map.failed;
    buffer_finish(&map);
}

/* Its sentences, all from the same slots. */
static void say_survey(
    struct words *words, const struct board_survey *board, const struct slot *slots)
{
    const unsigned passes = board->cleanup.passes;
    struct buffer verdict = {0};
    say_sentence(words, "", sentences[BOARD_HEADING], slots);
    fill(words, &verdict, sentences[BOARD_VERDICT], slots);
    words_strong(words, buffer_text(&verdict));
    buffer_finish(&verdict);
    say_sentence(words, "", sentences[BOARD_LIES], slots);
    say_sentence(words, "", sentences[BOARD_ZERO], slots);
    for (unsigned pass = 1; pass <= passes; pass++)
        if (pass < PERPEND_PASSES_SHOWN || pass == passes)
            say_pass(words, board, pass);
    say_sentence(words, "", sentences[BOARD_TAKES], slots);
    draw_map(words, board);
    if (!board->machine->setup.bed_faced)
        say_sentence(words, "", sentences[BOARD_BED], slots);
}

void board_survey_words(struct words *words, const struct board_survey *board)
{
    const struct perpend_machine *machine = board->machine;
    const struct perpend_survey *survey = &board->survey;
    const struct perpend_cleanup *cleanup = &board->cleanup;
    const struct perpend_board *stated = &machine->bench.board;
    const struct perpend_slope_covariance *c = &survey->covariance;
    const struct perpend_reading *touch = board->touches->readings, *top = &touch[survey->top],
                                 *bottom = &touch[survey->bottom];
    const bool hit = cleanup->hit < stated->metal_count;
    const bool wrong = survey->suspect.index != PERPEND_FIT_NO_SUSPECT;
    const struct perpend_metal none = {NAN, NAN, NAN},
                               *metal = hit ? &stated->metal[cleanup->hit] : &none;
    const double stays = stated->thickness - cleanup->taken, step = machine->setup.gauge.step;
    const struct perpend_reading *suspect = wrong ? &touch[survey->suspect.index] : top;
    say_survey(words, board,
        SLOTS(SLOT_NAME("machine", machine->name),
            SLOT_STATED("wide", WORDS_LARGE, survey->area.wide),
            SLOT_STATED("deep", WORDS_LARGE, survey->area.deep),
            SLOT_COUNT("count", survey->touch_count),
            SLOT_CHOICE("verdict", hit            ? 0
                                   : stays <= 0.0 ? 1
                                   : wrong        ? 2
                                                  : 3),
            SLOT_STATED("under", WORDS_LARGE, metal->under),
            SLOTS_PLACE("metal_", metal->x, metal->y),
            SLOTS_PLACE("suspect_", suspect->x, suspect->y),
            SLOT_READING("reading", suspect->value, step),
            SLOT_READING("expected", survey->suspect.expected, step),
            SLOT_COUNT("passes", cleanup->passes),
            SLOT_STATED("depth", WORDS_SMALL, machine->facing.depth),
            SLOTS_OF_LEAN("", survey->slope, survey->covariance),
            SLOT_IF("checked", survey->touch_count > 3),
            SLOT_ROUNDED("waves", WORDS_SMALL, survey->waves, 0.5 * survey->waves),
            SLOT_ROUNDED("over", WORDS_SMALL, survey->over, CLEAR),
            SLOT_ROUNDED("below", WORDS_SMALL, survey->under, CLEAR),
            SLOT_ROUNDED("flatness", WORDS_SMALL, survey->over + survey->under, CLEAR),
            SLOTS_PLACE("top_", top->x, top->y), SLOTS_PLACE("bottom_", bottom->x, bottom->y),
            SLOT_CHOICE("zero", board->zero),
            SLOTS_PLACE("", cleanup->zero.right, cleanup->zero.back),
            SLOT_ROUNDED("even", WORDS_SMALL, cleanup->even, CLEAR),
            SLOT_ROUNDED("sure", WORDS_SMALL, cleanup->sure, CLEAR),
            SLOT_ROUNDED("first", WORDS_SMALL, cleanup->first, CLEAR),
            SLOT_ROUNDED("stays", WORDS_LARGE, fmax(stays, 0.0), 0.4),
            SLOT_STATED("thickness", WORDS_LARGE, stated->thickness), SLOT_TEXT("open", "{"),
            SLOT_TEXT("close", "}"),
            SLOT_NUMBER("slope_right", PERPEND_MM_PER_METRE * survey->slope.right, 2),
            SLOT_NUMBER("slope_back", PERPEND_MM_PER_METRE * survey->slope.back, 2),
            SLOT_NUMBER(
                "slope_sure", PERPEND_MM_PER_METRE * sqrt(fmax(c->right_right, c->back_back)), 3),
            SLOT_NUMBER("flat", words_shown(words, WORDS_LARGE, survey->waves), 4)));
}

/* ---- facing ---- */

/* What is said of one way to face, from one sentence to another, by the same slots for all. */
static void say_way(struct words *words, const struct perpend_machine *machine,
    const struct perpend_facing_plan *plan, size_t which, enum sentence from, enum sentence to)
{
    const struct perpend_passes *way = &plan->way[which];
    const struct perpend_area *path = &way->path;
    const struct perpend_bench *bench = &machine->bench;
    const bool inch = words->unit == PERPEND_UNIT_INCH;
    const double minutes = round(fmax(way->minutes, 1.0)), hours = floor(minutes / 60.0);
    for (enum sentence said = from; said <= to; said++) {
        if (said == FACING_TYPE || said == FACING_CARE)
            words_gap(words);
        say_sentence(words, said == FACING_TYPED ? "  " : "", sentences[said],
            SLOTS(SLOT_FEED("along", which == 1 ? PERPEND_ALONG_Y : PERPEND_ALONG_X),
                SLOT_COUNT("count", way->count),
                SLOT_NUMBER("path", way->length / (inch ? 304.8 : 1000.0), 0),
                SLOT_IF("inch", inch), SLOT_IF("time", !isnan(way->minutes)),
                SLOT_NUMBER("hours", hours > 0.0 ? hours : (double)NAN, 0),
                SLOT_NUMBER("minutes", minutes - 60.0 * hours, 0), SLOT_RIDGE("ridge", way->ridge),
                SLOT_STATED("goal", WORDS_SMALL, machine->goal.ridge),
                SLOT_STATED("from_x", WORDS_LARGE, path->x),
                SLOT_STATED("to_x", WORDS_LARGE, path->x + path->wide),
                SLOT_STATED("from_y", WORDS_LARGE, path->y),
                SLOT_STATED("to_y", WORDS_LARGE, path->y + path->deep),
                SLOT_STATED("stepover", WORDS_LARGE, machine->facing.stepover),
                SLOT_STATED("depth", WORDS_SMALL, machine->facing.depth),
                SLOT_STATED("feed", WORDS_LARGE, bench->feed),
                SLOT_NUMBER("speed", bench->speed, 0), SLOT_NUMBER("rim", plan->rim, 1),
                SLOT_IF("shallow", way->ridge > machine->facing.depth),
                SLOT_IF("big", machine->cutter.diameter > BIG_BIT * 1.02), /* an inch is meant */
                SLOT_STATED("bit", WORDS_LARGE, machine->cutter.diameter),
                SLOT_STATED("most", WORDS_LARGE, BIG_BIT),
                SLOT_IF("short", isfinite(fmax(fmax(plan->strip[0], plan->strip[1]),
                                     fmax(plan->strip[2], plan->strip[3])))),
                SLOT_STATED("left", WORDS_LARGE, plan->strip[0]),
                SLOT_STATED("right", WORDS_LARGE, plan->strip[1]),
                SLOT_STATED("front", WORDS_LARGE, plan->strip[2]),
                SLOT_STATED("back", WORDS_LARGE, plan->strip[3])));
    }
}

void board_facing_words(struct words *words, const struct perpend_machine *machine,
    const struct perpend_facing_plan *plan)
{
    say_way(words, machine, plan, plan->advised, FACING_ADVICE, FACING_WAY);
    say_way(words, machine, plan, 1 - plan->advised, FACING_WAY, FACING_WAY);
    say_way(words, machine, plan, plan->advised, FACING_NOT_REACHED, FACING_CARE);
}
