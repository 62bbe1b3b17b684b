/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/letters.h"
#include "draw/plot.h"

#define ROWS 100        /* stepovers at which each contour is sought */
#define SMALLEST 0.02   /* of them, of the largest */
#define BEYOND 3.0      /* times the largest lean: how far contours are followed */
#define MOST_LEAN 0.012 /* mm/mm, at the right edge, unless today's lean is larger */
#define PANEL_HEIGHT 170.0
#define CLOSEST 12.0 /* pt from the axis to the middle of the innermost contour */
#define CONTOURS 9
#define NUMBER_ROOM 44.0 /* pt, of a contour's own number at its upper end */

/** One panel: leans toward one bearing. */
struct chart_view {
    const struct perpend_cutter *cutter;
    double along;
    double bearing; /* of the leans */
    struct words words;
    double goal;
    double most_lean, most_step;
    struct plot plot;
};

/** The ridge, or infinity where stripes stand. */
static double ridge_at(const struct chart_view *view, double lean, double step)
{
    const struct perpend_slope t = {lean * sin(view->bearing), lean * cos(view->bearing)};
    double height;
    if (perpend_ridge_height(t, view->cutter, step, view->along, &height) != PERPEND_OK)
        return INFINITY;
    return height;
}

static struct spot chart_spot(const struct chart_view *view, double lean, double step)
{
    return plot_spot(&view->plot, words_shown(&view->words, WORDS_SLOPE, lean),
        words_shown(&view->words, WORDS_LARGE, step));
}

struct contour {
    struct spot spots[ROWS + 3];
    size_t count;
};

/** Where the ridge is so high, from small stepovers on up, as far as a little beyond the chart. */
static struct contour trace(const struct chart_view *view, double height)
{
    struct contour contour = {.count = 0};
    for (int row = 0; row < ROWS; row++) {
        const double step = view->most_step * pow(SMALLEST, 1 - (double)row / (ROWS - 1));
        const struct perpend_facing facing = {.stepover = step, .along = view->along, .depth = NAN};
        const double most = BEYOND * view->most_lean;
        const double lean = lean_reach(view->cutter, &facing, height, view->bearing, most);
        if (lean < most)
            contour.spots[contour.count++] = chart_spot(view, lean, step);
    }
    return contour;
}

/** What meets the goal lies below and to the left of its contour. */
static void shade_goal(struct figure *figure, const struct chart_view *view)
{
    const double beyond = BEYOND * view->most_lean;
    if (!isfinite(view->goal))
        return;
    struct contour region = trace(view, view->goal);
    if (region.count == 0) /* everywhere */
        region.spots[region.count++] = chart_spot(view, beyond, view->most_step);
    region.spots[region.count++] = chart_spot(view, 0, view->most_step);
    region.spots[region.count++] = chart_spot(view, 0, 0);
    region.spots[region.count++] = chart_spot(view, beyond, 0);
    figure_clip(figure, view->plot.area);
    figure_path(figure, surface(INK_MEETS), region.spots, region.count, true);
    figure_unclip(figure);
}

static void label_contour(
    struct figure *figure, const struct chart_view *view, double height, const struct contour *c)
{
    const double shown = words_shown(&view->words, WORDS_SMALL, height);
    const enum ink ground = height <= view->goal ? INK_MEETS : INK_PAPER;
    const struct type type = centred(LETTER_SMALL, INK_TEXT);
    const struct box area = view->plot.area;
    struct buffer text = {0};
    buffer_add_number(&text, shown, nice_decimals(nice_below(shown)));
    const double half = text_width(LETTER_SMALL, buffer_text(&text)) / 2 + 2;
    /* from its upper end on down, until there is room */
    for (size_t i = c->count; i > 0; i--) {
        const struct spot end = c->spots[i - 1];
        const bool inside = end.x - half >= area.x && end.x + half <= area.x + area.width &&
                            end.y - 6 >= area.y && end.y + 5 <= area.y + area.height;
        if (inside && figure_text_on(figure, type, ground, end, buffer_text(&text)))
            break;
    }
    buffer_finish(&text);
}

/** Contours at 1, 2, 5 × 10ⁿ of the unit that people see, and the goal's own. A snippet in the upper
 *  right corner has no room for its number; the innermost would run into the axis. */
static void draw_contours(struct figure *figure, const struct chart_view *view)
{
    const struct box area = view->plot.area;
    const double corner = ridge_at(view, view->most_lean, view->most_step * 0.999);
    const double top = isfinite(corner) ? corner : view->most_lean * view->most_step;
    const double unit = words_shown(&view->words, WORDS_SMALL, 1);
    double level = nice_below(top * unit);
    if (isfinite(view->goal)) {
        const struct contour goal = trace(view, view->goal);
        figure_path(figure, pen(INK_TEXT, 2.2), goal.spots, goal.count, false);
    }
    for (int count = 0; count < CONTOURS; level = nice_below(level * 0.6), count++) {
        const struct contour contour = trace(view, level / unit);
        const double end = contour.count > 0 ? contour.spots[contour.count - 1].x : INFINITY;
        if (end > area.x + area.width - NUMBER_ROOM)
            continue;
        if (end < area.x + CLOSEST)
            break;
        figure_path(figure, pen(INK_SOFT, 0.9), contour.spots, contour.count, false);
        label_contour(figure, view, level / unit, &contour);
    }
}

