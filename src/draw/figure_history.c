/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "draw/figures.h"
#include "draw/letters.h"
#include "draw/plot.h"
#include "files/moment.h"

#define HEIGHT 150.0
#define LEFT 44.0
#define TOP 46.0
#define APART 3.0 /* px, found stands before now */

/** The expected ridge over the days, found and left job by job, against the goals of the time. */
struct history_view {
    struct words words;
    const struct past_job *jobs;
    size_t count;
    double days[HISTORY_MOST]; /* jobs of one day, or nearly, a little apart */
    struct axis x, y;          /* days; mm */
};

static double job_x(const struct history_view *view, size_t i)
{
    return axis_at(&view->x, view->days[i]);
}

static void choose_days(struct history_view *view)
{
    const size_t last = view->count - 1;
    const double first = (double)moment_days(&view->jobs[0].date);
    const double span = (double)moment_days(&view->jobs[last].date) - first;
    const double apart = fmax(1, span / 2) / (double)view->count;
    for (size_t i = 0; i <= last; i++) {
        view->days[i] = (double)moment_days(&view->jobs[i].date);
        if (i > 0)
            view->days[i] = fmax(view->days[i], view->days[i - 1] + apart);
    }
    view->x = (struct axis){
        first, fmax(view->days[last], first + 1e-3), false, LEFT + 12, FIGURE_WIDTH - 12};
}

static struct spot ridge_spot(
    const struct history_view *view, size_t i, const struct past_ridge *ridge)
{
    const bool now = ridge == &view->jobs[i].now;
    return at(job_x(view, i) + (now ? APART : -APART), axis_at(&view->y, ridge->height));
}

static void draw_ridge(struct figure *figure, const struct history_view *view, size_t i,
    const struct past_ridge *ridge)
{
    const enum ink ink = ink_against(view->jobs[i].goal, ridge->height);
    const struct spot spot = ridge_spot(view, i, ridge);
    if (!isfinite(ridge->height))
        return;
    if (isfinite(ridge->low) && isfinite(ridge->high))
        figure_line(figure, pen(ink, 1.2), at(spot.x, axis_at(&view->y, ridge->low)),
            at(spot.x, axis_at(&view->y, ridge->high)));
    figure_marker(figure, ink == INK_WITHIN ? MARKER_DOT : MARKER_RING, ink, spot, 3.6);
}

static void draw_jobs(struct figure *figure, const struct history_view *view)
{
    for (size_t i = 0; i < view->count; i++) {
        const struct past_job *job = &view->jobs[i];
        const double next = i + 1 < view->count ? job_x(view, i + 1) : view->x.to;
        const double y = axis_at(&view->y, job->goal);
        if (isfinite(job->goal)) /* as it was set then, up to the next job */
            figure_line(figure, pen(INK_TEXT, 2.4), at(i == 0 ? view->x.from : job_x(view, i), y),
                at(next, y));
        if (isfinite(job->found.height) && isfinite(job->now.height))
            figure_line(figure, pen(INK_SOFT, 1.1), ridge_spot(view, i, &job->found),
                ridge_spot(view, i, &job->now));
    }
    for (size_t i = 0; i < view->count; i++) {
        draw_ridge(figure, view, i, &view->jobs[i].found);
        draw_ridge(figure, view, i, &view->jobs[i].now);
    }
}

/** The dates, from the latest back, as many as stand clear of each other. */
static void label_jobs(struct figure *figure, const struct history_view *view)
{
    const double bottom = TOP + HEIGHT;
    double taken = INFINITY; /* from here on to the right there is a date */
    for (size_t i = view->count; i-- > 0;) {
        char text[MOMENT_TEXT];
        const struct perpend_moment *date = &view->jobs[i].date;
        const struct perpend_moment day = {.year = date->year, date->month, date->day};
        const double x = job_x(view, i);
        const double half = text_width(LETTER_SMALL, moment_text(text, &day)) / 2;
        const double middle = fmin(fmax(x, half + 1), FIGURE_WIDTH - half - 1);
        figure_line(figure, pen(INK_SOFT, 0.9), at(x, bottom), at(x, bottom + 4));
        if (middle + half > taken - 6)
            continue;
        figure_text(figure, centred(LETTER_SMALL, INK_SOFT), at(middle, bottom + 17), 0, text);
        taken = middle - half;
    }
}

static void draw_axes(struct figure *figure, const struct history_view *view)
{
    struct axis shown = view->y;
    double ticks[AXIS_TICKS_MOST];
    char text[AXIS_TEXT];
    shown.high = words_shown(&view->words, WORDS_SMALL, view->y.high);
    const size_t count = axis_ticks(&shown, 5, ticks);
    for (size_t i = 0; i < count; i++) {
        const double y = axis_at(&shown, ticks[i]);
        figure_line(figure, pen(INK_GRID, 0.8), at(LEFT, y), at(FIGURE_WIDTH, y));
        figure_text(figure, ending(LETTER_SMALL, INK_SOFT), at(LEFT - 6, y + 4), 0,
            axis_text(ticks[i], text));
    }
    figure_line(figure, pen(INK_SOFT, 1), at(LEFT, TOP), at(LEFT, TOP + HEIGHT));
    figure_line(figure, pen(INK_SOFT, 1), at(LEFT, TOP + HEIGHT), at(FIGURE_WIDTH, TOP + HEIGHT));
    figure_text(figure, ending(LETTER_SMALL, INK_SOFT), at(LEFT - 6, TOP - 10), 0,
        words_unit_name(&view->words, WORDS_SMALL));
}

struct figure *figure_history(
    const struct perpend_machine *machine, const struct past_job *jobs, size_t count)
{
    static const struct key keys[] = {{"over the goal", .marker = MARKER_RING, .ink = INK_OVER},
        {"within", .marker = MARKER_DOT, .ink = INK_WITHIN},
        {"goal", .style = {.line = INK_TEXT, .width = 2.4}},
        {"95 in 100", .style = {.line = INK_SOFT, .width = 1.2}}};
    struct figure *figure = figure_create(FIGURE_WIDTH, TOP + HEIGHT + 24);
    if (count > HISTORY_MOST) {
        jobs += count - HISTORY_MOST;
        count = HISTORY_MOST;
    }
    struct history_view view = {.words = {.unit = machine->unit}, .jobs = jobs, .count = count};
    double most = 1e-6; /* fmax passes over NAN */
    for (size_t i = 0; i < count; i++) {
        const double highs[] = {jobs[i].goal, jobs[i].found.height, jobs[i].found.high,
            jobs[i].now.height, jobs[i].now.high};
        for (size_t k = 0; k < sizeof highs / sizeof *highs; k++)
            most = fmax(most, isfinite(highs[k]) ? 1.05 * highs[k] : 0);
    }
    choose_days(&view);
    view.y = (struct axis){0, most, false, TOP + HEIGHT, TOP};
    plot_key(figure, 11, keys, 4);
    draw_axes(figure, &view);
    label_jobs(figure, &view);
    draw_jobs(figure, &view);
    plot_describe(figure, &view.words, PICTURE_HISTORY_TITLE, PICTURE_HISTORY,
        SLOTS(SLOT_COUNT("number", count)));
    return figure;
}
