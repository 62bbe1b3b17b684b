/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include "text/escape.h"
#include "draw/figures.h"
#include "draw/letters.h"
#include "draw/plot.h"
#include "text/say.h"

#define CURVE_POINTS 145
#define MAIN_HEIGHT 130.0
#define REST_HEIGHT 52.0

/** What one figure is drawn from. */
struct sweep_view {
    const struct perpend_machine *machine;
    const struct perpend_measurement *measurement;
    struct words words;
    bool one_place; /* all readings at one place: shown as the gauge read */
    struct plot main, rest;
    double band; /* two standard uncertainties of a reading, mm of reading */
    enum marker marker;
    struct style curve;
};

/** Reading in the middle of a turn at a place: halfway between any two that face each other. */
static double middle_at(const struct sweep_view *view, double x, double y)
{
    const struct perpend_fit *fit = &view->measurement->fit;
    const struct perpend_setup *setup = &view->machine->setup;
    return (perpend_fit_predict(fit, setup, 0, x, y) +
               perpend_fit_predict(fit, setup, PERPEND_PI, x, y)) /
           2;
}

static double shown(const struct sweep_view *view, enum words_kind kind, double value)
{
    return words_shown(&view->words, kind, value);
}

static double reading_value(const struct sweep_view *view, size_t i)
{
    const struct perpend_reading *reading = &view->measurement->readings[i];
    const double from = view->one_place ? 0 : middle_at(view, reading->x, reading->y);
    return shown(view, WORDS_LARGE, reading->value - from);
}

static double curve_value(const struct sweep_view *view, double bearing)
{
    const struct perpend_reading *first = &view->measurement->readings[0];
    const double value = perpend_fit_predict(
        &view->measurement->fit, &view->machine->setup, bearing, first->x, first->y);
    const double from = view->one_place ? 0 : middle_at(view, first->x, first->y);
    return shown(view, WORDS_LARGE, value - from);
}

bool readings_at_one_place(const struct perpend_measurement *measurement)
{
    for (size_t i = 1; i < measurement->reading_count; i++)
        if (measurement->readings[i].x != measurement->readings[0].x ||
            measurement->readings[i].y != measurement->readings[0].y)
            return false;
    return true;
}

static void choose_axes(struct sweep_view *view)
{
    const struct perpend_measurement *m = view->measurement;
    double low = INFINITY;
    double high = -INFINITY;
    double rest = view->band;
    for (size_t i = 0; i < m->reading_count; i++) {
        const double value = reading_value(view, i);
        low = fmin(low, value);
        high = fmax(high, value);
        rest = fmax(rest, fabs(m->residual[i]));
    }
    for (int i = 0; i < 72; i++) {
        const double value = curve_value(view, i * PERPEND_PI / 36);
        low = fmin(low, value);
        high = fmax(high, value);
    }
    const double least = shown(view, WORDS_LARGE, view->band); /* never magnify mere rounding */
    const double lack = fmax(0, 2 * least - (high - low)) / 2;
    const double margin = 0.06 * (high - low);
    view->main.y = axis_over(low - lack - margin, high + lack + margin, 5);
    const double reach = shown(view, WORDS_SMALL, 1.15 * rest);
    view->rest.y = axis_over(-reach, reach, 3);
    view->main.x = view->rest.x = (struct axis){.low = 0, .high = 360, .step = 45};
}

static const struct type soft_middle = {LETTER_SMALL, INK_SOFT, ANCHOR_MIDDLE, false};
static const struct type plain_middle = {LETTER_SMALL, INK_TEXT, ANCHOR_MIDDLE, false};

