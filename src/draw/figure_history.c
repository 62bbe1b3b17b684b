/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "draw/figures.h"
#include "draw/letters.h"
#include "draw/plot.h"

#define HEIGHT 130.0

static const struct style drift = {.line = INK_SOFT, .width = 1.1, .dash = DASH_SHORT};
static const struct style adjusted = {.line = INK_TEXT, .width = 1.6};

struct history_view {
    struct words words;
    const struct past_job *jobs;
    size_t count;
    struct plot plot;
};

static double job_x(const struct history_view *view, size_t i)
{
    const double each = view->plot.area.width / (double)view->count;
    return view->plot.area.x + ((double)i + 0.5) * each;
}

/* Found stands a little to the left of left: time goes on within a job, too. */
static struct spot job_spot(const struct history_view *view, size_t i, bool left)
{
    const double apart = fmin(9, 0.22 * view->plot.area.width / (double)view->count);
    const double value = left ? view->jobs[i].left : view->jobs[i].found;
    return at(job_x(view, i) + (left ? apart : -apart),
        axis_at(&view->plot.y, words_shown(&view->words, WORDS_SLOPE, value)));
}

static void draw_jobs(struct figure *figure, const struct history_view *view)
{
    for (size_t i = 0; i < view->count; i++) {
        const struct past_job *job = &view->jobs[i];
        if (isfinite(job->found) && isfinite(job->left))
            figure_line(figure, adjusted, job_spot(view, i, false), job_spot(view, i, true));
        if (i + 1 < view->count && isfinite(job->left) && isfinite(job[1].found))
            figure_line(figure, drift, job_spot(view, i, true), job_spot(view, i + 1, false));
    }
    const double radius = view->count > 12 ? 2.8 : 3.6;
    for (size_t i = 0; i < view->count; i++) {
        if (isfinite(view->jobs[i].found))
            figure_marker(figure, MARKER_RING, INK_TEXT, job_spot(view, i, false), radius);
        if (isfinite(view->jobs[i].left))
            figure_marker(figure, MARKER_SQUARE, INK_TEXT, job_spot(view, i, true), radius);
    }
}

/** The dates, from the latest back, as many as stand clear of each other. */
static void label_jobs(struct figure *figure, const struct history_view *view)
{
    const double bottom = view->plot.area.y + view->plot.area.height;
    double taken = INFINITY; /* from here on to the right there is a date */
    for (size_t i = view->count; i-- > 0;) {
        const double x = job_x(view, i);
        const double wide = fmin(90, text_width(LETTER_SMALL, view->jobs[i].label));
        const double middle = fmin(fmax(x, wide / 2 + 1), FIGURE_WIDTH - wide / 2 - 1);
        figure_line(figure, pen(INK_SOFT, 0.8), at(x, bottom), at(x, bottom + 3));
        if (middle + wide / 2 > taken - 6)
            continue;
        figure_text(figure, centred(LETTER_SMALL, INK_SOFT), at(middle, bottom + 14), 90,
            view->jobs[i].label);
        taken = middle - wide / 2;
    }
}

struct figure *figure_history(
    const struct perpend_machine *machine, const struct past_job *jobs, size_t count)
{
    const size_t all = count;
    if (count > HISTORY_MOST) {
        jobs += count - HISTORY_MOST;
        count = HISTORY_MOST;
    }
    struct history_view view = {.words = {.unit = machine->unit}, .jobs = jobs, .count = count};
    struct figure *figure = figure_create(FIGURE_WIDTH, HEIGHT + 72);
    double most = 0;
    for (size_t i = 0; i < count; i++) /* of what was measured: fmax passes over NAN */
        most = fmax(most, fmax(jobs[i].found, jobs[i].left));
    view.plot.y = axis_over(0, fmax(1.08 * words_shown(&view.words, WORDS_SLOPE, most), 1e-3), 5);
    axis_round(&view.plot.y);
    const struct key keys[] = {
        {"as found", .marker = MARKER_RING, .ink = INK_TEXT},
        {"as left", .marker = MARKER_SQUARE, .ink = INK_TEXT},
        {"adjusted", .style = adjusted},
        {"drift in between", .style = drift},
    };
    const double room = axis_room(&view.plot.y) + 2;
    const double top = plot_key(figure, 9, keys, 4);
    view.plot.area = (struct box){room, top + 22, FIGURE_WIDTH - room - 4, HEIGHT};
    plot_fit(&view.plot);

    plot_y_axis(figure, &view.plot, "size of the lean", words_unit_name(&view.words, WORDS_SLOPE));
    plot_frame(figure, &view.plot);
    label_jobs(figure, &view);
    draw_jobs(figure, &view);
    plot_describe(figure, &view.words, PICTURE_HISTORY_TITLE, PICTURE_HISTORY,
        SLOTS(SLOT_IF("more_jobs", all > count), SLOT_COUNT("number", count),
            SLOT_TEXT("day", jobs[count - 1].label)));
    return figure;
}
