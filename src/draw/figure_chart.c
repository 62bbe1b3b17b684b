/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/letters.h"
#include "draw/plot.h"

#define ROWS 60       /* stepovers at which each contour is sought */
#define LARGEST 0.92  /* stepover, of the width that the bit cuts flat */
#define SMALLEST 0.09 /* of the bit's diameter */
#define WIDEST 0.5    /* lean that is followed, mm/mm */
#define SETTLES                                                                                    \
    1.68 /* standard uncertainties at which one sweep settles 19 of 20; of a t about so */
#define LEFT 52.0
#define TOP 62.0
#define HEIGHT 500.0

/** The ridge over stepover and the difference between two opposite readings: both axes in equal
 *  ratios, so that each ridge is nearly a straight line. */
struct chart_view {
    const struct perpend_machine *machine;
    double bearing; /* of the pair's one end, the other stands opposite */
    struct words words;
    double radius;    /* of the arm; NAN: the axis shows leans */
    struct axis x, y; /* mm between the readings, or mm/mm; mm of stepover */
    double uncertain; /* standard, of one sweep of four, on the x axis */
};

/** What one reads, of a lean toward the pair (docs/method.md, "The gap"); and back. */
static double read_of(const struct chart_view *view, double lean)
{
    return isnan(view->radius) ? lean : 2 * view->radius * lean / hypot(1, lean);
}

static double reach(const struct chart_view *view, double height, double step)
{
    struct perpend_facing facing = view->machine->facing;
    const struct perpend_goal goal = {.ridge = height, .lean = NAN};
    facing.stepover = step;
    return read_of(view, lean_reach(&view->machine->cutter, &facing, &goal, view->bearing, WIDEST));
}

static double step_at(const struct chart_view *view, int row)
{
    return view->y.low * pow(view->y.high / view->y.low, (double)row / (ROWS - 1));
}

/** Where the ridge is so high, `wider` standard uncertainties on, from small stepovers up. */
static size_t trace(
    const struct chart_view *view, double height, double wider, struct spot spots[ROWS])
{
    for (int row = 0; row < ROWS; row++) {
        const double step = step_at(view, row);
        const double read = reach(view, height, step) + wider * view->uncertain;
        /* beyond both edges, where the frame clips */
        spots[row] = at(axis_at(&view->x, fmin(fmax(read, view->x.low / 2), 2 * view->x.high)),
            axis_at(&view->y, step));
    }
    return ROWS;
}

/** What keeps the goal, and beside its line what one sweep does not settle. */
static void shade(struct figure *figure, const struct chart_view *view)
{
    const double goal = view->machine->goal.ridge;
    struct spot spots[2 * ROWS];
    if (!isfinite(goal))
        return;
    trace(view, goal, 0, spots);
    spots[ROWS] = at(view->x.from, view->y.to);
    spots[ROWS + 1] = at(view->x.from, view->y.from);
    figure_path(figure, surface(INK_MEETS), spots, ROWS + 2, true);
    if (!(view->uncertain > 0))
        return;
    trace(view, goal, -SETTLES, spots);
    trace(view, goal, SETTLES, spots + ROWS);
    for (int i = 0; i < ROWS / 2; i++) { /* back again along the other edge */
        const struct spot swapped = spots[ROWS + i];
        spots[ROWS + i] = spots[2 * ROWS - 1 - i];
        spots[2 * ROWS - 1 - i] = swapped;
    }
    figure_path(figure, surface(INK_BAND), spots, (size_t)2 * ROWS, true);
    figure_path(figure, broken(INK_SOFT, 1), spots, ROWS, false);
    figure_path(figure, broken(INK_SOFT, 1), spots + ROWS, ROWS, false);
}

/** What the gauge does not show. */
static void hatch_unseen(struct figure *figure, const struct chart_view *view)
{
    const double step = view->machine->setup.gauge.step;
    const double end =
        isnan(view->radius) || !(step > view->x.low) ? view->x.from : axis_at(&view->x, step);
    const double wide = end - view->x.from;
    for (double y = view->y.to - wide; y < view->y.from && wide > 1; y += 9)
        figure_line(figure, pen(INK_GRID, 0.8), at(view->x.from, y + wide), at(end, y));
    if (wide > 1)
        figure_line(figure, pen(INK_SOFT, 0.9), at(end, view->y.from), at(end, view->y.to));
}

