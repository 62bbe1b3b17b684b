/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/status.h>

#include "text/answer.h"
#include "draw/figures.h"
#include "draw/plot.h"
#include "text/say.h"

#define RAYS_ROUND 240    /* rays round the compass that the goal's outline is looked for on */
#define RAYS_NEAR 24      /* and close to each direction in which it may be long and thin */
#define COVERAGE 2.447747 /* √ of the χ² with two degrees of freedom at 95 %: −2 ln 0.05 */
#define RING_SPOTS 72
#define NUMBERED 8 /* rounds at most, for each in between to get its number */
#define PANEL_HEIGHT 160.0
#define ZOOM_WIDTH 112.0

struct lean_view {
    const struct perpend_machine *machine;
    const struct perpend_solution *solution;
    double *rays; /* bearings of the goal's outline, ascending */
    size_t ray_count;
    double *reach; /* lean at which the ridge equals the goal on that ray, mm/mm */
};

static bool keeps_goal(const struct perpend_machine *machine, double bearing, double size)
{
    const struct perpend_slope lean = {size * sin(bearing), size * cos(bearing)};
    double height;
    return perpend_ridge_facing(lean, &machine->cutter, &machine->facing, &height) == PERPEND_OK &&
           height <= machine->goal;
}

/** The largest lean toward a bearing that keeps the goal, up to `most`. */
static double goal_reach(const struct perpend_machine *machine, double bearing, double most)
{
    double low = 0;
    double high = most;
    if (keeps_goal(machine, bearing, most))
        return most;
    for (int i = 0; i < 26; i++) {
        const double middle = (low + high) / 2;
        if (keeps_goal(machine, bearing, middle))
            low = middle;
        else
            high = middle;
    }
    return low;
}