static void draw_today(struct figure *figure, const struct chart_view *view,
    const struct perpend_slope *lean, double stepover)
{
    if (lean == NULL)
        return;
    const double part = fabs(lean->right * sin(view->bearing) + lean->back * cos(view->bearing));
    const struct spot spot = chart_spot(view, part, stepover);
    const enum ink ink = ink_against(view->goal, ridge_at(view, part, stepover));
    figure_marker(figure, ink == INK_WITHIN ? MARKER_DOT : MARKER_RING, ink, spot, 3.8);
    figure_keep_round(figure, spot, 5);
}

/** Leans toward one bearing. Value: where the panel ends. */
static double chart_panel(struct figure *figure, struct chart_view *view, double top,
    const char *heading, const struct perpend_slope *lean, double stepover)
{
    const double room = 34;
    const struct words *words = &view->words;
    figure_text(figure, starting(LETTER_STRONG, INK_TEXT), at(1, top + 10), 0, heading);
    view->plot.area = (struct box){room, top + 36, FIGURE_WIDTH - room - 8, PANEL_HEIGHT};
    view->plot.x = axis_over(0, words_shown(words, WORDS_SLOPE, view->most_lean), 8);
    view->plot.y = axis_over(0, words_shown(words, WORDS_LARGE, view->most_step), 6);
    plot_fit(&view->plot);
    shade_goal(figure, view);
    plot_x_axis(figure, &view->plot, "lean", words_unit_name(words, WORDS_SLOPE));
    plot_y_axis(figure, &view->plot, "stepover", words_unit_name(words, WORDS_LARGE));
    plot_frame(figure, &view->plot);
    draw_today(figure, view, lean, stepover);
    figure_clip(figure, view->plot.area);
    draw_contours(figure, view);
    figure_unclip(figure);
    return view->plot.area.y + PANEL_HEIGHT + 30;
}

/** Value: where it ends. */
static double draw_key(
    struct figure *figure, const struct chart_view *view, const struct perpend_slope *lean)
{
    const bool any_goal = isfinite(view->goal);
    struct buffer unit = {0};
    struct buffer goal = {0};
    buffer_addf(&unit, "ridge, %s", words_unit_name(&view->words, WORDS_SMALL));
    fill(&view->words, &goal, sentences[PICTURE_CHART_GOAL],
        SLOTS(SLOT_STATED("goal", WORDS_SMALL, view->goal)));
    const struct key keys[] = {
        {buffer_text(&unit), .style = pen(INK_SOFT, 0.9)},
        {any_goal ? buffer_text(&goal) : NULL, .style = outlined(INK_TEXT, INK_MEETS, 2.2)},
        {lean != NULL ? "as it is" : NULL, .marker = MARKER_RING, .ink = INK_TEXT},
    };
    const double end = 9 + plot_key(figure, 9, keys, 3);
    buffer_finish(&unit);
    buffer_finish(&goal);
    return end;
}

struct figure *figure_chart(const struct perpend_cutter *cutter,
    const struct perpend_facing *facing, double goal, enum perpend_unit unit,
    const struct perpend_slope *lean)
{
    struct figure *figure = figure_create(FIGURE_WIDTH, 0);
    const double along = facing->both_ways ? PERPEND_ALONG_X : facing->along;
    const double size = lean != NULL ? perpend_slope_size(*lean) : 0;
    struct chart_view view = {.cutter = cutter,
        .along = along,
        .words = {.unit = unit},
        .goal = goal,
        .most_lean = fmax(MOST_LEAN, 1.25 * size),
        .most_step = fmax(0.9 * (cutter->diameter - 2 * cutter->corner), 0.2 * cutter->diameter)};
    double top = draw_key(figure, &view, lean);
    view.bearing = along + PERPEND_PI / 2;
    top = chart_panel(figure, &view, top, "Leaning across the feed", lean, facing->stepover);
    view.bearing = along;
    top = chart_panel(figure, &view, top + 4, "Leaning along the feed", lean, facing->stepover);
    figure->height = top;
    plot_describe(figure, &view.words, PICTURE_CHART_TITLE, PICTURE_CHART,
        SLOTS(SLOT_STATED("bit", WORDS_LARGE, cutter->diameter),
            /* the same for either, as the leans are those across and along it */
            SLOT_IF("both_ways", facing->both_ways), SLOT_FEED("feed", facing->along),
            SLOT_TEXT("unit", words_unit_name(&view.words, WORDS_SMALL)),
            SLOT_IF("any_goal", isfinite(goal)), SLOT_STATED("goal", WORDS_SMALL, goal)));
    return figure;
}