static void label_contour(
    struct figure *figure, const struct chart_view *view, double height, const struct spot *spots)
{
    char text[AXIS_TEXT];
    axis_text(words_shown(&view->words, WORDS_SMALL, height), text);
    const double half = text_width(LETTER_SMALL, text) / 2 + 3;
    for (int i = ROWS - 4; i > 2; i--) { /* from its upper end on down, until there is room */
        const struct spot spot = spots[i];
        const bool inside = spot.x - half >= view->x.from && spot.x + half <= view->x.to;
        if (inside && figure_text_on(figure, centred(LETTER_SMALL, INK_TEXT), spot, text))
            return;
    }
}

static void draw_contours(struct figure *figure, const struct chart_view *view)
{
    const double unit = words_shown(&view->words, WORDS_SMALL, 1);
    const double goal = view->machine->goal.ridge;
    struct spot spots[ROWS];
    double next = nice_below(2e-4 * unit);
    while (next < 2 * unit) {
        const double level = next;
        next = nice_below(level * 2.6);
        trace(view, level / unit, 0, spots);
        const bool crosses = spots[0].x > view->x.from && spots[ROWS - 1].x < view->x.to;
        if (!crosses || fabs(level / unit - goal) < 0.2 * goal)
            continue;
        figure_path(figure, pen(INK_SOFT, 0.9), spots, ROWS, false);
        label_contour(figure, view, level / unit, spots);
    }
    if (!isfinite(goal))
        return;
    trace(view, goal, 0, spots);
    figure_path(figure, pen(INK_PAPER, 6), spots, ROWS, false);
    figure_path(figure, pen(INK_TEXT, 3.4), spots, ROWS, false);
}

/** Today's share of the lean, on the line of the ridge that it makes by itself. */
static void draw_today(
    struct figure *figure, const struct chart_view *view, const struct perpend_slope *lean)
{
    double height = INFINITY;
    if (lean == NULL)
        return;
    const double share = fabs(lean->right * sin(view->bearing) + lean->back * cos(view->bearing));
    const struct perpend_slope part = {share * sin(view->bearing), share * cos(view->bearing)};
    (void)perpend_ridge_facing(part, &view->machine->cutter, &view->machine->facing, &height);
    const double read = read_of(view, share);
    const enum ink ink = ink_judged(&view->machine->goal, height, part);
    const struct spot spot = at(axis_at(&view->x, fmax(read, view->x.low)),
        axis_at(&view->y, view->machine->facing.stepover));
    figure_marker(figure, ink == INK_WITHIN ? MARKER_DOT : MARKER_RING, ink, spot, 6);
}

/** A number at the end of a line, on a patch of paper where there is room. */
static void draw_limit(struct figure *figure, const struct chart_view *view)
{
    const double step = view->machine->facing.stepover;
    const double read = reach(view, view->machine->goal.ridge, step);
    const double y = axis_at(&view->y, step);
    const struct style line = broken(INK_WITHIN, 1.6);
    figure_line(figure, line, at(view->x.from, y), at(view->x.to, y));
    if (!isfinite(view->machine->goal.ridge) || !(read > view->x.low && read < view->x.high))
        return;
    const double x = axis_at(&view->x, read);
    struct buffer text = {0};
    words_rounded(
        &view->words, &text, isnan(view->radius) ? WORDS_SLOPE : WORDS_SMALL, read, read / 10);
    figure_line(figure, line, at(x, y), at(x, view->y.from));
    figure_line(figure, line, at(x, view->y.from + 20), at(x, view->y.from + 26));
    figure_marker(figure, MARKER_DOT, INK_WITHIN, at(x, y), 4.5);
    const double half = text_width(LETTER_STRONG, buffer_text(&text)) / 2 + 2;
    figure_text(figure, centred(LETTER_STRONG, INK_WITHIN),
        at(fmin(fmax(x, half), FIGURE_WIDTH - half), view->y.from + 38), 0, buffer_text(&text));
    figure_keep_line(figure, at(x, y), at(x, view->y.from));
    buffer_finish(&text);
}

static void draw_axes(struct figure *figure, const struct chart_view *view)
{
    const enum words_kind kind = isnan(view->radius) ? WORDS_SLOPE : WORDS_SMALL;
    const struct ruler rulers[] = {
        {view->x, kind, false, view->y.from, view->y.to, LETTER_STRONG, INK_TEXT},
        {view->y, WORDS_LARGE, true, view->x.from, view->x.to, LETTER_STRONG, INK_TEXT}};
    for (size_t i = 0; i < sizeof rulers / sizeof *rulers; i++)
        plot_ruler(figure, &view->words, &rulers[i]);
    figure_box(
        figure, pen(INK_TEXT, 1.6), (struct box){LEFT, TOP, FIGURE_WIDTH - LEFT - 4, HEIGHT});
}