static void bearings_axis(struct figure *figure, const struct plot *plot)
{
    static const char *const names[] = {"back", "right", "front", "left", "back"};
    static const char *const degrees[] = {"0°", "90°", "180°", "270°", "360°"};
    const double bottom = plot->area.y + plot->area.height;
    const double right = plot->area.x + plot->area.width;
    for (int i = 0; i <= 4; i++) {
        const double x = fmin(axis_at(&plot->x, i * 90), FIGURE_WIDTH - 15);
        figure_text(figure, soft_middle, (struct spot){x, bottom + 11.5}, 0, degrees[i]);
        figure_text(figure, plain_middle, (struct spot){x, bottom + 22.5}, 0, names[i]);
    }
    figure_text(figure, (struct type){LETTER_SMALL, INK_TEXT, ANCHOR_END, false},
        (struct spot){right + 4, bottom + 36}, FIGURE_WIDTH - 2,
        "bearing of the arm, clockwise from the back as seen from above");
}

static void bearings_grid(struct figure *figure, const struct plot *plot)
{
    for (int degrees = 0; degrees <= 360; degrees += 45) {
        const double x = axis_at(&plot->x, degrees);
        figure_line(figure, (struct style){.line = INK_GRID, .width = 0.7},
            (struct spot){x, plot->area.y}, (struct spot){x, plot->area.y + plot->area.height});
    }
}

static double marker_radius(size_t count)
{
    return count <= 16 ? 3.6 : count <= 48 ? 2.8 : 2.1;
}

/** One marker a reading; those that face the back stand at both ends of the axis. */
static void draw_readings(struct figure *figure, const struct sweep_view *view)
{
    const struct perpend_measurement *m = view->measurement;
    const double radius = marker_radius(m->reading_count);
    for (size_t i = 0; i < m->reading_count; i++) {
        const double degrees = perpend_degrees(m->readings[i].bearing);
        const bool suspect = perpend_fit_suspects(&m->fit, i);
        for (int turn = 0; turn <= (degrees < 1e-6 ? 1 : 0); turn++) {
            const struct spot spot =
                plot_spot(&view->main, degrees + turn * 360, reading_value(view, i));
            figure_marker(
                figure, suspect ? MARKER_CROSS : view->marker, view->curve.line, spot, radius);
            figure_keep(
                figure, (struct box){spot.x - radius, spot.y - radius, 2 * radius, 2 * radius});
            const struct spot end = plot_spot(
                &view->rest, degrees + turn * 360, shown(view, WORDS_SMALL, m->residual[i]));
            const struct spot base = plot_spot(&view->rest, degrees + turn * 360, 0);
            figure_line(figure, (struct style){.line = view->curve.line, .width = 1.1}, base, end);
            figure_marker(figure, suspect ? MARKER_CROSS : view->marker, view->curve.line, end,
                fmin(radius, 2.8));
        }
    }
}

static void draw_curve(struct figure *figure, const struct sweep_view *view)
{
    struct spot curve[CURVE_POINTS];
    for (size_t i = 0; i < CURVE_POINTS; i++) {
        const double degrees = 360.0 * (double)i / (CURVE_POINTS - 1);
        curve[i] = plot_spot(&view->main, degrees, curve_value(view, perpend_radians(degrees)));
    }
    figure_path(figure, view->curve, curve, CURVE_POINTS, false);
}

static void draw_band(struct figure *figure, const struct sweep_view *view)
{
    const double reach = shown(view, WORDS_SMALL, view->band);
    const struct spot top = plot_spot(&view->rest, 0, reach);
    const struct spot bottom = plot_spot(&view->rest, 360, -reach);
    figure_box(figure, (struct style){.fill = INK_BAND},
        (struct box){top.x, top.y, bottom.x - top.x, bottom.y - top.y});
}

