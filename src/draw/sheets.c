/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/plot.h"
#include "draw/sheets.h"

#define MARGIN 40.0
#define LINES 30 /* of what is said */

/** How to use the chart, a paragraph each. Value: where that ends. */
static double add_uses(struct figure *sheet, const struct perpend_machine *machine,
    const struct perpend_slope *lean, double x, double y)
{
    const struct words words = {.unit = machine->unit};
    struct buffer text = {0};
    fill(&words, &text, sentences[PICTURE_CHART_USE],
        SLOTS(SLOT_IF("read", machine->setup.arm.length > 0),
            SLOT_STATED("goal", WORDS_SMALL, machine->goal.ridge),
            SLOT_IF("marked", lean != NULL)));
    y += figure_paragraph(
        sheet, starting(LETTER_PLAIN, INK_TEXT), at(x, y), FIGURE_WIDTH, LINES, buffer_text(&text));
    buffer_finish(&text);
    return y;
}

/* A4, lying */
#define WALL_WIDTH (297 / 25.4 * 96)
#define WALL_HEIGHT (210 / 25.4 * 96)

struct figure *sheet_of_ridge(
    const struct perpend_machine *machine, const struct perpend_slope *lean)
{
    const struct perpend_facing *facing = &machine->facing;
    const struct words words = {.unit = machine->unit};
    const bool across_x = !facing->both_ways && fabs(sin(facing->along)) < 0.5;
    const double gap = (WALL_WIDTH - 2 * MARGIN - 3 * FIGURE_WIDTH) / 2;
    struct figure *sheet = figure_create(WALL_WIDTH, WALL_HEIGHT);
    struct buffer head = {0};
    struct buffer use = {0};
    const struct slot *slots = SLOTS(SLOT_PRINTED("machine", machine->name),
        SLOT_IF("read", machine->setup.arm.length > 0),
        SLOT_STATED("bit", WORDS_LARGE, machine->cutter.diameter),
        SLOT_STATED("corner", WORDS_LARGE,
            machine->cutter.corner > 0 ? machine->cutter.corner : (double)NAN),
        SLOT_IF("both_ways", facing->both_ways), SLOT_FEED("feed", facing->along),
        SLOT_STATED("arm", WORDS_LARGE,
            machine->setup.arm.length > 0 ? machine->setup.arm.length : (double)NAN),
        SLOT_TEXT("unit", words_unit_name(&words, WORDS_SMALL)),
        SLOT_STATED("goal", WORDS_SMALL, machine->goal.ridge));
    fill(&words, &head, sentences[PICTURE_CHART_HEAD], slots);
    fill(&words, &use, sentences[PICTURE_CHART_FOR], slots);
    figure_text(sheet, starting(LETTER_HEAD, INK_TEXT), at(MARGIN, 54), WALL_WIDTH - 2 * MARGIN,
        buffer_text(&head));
    figure_paragraph(sheet, starting(LETTER_TITLE, INK_SOFT), at(MARGIN, 84),
        WALL_WIDTH - 2 * MARGIN, 2, buffer_text(&use));
    figure_describe(sheet, buffer_text(&head), buffer_text(&use));
    for (int i = 0; i < 2; i++) { /* the pair that makes steps first */
        const double bearing = (i == 1) == across_x ? 0 : PERPEND_PI / 2;
        struct figure *chart = figure_chart(machine, bearing, lean);
        figure_place(sheet, chart, at(MARGIN + i * (FIGURE_WIDTH + gap), 120), 1);
        figure_destroy(chart);
    }
    const double x = MARGIN + 2 * (FIGURE_WIDTH + gap);
    const double below = add_uses(sheet, machine, lean, x, 138) + 20;
    if (lean != NULL) {
        const struct floor_lean now = {*lean, "with this lean", false};
        struct figure *cut = figure_floor(machine, &now, NULL);
        figure_place(sheet, cut, at(x, below), 1);
        figure_destroy(cut);
    }
    buffer_finish(&head);
    buffer_finish(&use);
    return sheet;
}
