/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "draw/figures.h"
#include "draw/plot.h"

#define LEFT 196.0 /* px, room for names and heights */
#define BAR 13.0
#define ROW 23.0
#define TOP 20.0

/** A ridge with its interval, as a bar over a ruled scale. */
static void draw_bar(struct figure *figure, const struct axis *axis, const struct words *words,
    const struct ridge_bar *bar, double top)
{
    const double end = axis_at(axis, fmin(bar->height, axis->high));
    const double middle = top + BAR / 2;
    const double whiskers[2] = {
        axis_at(axis, bar->low), axis_at(axis, fmin(bar->high, axis->high))};
    const struct spot corners[2] = {{LEFT, top}, {end, top}};
    const struct box box = {LEFT, top, end - LEFT, BAR};
    struct buffer height = {0};
    words_ridge(words, &height, bar->height);
    const double before = LEFT - 14 - text_width(LETTER_SMALL_STRONG, buffer_text(&height));
    figure_text(figure, ending(LETTER_SMALL, bar->ink), at(before, top + 11), 0, bar->name);
    buffer_finish(&height);
    figure_say(figure, words, ending(LETTER_SMALL_STRONG, bar->ink), at(LEFT - 6, top + 11),
        PICTURE_HEIGHT, SLOTS(SLOT_IF("stated", false), SLOT_RIDGE("ridge", bar->height)));
    figure_box(figure, surface(bar->ink == INK_WITHIN ? INK_WITHIN : INK_PAPER), box);
    if (bar->ink != INK_WITHIN)
        figure_hatch(figure, bar->ink, corners, 2, top + BAR);
    figure_box(figure, pen(bar->ink, 1.3), box);
    if (!isfinite(bar->high))
        return;
    for (int wide = 1; wide >= 0; wide--) { /* on a light ground, whatever lies below */
        const struct style line = wide ? pen(INK_PAPER, 5) : pen(INK_TEXT, 1.8);
        figure_line(figure, line, at(whiskers[0], middle), at(whiskers[1], middle));
        for (int i = 0; i < 2; i++)
            figure_line(figure, line, at(whiskers[i], middle - 4.5), at(whiskers[i], middle + 4.5));
    }
}

struct figure *figure_scale(
    const struct perpend_machine *machine, const struct ridge_bar *bars, size_t count)
{
    const struct words words = {.unit = machine->unit};
    const double goal = machine->goal.ridge;
    const double bottom = TOP + (double)count * ROW;
    struct figure *figure = figure_create(FIGURE_WIDTH, bottom + 22);
    double ticks[AXIS_TICKS_MOST];
    double most = isfinite(goal) ? 1.6 * goal : 0;
    char text[AXIS_TEXT];
    for (size_t i = 0; i < count; i++)
        most = fmax(most, isfinite(bars[i].high) ? 1.02 * bars[i].high : 0);
    struct axis axis = {0, fmax(most, 1e-6), false, LEFT, FIGURE_WIDTH - 10};
    struct axis shown = axis; /* in the unit that people see */
    shown.high = words_shown(&words, WORDS_SMALL, axis.high);
    const size_t marks = axis_ticks(&shown, 4, ticks);
    figure_line(figure, pen(INK_TEXT, 1.2), at(LEFT, bottom), at(FIGURE_WIDTH - 10, bottom));
    for (size_t i = 0; i < marks; i++) {
        const double x = axis_at(&shown, ticks[i]);
        figure_line(figure, pen(INK_GRID, 0.8), at(x, TOP), at(x, bottom));
        figure_line(figure, pen(INK_TEXT, 1.2), at(x, bottom), at(x, bottom + 4));
        figure_text(figure, centred(LETTER_SMALL, INK_SOFT), at(x, bottom + 16), 0,
            axis_text(ticks[i], text));
    }
    figure_text(figure, ending(LETTER_SMALL, INK_SOFT), at(LEFT - 12, bottom + 16), 0,
        words_unit_name(&words, WORDS_SMALL));
    for (size_t i = 0; i < count; i++)
        draw_bar(figure, &axis, &words, &bars[i], TOP + 4 + (double)i * ROW);
    if (isfinite(goal)) {
        const double x = axis_at(&axis, goal);
        const struct slot *slots = SLOTS(SLOT_STATED("goal", WORDS_SMALL, goal));
        figure_line(figure, pen(INK_PAPER, 6), at(x, TOP - 3), at(x, bottom + 1));
        figure_line(figure, pen(INK_TEXT, 3), at(x, TOP - 4), at(x, bottom + 2));
        figure_say(figure, &words, centred(LETTER_SMALL_STRONG, INK_TEXT),
            at(fmax(x, LEFT + 20), 11), PICTURE_GOAL, slots);
    }
    plot_describe(figure, &words, PICTURE_SCALE_TITLE, PICTURE_SCALE,
        SLOTS(SLOT_TEXT("first_name", bars[0].name),
            SLOT_TEXT("second_name", count > 1 ? bars[1].name : ""),
            SLOT_RIDGE("first", bars[0].height), SLOT_RIDGE("second", bars[count - 1].height),
            SLOT_STATED("goal", WORDS_SMALL, goal)));
    return figure;
}