static int ascending(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The region is long and thin along the feed, so rays crowd there. */
static void outline_goal(struct lean_view *view, double most)
{
    const struct perpend_facing *facing = &view->machine->facing;
    const double along = facing->both_ways ? PERPEND_ALONG_X : facing->along;
    const size_t count = RAYS_ROUND + 4 * 2 * RAYS_NEAR + 4;
    view->rays = g_new(double, count);
    view->reach = g_new(double, count);
    size_t n = 0;
    for (int i = 0; i < RAYS_ROUND; i++)
        view->rays[n++] = 2 * PERPEND_PI * i / RAYS_ROUND;
    for (int side = 0; side < 4; side++) {
        const double axis = along + side * PERPEND_PI / 2;
        view->rays[n++] = axis;
        for (int i = 0; i < RAYS_NEAR; i++) {
            const double off = 0.03 * pow(0.75, i);
            view->rays[n++] = axis + off;
            view->rays[n++] = axis - off;
        }
    }
    for (size_t i = 0; i < n; i++) {
        const double turns = view->rays[i] / (2 * PERPEND_PI);
        view->rays[i] = 2 * PERPEND_PI * (turns - floor(turns));
    }
    qsort(view->rays, n, sizeof *view->rays, ascending);
    for (size_t i = 0; i < n; i++)
        view->reach[i] = goal_reach(view->machine, view->rays[i], most);
    view->ray_count = n;
}

static double slope(const struct lean_view *view, double value)
{
    return say_shown(view->machine->unit, WORDS_SLOPE, value);
}

static struct spot lean_spot(
    const struct lean_view *view, const struct plot *plot, struct perpend_slope lean)
{
    return plot_spot(plot, slope(view, lean.right), slope(view, lean.back));
}

/** Half the extent of a 95 % region along an axis. */
static double half_extent(double variance)
{
    return COVERAGE * sqrt(fmax(0, variance));
}

struct extent {
    double left, right, front, back; /* mm/mm */
};

static void extend(struct extent *extent, const struct perpend_measurement *m)
{
    const double dr = half_extent(m->fit.lean_covariance.right_right);
    const double db = half_extent(m->fit.lean_covariance.back_back);
    extent->left = fmin(extent->left, m->fit.lean.right - dr);
    extent->right = fmax(extent->right, m->fit.lean.right + dr);
    extent->front = fmin(extent->front, m->fit.lean.back - db);
    extent->back = fmax(extent->back, m->fit.lean.back + db);
}

/** The least reach of the goal in any direction; 0 without a goal. */
static double least_reach(const struct lean_view *view)
{
    double least = view->ray_count == 0 ? 0 : INFINITY;
    for (size_t i = 0; i < view->ray_count; i++)
        least = fmin(least, view->reach[i]);
    return least;
}

/** Axes of one scale on both ways that show the extent and the middle of the goal's region. */
static struct plot panel(const struct lean_view *view, struct extent extent, struct box area)
{
    const double near = 1.35 * least_reach(view);
    extent.left = fmin(extent.left, -near);
    extent.right = fmax(extent.right, near);
    extent.front = fmin(extent.front, -near);
    extent.back = fmax(extent.back, near);
    const double wide = slope(view, extent.right - extent.left);
    const double tall = slope(view, extent.back - extent.front);
    const double least = slope(view, 2e-5);
    const double scale =
        fmax(fmax(1.16 * wide / area.width, 1.16 * tall / area.height), least / area.height);
    const double x = slope(view, (extent.left + extent.right) / 2);
    const double y = slope(view, (extent.front + extent.back) / 2);
    struct plot plot = {.area = area,
        .x = axis_over(
            x - scale * area.width / 2, x + scale * area.width / 2, (unsigned)(area.width / 34)),
        .y = axis_over(y - scale * area.height / 2, y + scale * area.height / 2,
            (unsigned)(area.height / 28))};
    /* the coarser of the two steps on both, so that squares stay squares */
    plot.x.step = plot.y.step = fmax(plot.x.step, plot.y.step);
    plot.x.decimals = plot.y.decimals = nice_decimals(plot.x.step);
    plot_fit(&plot);
    return plot;
}

static bool within(struct spot spot, struct box box)
{
    return spot.x >= box.x && spot.x <= box.x + box.width && spot.y >= box.y &&
           spot.y <= box.y + box.height;
}

/** Keep labels off a straight line. */
static void keep_line(struct figure *figure, struct spot from, struct spot to)
{
    const int steps = (int)(hypot(to.x - from.x, to.y - from.y) / 4) + 1;
    for (int i = 0; i <= steps && steps < 400; i++)
        figure_keep(figure, (struct box){from.x + (to.x - from.x) * i / steps - 1.5,
                                from.y + (to.y - from.y) * i / steps - 1.5, 3, 3});
}

static void draw_goal(struct figure *figure, const struct lean_view *view, const struct plot *plot)
{
    if (view->ray_count == 0)
        return;
    struct spot *spots = g_new(struct spot, view->ray_count);
    for (size_t i = 0; i < view->ray_count; i++)
        spots[i] = lean_spot(view, plot,
            (struct perpend_slope){
                view->reach[i] * sin(view->rays[i]), view->reach[i] * cos(view->rays[i])});
    figure_path(figure, (struct style){.line = INK_GOAL, .fill = INK_MEETS, .width = 0.9}, spots,
        view->ray_count, true);
    for (size_t i = 0; i < view->ray_count; i++) {
        const struct spot next = spots[(i + 1) % view->ray_count];
        if (within(spots[i], plot->area) && within(next, plot->area))
            keep_line(figure, spots[i], next);
    }
    g_free(spots);
}

/** The 95 % region of a lean: the unit circle through the root of its covariance. */
static void region_ring(const struct lean_view *view, const struct plot *plot,
    const struct perpend_measurement *m, struct spot ring[RING_SPOTS])
{
    const struct perpend_slope_covariance *c = &m->fit.lean_covariance;
    const double a = sqrt(fmax(0, c->right_right));
    const double b = a > 0 ? c->right_back / a : 0;
    const double d = sqrt(fmax(0, c->back_back - b * b));
    for (size_t i = 0; i < RING_SPOTS; i++) {
        const double turn = 2 * PERPEND_PI * (double)i / RING_SPOTS;
        const double p = COVERAGE * cos(turn);
        const double q = COVERAGE * sin(turn);
        ring[i] = lean_spot(view, plot,
            (struct perpend_slope){m->fit.lean.right + a * p, m->fit.lean.back + b * p + d * q});
    }
}

static void draw_region(struct figure *figure, const struct lean_view *view,
    const struct plot *plot, const struct perpend_measurement *m, struct style style)
{
    struct spot ring[RING_SPOTS];
    region_ring(view, plot, m, ring);
    figure_path(figure, style, ring, RING_SPOTS, true);
}

/** Keep labels off a 95 % region, unless it is so large that they must stand within. */
static void keep_region(struct figure *figure, const struct lean_view *view,
    const struct plot *plot, const struct perpend_measurement *m)
{
    const struct extent extent = {
        .left = m->fit.lean.right - half_extent(m->fit.lean_covariance.right_right),
        .right = m->fit.lean.right + half_extent(m->fit.lean_covariance.right_right),
        .front = m->fit.lean.back - half_extent(m->fit.lean_covariance.back_back),
        .back = m->fit.lean.back + half_extent(m->fit.lean_covariance.back_back)};
    const struct spot corner =
        lean_spot(view, plot, (struct perpend_slope){extent.left, extent.back});
    const struct spot opposite =
        lean_spot(view, plot, (struct perpend_slope){extent.right, extent.front});
    const struct box box = {corner.x, corner.y, opposite.x - corner.x, opposite.y - corner.y};
    if (box.width < 30 && box.height < 30) {
        figure_keep(figure, box);
        return;
    }
    struct spot ring[RING_SPOTS];
    region_ring(view, plot, m, ring);
    for (size_t i = 0; i < RING_SPOTS; i++)
        figure_keep(figure, (struct box){ring[i].x - 2, ring[i].y - 2, 4, 4});
}

/** An arrow that leaves both ends free for their markers. */
static void draw_way(struct figure *figure, struct style style, struct spot from, struct spot to)
{
    const double length = hypot(to.x - from.x, to.y - from.y);
    const double room = 5.5;
    if (length < 2.5 * room)
        return;
    const double x = room * (to.x - from.x) / length;
    const double y = room * (to.y - from.y) / length;
    figure_arrow(
        figure, style, (struct spot){from.x + x, from.y + y}, (struct spot){to.x - x, to.y - y}, 6);
}

static void draw_path(struct figure *figure, const struct lean_view *view, const struct plot *plot)
{
    const struct style way = {.line = INK_SOFT, .width = 1};
    const size_t count = view->solution->measurement_count;
    const struct perpend_measurement *all = view->solution->measurements;
    for (size_t i = 0; i < count; i++) {
        const bool last = i + 1 == count && count > 1;
        const struct spot spot = lean_spot(view, plot, all[i].fit.lean);
        if (i == 0 || last)
            draw_region(figure, view, plot, &all[i],
                (struct style){.line = last ? INK_LEFT : INK_FOUND,
                    .width = 0.9,
                    .dash = last ? DASH_NONE : DASH_SHORT});
        if (i > 0) {
            const struct spot from = lean_spot(view, plot, all[i - 1].fit.lean);
            draw_way(figure, way, from, spot);
            keep_line(figure, from, spot);
        }
    }
    for (size_t i = 0; i < count; i++) {
        const bool last = i + 1 == count && count > 1;
        const struct spot spot = lean_spot(view, plot, all[i].fit.lean);
        if (i == 0)
            figure_marker(figure, MARKER_RING, INK_FOUND, spot, 4);
        else if (last)
            figure_marker(figure, MARKER_SQUARE, INK_LEFT, spot, 3.8);
        else
            figure_marker(figure, MARKER_DOT, INK_SOFT, spot, 2.6);
        figure_keep(figure, (struct box){spot.x - 4, spot.y - 4, 8, 8});
        if (i == 0 || last)
            keep_region(figure, view, plot, &all[i]);
    }
    const struct perpend_measurement *now = &all[count - 1];
    if (answer_has_steps(now)) {
        const struct spot from = lean_spot(view, plot, now->fit.lean);
        const struct spot to = lean_spot(view, plot, now->plan.leaves);
        draw_way(
            figure, (struct style){.line = INK_SOFT, .width = 1, .dash = DASH_SHORT}, from, to);
        figure_marker(figure, MARKER_DIAMOND, INK_LEFT, to, 3.4);
        keep_line(figure, from, to);
        figure_keep(figure, (struct box){to.x - 4, to.y - 4, 8, 8});
    }
}

static void draw_labels(
    struct figure *figure, const struct lean_view *view, const struct plot *plot, bool zoomed)
{
    const size_t count = view->solution->measurement_count;
    const struct perpend_measurement *all = view->solution->measurements;
    const struct box area = plot->area;
    const struct spot last = lean_spot(view, plot, all[count - 1].fit.lean);
    if (count > 1 && within(last, area))
        figure_label(figure, LETTER_STRONG, INK_LEFT, last, 10, area, "left");
    const struct spot first = lean_spot(view, plot, all[0].fit.lean);
    if (within(first, area))
        figure_label(figure, LETTER_STRONG, INK_FOUND, first, 10, area, "found");
    if (!zoomed || count == 1)
        figure_label(figure, LETTER_SMALL, INK_SOFT, plot_spot(plot, 0, 0), 6, area, "upright");
    for (size_t i = 1; i + 1 < count && count <= NUMBERED; i++) {
        const struct spot spot = lean_spot(view, plot, all[i].fit.lean);
        char text[32];
        g_snprintf(text, sizeof text, "%zu", i + 1);
        if (within(spot, area) && hypot(spot.x - last.x, spot.y - last.y) > 8)
            figure_label(figure, LETTER_SMALL, INK_SOFT, spot, 5, area, text);
    }
}

static void draw_panel(struct figure *figure, const struct lean_view *view, const struct plot *plot,
    const char *x_title, const char *y_title, bool zoomed)
{
    figure_clip(figure, plot->area);
    draw_goal(figure, view, plot);
    figure_unclip(figure);
    plot_x_axis(figure, plot, x_title);
    plot_y_axis(figure, plot, y_title);
    plot_frame(figure, plot);
    figure_clip(figure, plot->area);
    const struct spot zero = plot_spot(plot, 0, 0);
    const struct style fine = {.line = INK_TEXT, .width = 0.9};
    figure_line(figure, fine, (struct spot){zero.x - 5, zero.y}, (struct spot){zero.x + 5, zero.y});
    figure_line(figure, fine, (struct spot){zero.x, zero.y - 5}, (struct spot){zero.x, zero.y + 5});
    figure_keep(figure, (struct box){zero.x - 5, zero.y - 5, 10, 10});
    draw_path(figure, view, plot);
    figure_unclip(figure);
    draw_labels(figure, view, plot, zoomed);
}

static void describe(struct figure *figure, const struct lean_view *view)
{
    const enum perpend_unit unit = view->machine->unit;
    const size_t count = view->solution->measurement_count;
    const struct perpend_measurement *all = view->solution->measurements;
    GString *text = g_string_new("Which way the top of the spindle leans, seen from above; the "
                                 "operator stands at the lower edge. ");
    char *found = say_lean(unit, &all[0].fit);
    char *left = say_lean(unit, &all[count - 1].fit);
    g_string_append_printf(text, "Found leaning %s", found);
    size_t adjusted = 0;
    for (size_t i = 0; i < count; i++)
        adjusted += all[i].adjusted;
    if (adjusted > 0)
        g_string_append_printf(text, "; left, after %zu %s, leaning %s", adjusted,
            adjusted == 1 ? "adjustment" : "adjustments", left);
    else if (count > 1)
        g_string_append_printf(text, "; left leaning %s", left);
    g_free(found);
    g_free(left);
    g_string_append(text, ". The rings round them hold the true lean with 95 % confidence.");
    if (view->ray_count > 0) {
        char *goal = say_stated(unit, WORDS_SMALL, view->machine->goal);
        g_string_append_printf(
            text, " Anywhere on the shaded surface the ridge is at or under the goal of %s.", goal);
        g_free(goal);
    }
    figure_describe(figure, "The lean, seen from above", text->str);
    g_string_free(text, TRUE);
}

static void draw_key(struct figure *figure, const struct lean_view *view)
{
    const struct perpend_measurement *now =
        &view->solution->measurements[view->solution->measurement_count - 1];
    struct key keys[4];
    size_t count = 0;
    if (view->ray_count > 0)
        keys[count++] = (struct key){
            .style = {.line = INK_GOAL, .fill = INK_MEETS, .width = 0.9}, .text = "meets the goal"};
    keys[count++] = (struct key){
        .style = {.line = INK_FOUND, .width = 0.9, .dash = DASH_SHORT}, .text = "95 % region"};
    if (answer_has_steps(now))
        keys[count++] = (struct key){.marked = true,
            .marker = MARKER_DIAMOND,
            .ink = INK_LEFT,
            .text = "expected after the plan"};
    plot_key(figure, (struct spot){1, 9}, FIGURE_WIDTH - 2, keys, count);
}

/** The last lean stands so near to upright that it wants a panel of its own. */
static bool wants_zoom(const struct lean_view *view, struct extent all, struct extent last)
{
    if (view->solution->measurement_count < 2)
        return false;
    const double span = fmax(all.right - all.left, all.back - all.front);
    const double near =
        fmax(fmax(last.right - last.left, last.back - last.front), 2.7 * least_reach(view));
    return near < 0.4 * span;
}

struct figure *figure_lean(
    const struct perpend_machine *machine, const struct perpend_solution *solution)
{
    const double top = 38;
    const double room = 30;
    struct figure *figure = figure_create(FIGURE_WIDTH, top + PANEL_HEIGHT + 28);
    struct lean_view view = {.machine = machine, .solution = solution};
    struct extent all = {0};
    struct extent last = {0};
    for (size_t i = 0; i < solution->measurement_count; i++)
        extend(&all, &solution->measurements[i]);
    extend(&last, &solution->measurements[solution->measurement_count - 1]);
    if (isfinite(machine->goal)) {
        const double span =
            fmax(fmax(fabs(all.left), fabs(all.right)), fmax(fabs(all.front), fabs(all.back)));
        outline_goal(&view, fmin(0.5, fmax(1e-3, 6 * span)));
    }
    const bool zoom = wants_zoom(&view, all, last);
    const double wide = FIGURE_WIDTH - room - 6 - (zoom ? ZOOM_WIDTH + room + 6 : 0);
    const struct box area = {room, top, wide, PANEL_HEIGHT};
    const struct plot whole = panel(&view, all, area);
    char *x_title = g_strdup_printf("toward the right (%s)", say_unit(machine->unit, WORDS_SLOPE));
    char *y_title = g_strdup_printf("toward the back (%s)", say_unit(machine->unit, WORDS_SLOPE));
    draw_key(figure, &view);
    draw_panel(figure, &view, &whole, x_title, y_title, false);
    if (zoom) {
        const struct box close = {
            FIGURE_WIDTH - ZOOM_WIDTH - 6, top + PANEL_HEIGHT - ZOOM_WIDTH, ZOOM_WIDTH, ZOOM_WIDTH};
        const struct plot part = panel(&view, last, close);
        figure_text(figure, LETTER_STRONG, INK_TEXT, ANCHOR_START,
            (struct spot){close.x, close.y - 9}, close.width, "The same, close up");
        draw_panel(figure, &view, &part, x_title, "", true);
    }
    describe(figure, &view);
    g_free(x_title);
    g_free(y_title);
    g_free(view.rays);
    g_free(view.reach);
    return figure;
}