static void describe(struct figure *figure, const struct sweep_view *view, const char *name)
{
    const struct perpend_measurement *m = view->measurement;
    struct buffer title = {0};
    struct buffer text = {0};
    size_t worst = 0;
    for (size_t i = 1; i < m->reading_count; i++)
        if (fabs(m->residual[i]) > fabs(m->residual[worst]))
            worst = i;
    char *known = isolated_name(name);
    buffer_add(&title, "Readings against bearing: ");
    buffer_add(&title, known);
    free(known);
    char *lean = say_lean(view->words.unit, &m->fit);
    buffer_addf(&text, "%zu readings and the curve that a lean of ", m->reading_count);
    buffer_add(&text, lean);
    free(lean);
    buffer_add(&text, m->fit.bed_separated ? " over the bed's slope" : "");
    buffer_add(&text, " would give. Below, the residuals: the readings less the curve. The "
                      "largest is ");
    words_rounded(&view->words, &text, WORDS_SMALL, m->residual[worst], view->band);
    buffer_add(&text, ", at ");
    words_bearing(&text, m->readings[worst].bearing);
    buffer_add(&text, ". The band is what the gauge's step and spread explain, two standard "
                      "uncertainties each way.");
    figure_describe(figure, buffer_text(&title), buffer_text(&text));
    buffer_finish(&title);
    buffer_finish(&text);
}

static double draw_key(struct figure *figure, const struct sweep_view *view)
{
    const struct key keys[] = {
        {.marked = true, .marker = view->marker, .ink = view->curve.line, .text = "reading"},
        {.style = view->curve, .text = "fitted curve"},
        {.style = {.fill = INK_BAND}, .text = "what the gauge explains"},
        {.marked = true, .marker = MARKER_CROSS, .ink = view->curve.line, .text = "suspect"},
    };
    const bool suspect = view->measurement->fit.suspect.index != PERPEND_FIT_NO_SUSPECT;
    return plot_key(figure, 9, keys, suspect ? 4 : 3);
}

/** Both plots below the key. Value: where they end. */
static double lay_out(struct sweep_view *view, double top)
{
    choose_axes(view);
    const double room = fmax(axis_room(&view->main.y), axis_room(&view->rest.y)) + 2;
    const double wide = FIGURE_WIDTH - room - 12;
    view->main.area = (struct box){room, top, wide, MAIN_HEIGHT};
    view->rest.area = (struct box){room, top + MAIN_HEIGHT + 26, wide, REST_HEIGHT};
    plot_fit(&view->main);
    plot_fit(&view->rest);
    return view->rest.area.y + REST_HEIGHT + 40;
}

static void draw_plot(
    struct figure *figure, const struct plot *plot, const char *title, const char *unit)
{
    struct buffer text = {0};
    buffer_addf(&text, "%s (%s)", title, unit);
    bearings_grid(figure, plot);
    plot_y_axis(figure, plot, buffer_text(&text));
    plot_frame(figure, plot);
    buffer_finish(&text);
}

struct figure *figure_sweep(const struct perpend_machine *machine,
    const struct perpend_measurement *measurement, const char *name, bool left)
{
    struct figure *figure = figure_create(FIGURE_WIDTH, 0);
    const enum ink ink = ink_against(machine->goal, measurement->ridge.height);
    struct sweep_view view = {.machine = machine,
        .measurement = measurement,
        .words = {.unit = machine->unit},
        .one_place = readings_at_one_place(measurement),
        .band = 2 * measurement->fit.quality.reading_uncertainty /
                fabs(perpend_gauge_gap_per_reading(&machine->setup.gauge)),
        .marker = left ? MARKER_SQUARE : MARKER_RING,
        .curve = {.line = ink, .width = 1.4, .dash = left ? DASH_NONE : DASH_LONG}};
    const double bottom = lay_out(&view, draw_key(figure, &view) + 22);
    if (figure != NULL)
        figure->height = bottom;
    draw_band(figure, &view);
    draw_plot(figure, &view.main,
        view.one_place ? "reading" : "reading from the middle of its sweep",
        words_unit_name(&view.words, WORDS_LARGE));
    draw_plot(figure, &view.rest, "residual", words_unit_name(&view.words, WORDS_SMALL));
    bearings_axis(figure, &view.rest);
    draw_curve(figure, &view);
    draw_readings(figure, &view);
    describe(figure, &view, name);
    return figure;
}
