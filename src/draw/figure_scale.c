/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "draw/figures.h"
#include "draw/plot.h"
#include "files/moment.h"

#define LEFT 196.0 /* px, room for names and heights */
#define RIGHT (FIGURE_WIDTH - 10)
#define BAR 13.0
#define ROW 19.0
#define TOP 20.0
#define SHOWN 12 /* jobs of the history, the latest */

/** An interval, on a light ground, whatever lies below. */
static void draw_whiskers(struct figure *figure, double from, double to, double middle)
{
    for (int wide = 1; wide >= 0; wide--) {
        const struct style line = wide ? pen(INK_PAPER, 5) : pen(INK_TEXT, 1.8);
        figure_line(figure, line, at(from, middle), at(to, middle));
        figure_line(figure, line, at(from, middle - 4.5), at(from, middle + 4.5));
        figure_line(figure, line, at(to, middle - 4.5), at(to, middle + 4.5));
    }
}

/** A ridge with its interval, as a bar over a ruled scale. */
static void draw_bar(struct figure *figure, const struct axis *axis, const struct words *words,
    const struct ridge_bar *bar, double top)
{
    struct buffer height = {0};
    words_ridge(words, &height, bar->height);
    const double before = LEFT - 14 - text_width(LETTER_SMALL_STRONG, buffer_text(&height));
    figure_text(figure, ending(LETTER_SMALL, bar->ink), at(before, top + 11), before, bar->name);
    buffer_finish(&height);
    figure_say(figure, words, ending(LETTER_SMALL_STRONG, bar->ink), at(LEFT - 6, top + 11),
        PICTURE_HEIGHT, SLOTS(SLOT_IF("stated", false), SLOT_RIDGE("ridge", bar->height)));
    const double end = axis_at(axis, fmin(bar->height, axis->high));
    const struct spot corners[2] = {{LEFT, top}, {end, top}};
    const struct box box = {LEFT, top, end - LEFT, BAR};
    figure_box(figure, surface(bar->ink == INK_WITHIN ? INK_WITHIN : INK_PAPER), box);
    if (bar->ink != INK_WITHIN)
        figure_hatch(figure, bar->ink, corners, 2, top + BAR);
    figure_box(figure, pen(bar->ink, 1.3), box);
    if (isfinite(bar->low) && isfinite(bar->high))
        draw_whiskers(figure, axis_at(axis, bar->low), axis_at(axis, fmin(bar->high, axis->high)),
            top + BAR / 2);
}

/** The goals that stood, one piece a bar. */
static void draw_goals(struct figure *figure, const struct axis *axis, const struct words *words,
    const struct ridge_bar *bars, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const double x = axis_at(axis, bars[i].goal);
        const double top = TOP + (double)i * ROW;
        if (!isfinite(bars[i].goal))
            continue;
        figure_line(figure, pen(INK_PAPER, 6), at(x, top - (i == 0 ? 3 : 0)), at(x, top + ROW));
        figure_line(figure, pen(INK_TEXT, 3), at(x, top - (i == 0 ? 4 : 0)), at(x, top + ROW));
    }
    if (isfinite(bars[0].goal))
        figure_say(figure, words, centred(LETTER_SMALL_STRONG, INK_TEXT),
            at(fmax(axis_at(axis, bars[0].goal), LEFT + 20), 11), PICTURE_GOAL,
            SLOTS(SLOT_STATED("goal", WORDS_SMALL, bars[0].goal)));
}

static struct figure *draw_scale(
    const struct words *words, const struct ridge_bar *bars, size_t count)
{
    const double bottom = TOP + (double)count * ROW + 2;
    struct figure *figure = figure_create(FIGURE_WIDTH, bottom + 22);
    double most = 1e-6; /* fmax passes over NAN */
    for (size_t i = 0; i < count; i++)
        most = fmax(fmax(most, isfinite(bars[i].goal) ? 1.6 * bars[i].goal : 0),
            isfinite(bars[i].high) ? 1.02 * bars[i].high : 0);
    const struct axis axis = {0, most, false, LEFT, RIGHT};
    plot_ruler(figure, words,
        &(struct ruler){axis, WORDS_SMALL, false, bottom, TOP, LETTER_SMALL, INK_SOFT});
    figure_line(figure, pen(INK_TEXT, 1.2), at(LEFT, bottom), at(RIGHT, bottom));
    figure_text(figure, ending(LETTER_SMALL, INK_SOFT), at(LEFT - 12, bottom + 16), 0,
        words_unit_name(words, WORDS_SMALL));
    for (size_t i = 0; i < count; i++)
        if (!isnan(bars[i].height))
            draw_bar(figure, &axis, words, &bars[i], TOP + 3 + (double)i * ROW);
    draw_goals(figure, &axis, words, bars, count);
    return figure;
}

struct figure *figure_scale(
    const struct perpend_machine *machine, const struct ridge_bar *bars, size_t count)
{
    const struct words words = {.unit = machine->unit};
    struct figure *figure = draw_scale(&words, bars, count);
    plot_describe(figure, &words, PICTURE_SCALE_TITLE, PICTURE_SCALE,
        SLOTS(SLOT_TEXT("first_name", bars[0].name),
            SLOT_TEXT("second_name", count > 1 ? bars[1].name : ""),
            SLOT_RIDGE("first", bars[0].height), SLOT_RIDGE("second", bars[count - 1].height),
            SLOT_STATED("goal", WORDS_SMALL, bars[0].goal)));
    return figure;
}

struct figure *figure_history(
    const struct perpend_machine *machine, const struct past_job *jobs, size_t count)
{
    const struct words words = {.unit = machine->unit};
    struct ridge_bar bars[2 * SHOWN] = {{.goal = (double)NAN}};
    char days[SHOWN][MOMENT_TEXT];
    const size_t first = count > SHOWN ? count - SHOWN : 0;
    for (size_t i = first; i < count; i++) {
        const struct past_job *job = &jobs[i];
        char *day = moment_text(days[i - first], &job->date);
        day[strcspn(day, " ")] = '\0';
        for (size_t k = 0; k < 2; k++) { /* found, left */
            const struct past_ridge *ridge = k == 0 ? &job->found : &job->now;
            bars[2 * (i - first) + k] =
                (struct ridge_bar){k == 0 ? day : "left", ridge->height, ridge->low, ridge->high,
                    ink_judged(&(struct perpend_goal){job->goal, NAN}, ridge->height,
                        (struct perpend_slope){0, 0}),
                    job->goal};
        }
    }
    struct figure *figure = draw_scale(&words, bars, 2 * (count - first));
    plot_describe(figure, &words, PICTURE_HISTORY_TITLE, PICTURE_HISTORY,
        SLOTS(SLOT_COUNT("number", count - first)));
    return figure;
}