/** How sure a difference is by one sweep of four readings of an upright spindle. */
static double uncertain_of(const struct perpend_machine *machine, double bearing)
{
    struct perpend_reading readings[4] = {{0}};
    struct perpend_fit fit;
    for (int i = 0; i < 4; i++)
        readings[i].bearing = i * PERPEND_PI / 2;
    if (!(machine->setup.arm.length > 0) || !(machine->setup.gauge.step > 0) ||
        perpend_fit_readings(readings, 4, &machine->setup, NULL, &fit) != PERPEND_OK)
        return 0;
    const double s = sin(bearing);
    const double c = cos(bearing);
    const struct perpend_slope_covariance *v = &fit.lean_covariance;
    return 2 * machine->setup.arm.length *
           sqrt(s * s * v->right_right + 2 * s * c * v->right_back + c * c * v->back_back);
}

static void choose_axes(struct chart_view *view, const struct perpend_slope *lean)
{
    const struct perpend_cutter *cutter = &view->machine->cutter;
    const double stepover = view->machine->facing.stepover;
    const double flat = cutter->diameter - 2 * cutter->corner;
    const double step = view->machine->setup.gauge.step;
    const double across = view->bearing;
    view->y = (struct axis){fmin(SMALLEST * cutter->diameter, stepover / 1.5),
        fmax(LARGEST * flat, 1.02 * stepover), true, TOP + HEIGHT, TOP};
    const double goal = isfinite(view->machine->goal.ridge) ? view->machine->goal.ridge : 0.02;
    /* of the feed that leaves the higher ridge */
    view->bearing = view->machine->facing.along + PERPEND_PI / 2;
    const double limit = fmax(reach(view, goal, stepover), read_of(view, 2e-4));
    view->bearing = across;
    const double low =
        isfinite(view->radius) && step > 0 ? fmin(0.6 * step, limit / 2) : limit / 10;
    const double now = lean != NULL ? read_of(view, perpend_slope_size(*lean)) : 0;
    view->x = (struct axis){
        low, fmax(fmax(100 * low, 5 * limit), 1.3 * now), true, LEFT, FIGURE_WIDTH - 4};
}

struct figure *figure_chart(
    const struct perpend_machine *machine, double bearing, const struct perpend_slope *lean)
{
    struct figure *figure = figure_create(FIGURE_WIDTH, TOP + HEIGHT + 46);
    const double radius = machine->setup.arm.length;
    struct chart_view view = {.machine = machine,
        .bearing = bearing,
        .words = {.unit = machine->unit},
        .radius = radius > 0 ? radius : NAN,
        .uncertain = uncertain_of(machine, bearing)};
    const bool back = fabs(cos(bearing)) > 0.5;
    const double across = sin(machine->facing.along - bearing);
    choose_axes(&view, lean);
    const struct slot *slots = SLOTS(SLOT_IF("back", back), SLOT_IF("read", isfinite(view.radius)),
        SLOT_TEXT(
            "unit", words_unit_name(&view.words, isnan(view.radius) ? WORDS_SLOPE : WORDS_SMALL)),
        SLOT_TEXT("step_unit", words_unit_name(&view.words, WORDS_LARGE)),
        SLOT_CHOICE("makes",
            machine->facing.both_ways || fabs(fabs(across) - 0.5) < 0.49 ? 2 : fabs(across) < 0.5),
        SLOT_STATED("goal", WORDS_SMALL, machine->goal.ridge));
    figure_say(figure, &view.words, starting(LETTER_TITLE, INK_TEXT), at(1, 15), PICTURE_CHART_PAIR,
        slots);
    figure_say(figure, &view.words, starting(LETTER_SMALL, INK_SOFT), at(1, 33),
        PICTURE_CHART_MAKES, slots);
    figure_say(figure, &view.words, starting(LETTER_SMALL_STRONG, INK_TEXT), at(1, TOP - 9),
        PICTURE_CHART_STEP, slots);
    figure_clip(figure, (struct box){LEFT, TOP, FIGURE_WIDTH - LEFT - 4, HEIGHT});
    shade(figure, &view);
    hatch_unseen(figure, &view);
    figure_unclip(figure);
    draw_axes(figure, &view);
    draw_limit(figure, &view);
    figure_clip(figure, (struct box){LEFT, TOP, FIGURE_WIDTH - LEFT - 4, HEIGHT});
    draw_contours(figure, &view);
    figure_unclip(figure);
    draw_today(figure, &view, lean);
    plot_describe(figure, &view.words, PICTURE_CHART_PAIR, PICTURE_CHART, slots);
    return figure;
}
