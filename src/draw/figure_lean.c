/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/letters.h"
#include "draw/plot.h"
#include "text/say.h"

#define RADIUS 90.0
#define RAYS 160 /* a quarter turn, on which the goal's outline is looked for */
#define REGION_SPOTS 72
#define NUMBERED 8 /* rounds at most, for each in between to get its number */

/** The target, upright in its middle. */
struct target {
    const struct perpend_machine *machine;
    const struct perpend_solution *solution;
    struct words words;
    struct spot centre;
    double rim;  /* lean there, mm/mm */
    double step; /* from ring to ring, in the unit that people see */
    double goal; /* lean that keeps the goal whichever way; NAN without one */
    bool planned;
};

static const struct perpend_measurement *measured(const struct target *target, size_t i)
{
    return &target->solution->measurements[i];
}

static const struct perpend_measurement *measured_last(const struct target *target)
{
    return measured(target, target->solution->measurement_count - 1);
}

static struct spot lean_spot(const struct target *target, struct perpend_slope lean)
{
    return at(target->centre.x + RADIUS * lean.right / target->rim,
        target->centre.y - RADIUS * lean.back / target->rim);
}

static struct spot measured_spot(const struct target *target, size_t i)
{
    return lean_spot(target, measured(target, i)->fit.lean);
}

static struct perpend_slope toward(double bearing, double size)
{
    const double right = size * sin(bearing), back = size * cos(bearing);
    return (struct perpend_slope){right, back};
}

/** The outline of what keeps the goal: all of it that lies within the rim. */
static void draw_goal(struct figure *figure, const struct target *target)
{
    const struct perpend_machine *machine = target->machine;
    const struct perpend_facing *facing = &machine->facing;
    const double along = facing->both_ways ? PERPEND_ALONG_X : facing->along;
    struct spot outline[4 * RAYS];
    if (!perpend_goal_is_set(&machine->goal))
        return;
    for (int i = 0; i < 4 * RAYS; i++) { /* thin along and across the feed, so rays crowd there */
        const double share = (double)(i % RAYS) / RAYS;
        const double crowded = share < 0.5 ? 4 * pow(share, 3) : 1 - 4 * pow(1 - share, 3);
        const int quarter = i / RAYS;
        const double turn = quarter + (crowded + share) / 2;
        const double bearing = along + turn * PERPEND_PI / 2;
        outline[i] = lean_spot(target, toward(bearing, lean_reach(&machine->cutter, facing,
                                                           &machine->goal, bearing, target->rim)));
    }
    figure_path(figure, outlined(INK_SOFT, INK_MEETS, 0.9), outline, (size_t)4 * RAYS, true);
}

/** The ring within which the goal is kept whichever way the spindle leans. */
static void draw_goal_ring(struct figure *figure, const struct target *target)
{
    const struct spot c = target->centre;
    const double radius = RADIUS * target->goal / target->rim;
    if (!(target->goal < target->rim))
        return;
    figure_circle(figure, pen(INK_TEXT, 2.2), c, radius);
    for (int i = 0; i < 60; i++)
        figure_keep_round(figure,
            at(c.x + radius * sin(i * PERPEND_PI / 30), c.y - radius * cos(i * PERPEND_PI / 30)),
            2);
}

static void draw_operator(struct figure *figure, struct spot head)
{
    struct spot shoulders[13];
    for (int i = 0; i < 13; i++)
        shoulders[i] =
            at(head.x - 10 * cos(i * PERPEND_PI / 12), head.y + 8 - 9 * sin(i * PERPEND_PI / 12));
    figure_circle(figure, surface(INK_SOFT), at(head.x, head.y - 6), 4.5);
    figure_path(figure, surface(INK_SOFT), shoulders, 13, true);
    figure_text(figure, starting(LETTER_SMALL, INK_SOFT), at(head.x + 15, head.y + 5), 0, "you");
}

static void draw_rim(struct figure *figure, const struct target *target)
{
    const struct spot c = target->centre;
    for (int i = 0; i < 16; i++) {
        const double x = sin(i * PERPEND_PI / 8);
        const double y = cos(i * PERPEND_PI / 8);
        const double out = RADIUS + (i % 4 == 0 ? 7 : 4);
        figure_line(figure, pen(INK_TEXT, i % 4 == 0 ? 1.4 : 0.8),
            at(c.x + RADIUS * x, c.y - RADIUS * y), at(c.x + out * x, c.y - out * y));
    }
    for (int i = 0; i < 120; i++)
        figure_keep_round(figure,
            at(c.x + RADIUS * sin(i * PERPEND_PI / 60), c.y - RADIUS * cos(i * PERPEND_PI / 60)),
            3);
    figure_line(figure, pen(INK_GRID, 0.8), at(c.x - RADIUS, c.y), at(c.x + RADIUS, c.y));
    figure_line(figure, pen(INK_GRID, 0.8), at(c.x, c.y - RADIUS), at(c.x, c.y + RADIUS));
    figure_circle(figure, pen(INK_TEXT, 2.6), c, RADIUS);
    plot_sides(figure, c, RADIUS + 11, RADIUS + 19, RADIUS + 10);
    figure_text(figure, starting(LETTER_SMALL, INK_SOFT), at(1, 11), 0, "seen from above");
    figure_text(figure, ending(LETTER_SMALL, INK_SOFT), at(FIGURE_WIDTH - 1, 11), 0,
        words_unit_name(&target->words, WORDS_SLOPE));
    draw_operator(figure, at(c.x, c.y + RADIUS + 34));
}

static int ring_count(const struct target *target)
{
    return (int)floor(0.97 * words_shown(&target->words, WORDS_SLOPE, target->rim) / target->step);
}

/** Rings to read sizes by. */
static void draw_rings(struct figure *figure, const struct target *target)
{
    const double rim = words_shown(&target->words, WORDS_SLOPE, target->rim);
    for (int i = 1; i <= ring_count(target); i++)
        figure_circle(figure, pen(INK_GRID, 0.8), target->centre, RADIUS * i * target->step / rim);
}

/** The rings' numbers, each where there is room for it. */
static void draw_numbers(struct figure *figure, const struct target *target)
{
    static const double bearings[] = {150, 210, 30, 330, 120, 240, 60, 300};
    const double rim = words_shown(&target->words, WORDS_SLOPE, target->rim);
    const struct type type = centred(LETTER_SMALL, INK_SOFT);
    for (int i = 1; i <= ring_count(target); i++) {
        struct buffer text = {0};
        buffer_add_number(&text, i * target->step, nice_decimals(target->step));
        for (size_t k = 0; k < sizeof bearings / sizeof *bearings; k++) {
            const struct perpend_slope lean =
                toward(perpend_radians(bearings[k]), target->rim * i * target->step / rim);
            if (figure_text_on(figure, type, lean_spot(target, lean), buffer_text(&text)))
                break;
        }
        buffer_finish(&text);
    }
}

static enum ink ink_of(const struct target *target, size_t i)
{
    const struct perpend_measurement *m = measured(target, i);
    return ink_judged(&target->machine->goal, m->ridge.height, m->fit.lean);
}

/** So many standard uncertainties hold a lean 95 times in 100: a bivariate t whose covariance is that
 *  of the fit (Kotz and Nadarajah, "Multivariate t distributions", from memory). */
static double coverage(const struct perpend_fit *fit)
{
    const double square = -2 * log(0.05);
    return sqrt(isinf(fit->dof) ? square : (fit->dof - 2) * expm1(square / fit->dof));
}

/** The 95 % region of a lean: the unit circle through the root of its covariance. */
static void draw_region(struct figure *figure, const struct target *target, size_t number)
{
    const struct perpend_fit *fit = &measured(target, number)->fit;
    const struct perpend_slope_covariance *c = &fit->lean_covariance;
    const double a = sqrt(fmax(0, c->right_right));
    const double b = a > 0 ? c->right_back / a : 0;
    const double d = sqrt(fmax(0, c->back_back - b * b));
    const double reach = coverage(fit);
    struct spot ring[REGION_SPOTS];
    for (size_t i = 0; i < REGION_SPOTS; i++) {
        const double turn = 2 * PERPEND_PI * (double)i / REGION_SPOTS;
        const double p = reach * cos(turn);
        const double q = reach * sin(turn);
        ring[i] = lean_spot(target,
            (struct perpend_slope){fit->lean.right + a * p, fit->lean.back + b * p + d * q});
        figure_keep_round(figure, ring[i], 2);
    }
    figure_path(figure, broken(ink_of(target, number), 0.9), ring, REGION_SPOTS, true);
}

/** An arrow that leaves both ends free for their markers. */
static void draw_way(struct figure *figure, struct style style, struct spot from, struct spot to)
{
    const double length = hypot(to.x - from.x, to.y - from.y);
    const double room = 5.5;
    const double x = room * (to.x - from.x) / length;
    const double y = room * (to.y - from.y) / length;
    figure_keep_line(figure, from, to);
    if (length > 2.5 * room)
        figure_arrow(figure, style, at(from.x + x, from.y + y), at(to.x - x, to.y - y), 6);
}

static void draw_spot(struct figure *figure, enum marker marker, enum ink ink, struct spot spot)
{
    figure_marker(figure, marker, ink, spot, 3.8);
    figure_keep_round(figure, spot, 4);
}

static void draw_path(struct figure *figure, const struct target *target)
{
    const size_t last = target->solution->measurement_count - 1;
    const struct perpend_measurement *now = measured(target, last);
    draw_region(figure, target, 0);
    if (last > 0)
        draw_region(figure, target, last);
    for (size_t i = 1; i <= last; i++)
        draw_way(
            figure, pen(INK_TEXT, 1.1), measured_spot(target, i - 1), measured_spot(target, i));
    if (target->planned) {
        const struct spot to = lean_spot(target, now->plan.lean_after);
        draw_way(figure, broken(INK_SOFT, 1), measured_spot(target, last), to);
        draw_spot(figure, MARKER_DIAMOND, INK_SOFT, to);
    }
    for (size_t i = 0; i <= last; i++) {
        const enum ink ink = ink_of(target, i);
        draw_spot(
            figure, ink == INK_WITHIN ? MARKER_DOT : MARKER_RING, ink, measured_spot(target, i));
    }
}

/** What a measurement is called beside its spot: "1 found: 6.7"; or outside the rim, as near as there is
 *  room, with a line to the spot. */
static void label(struct figure *figure, const struct target *target, size_t i, enum letter letter,
    const char *name)
{
    const struct type type = starting(letter, ink_of(target, i));
    const struct box within = {1, 16, FIGURE_WIDTH - 2, target->centre.y + RADIUS - 16};
    const struct spot spot = measured_spot(target, i);
    const double size = perpend_slope_size(measured(target, i)->fit.lean);
    struct buffer text = {0};
    buffer_addf(&text, "%zu%s: ", i + 1, name);
    buffer_add_number(
        &text, words_shown(&target->words, WORDS_SLOPE, size), nice_decimals(target->step) + 1);
    bool said = figure_label(figure, type, spot, 9, within, buffer_text(&text));
    for (int k = 0; k < 24 && !said; k++) { /* right and left, above and below in turn */
        const int rows = k / 4 + k / 2 % 2;
        const double y = spot.y + (k / 2 % 2 == 0 ? 8 : -8) * rows;
        const double down = y - target->centre.y;
        const double edge = sqrt(fmax(0, RADIUS * RADIUS - down * down)) + 8;
        const struct spot out = {target->centre.x + (k % 2 == 0 ? edge : -edge), y};
        said = figure_label(figure, type, out, 3, within, buffer_text(&text));
        if (said)
            figure_line(figure, pen(type.ink, 0.8), spot, out);
    }
    buffer_finish(&text);
}

static void draw_labels(struct figure *figure, const struct target *target)
{
    const size_t count = target->solution->measurement_count;
    if (count > 1)
        label(figure, target, count - 1, LETTER_STRONG, " now");
    label(figure, target, 0, LETTER_STRONG, " found");
    for (size_t i = 1; i + 1 < count && count <= NUMBERED; i++)
        label(figure, target, i, LETTER_SMALL, "");
}

static void describe(struct figure *figure, const struct target *target)
{
    const size_t count = target->solution->measurement_count;
    char *found = say_lean(target->words.unit, &measured(target, 0)->fit);
    char *left = say_lean(target->words.unit, &measured_last(target)->fit);
    size_t adjusted = 0;
    for (size_t i = 0; i < count; i++)
        adjusted += measured(target, i)->adjusted;
    plot_describe(figure, &target->words, PICTURE_LEAN_TITLE, PICTURE_LEAN,
        SLOTS(SLOT_TEXT("found", found), SLOT_TEXT("now", left), SLOT_IF("several", count > 1),
            SLOT_IF("adjusted", adjusted > 0), SLOT_COUNT("count", adjusted),
            SLOT_IF("any_goal", perpend_goal_is_set(&target->machine->goal)),
            SLOT_GOAL("goal", &target->machine->goal)));
    free(found);
    free(left);
}

/** In the corners below the target. */
static void draw_key(struct figure *figure, const struct target *target)
{
    const double top = target->centre.y + RADIUS;
    const struct key left[] = {
        {perpend_goal_is_set(&target->machine->goal) ? "meets the goal" : NULL,
            .style = outlined(INK_SOFT, INK_MEETS, 0.9)},
        {"95 % region", .style = broken(INK_SOFT, 0.9)}};
    const struct key right[] = {
        {target->goal < target->rim ? "whichever way" : NULL, .style = pen(INK_TEXT, 2.2)},
        {target->planned ? "after the plan" : NULL, .marker = MARKER_DIAMOND, .ink = INK_SOFT}};
    plot_key(figure, at(1, top + 19), 120, left, 2);
    plot_key(figure, at(FIGURE_WIDTH - 119, top + 19), 120, right, 2);
}

/** Three goals, or what holds every lean with its 95 % region. */
static double rim_of(const struct perpend_solution *solution, double goal)
{
    double rim = isfinite(goal) ? fmax(3 * goal, 1e-5) : 1e-5;
    for (size_t i = 0; i < solution->measurement_count; i++) {
        const struct perpend_fit *fit = &solution->measurements[i].fit;
        const double variance =
            fmax(0, fit->lean_covariance.right_right + fit->lean_covariance.back_back);
        const double size = perpend_slope_size(fit->lean);
        rim = fmax(rim, fmax(1.2 * size, size + 1.05 * coverage(fit) * sqrt(variance)));
    }
    return rim;
}

struct figure *figure_lean(
    const struct perpend_machine *machine, const struct perpend_solution *solution, bool planned)
{
    struct figure *figure = figure_create(FIGURE_WIDTH, 2 * RADIUS + 24 + 48);
    const double goal = /* fmin passes over NAN */
        fmin(isfinite(machine->goal.ridge) ? solution->measurements[0].limits.lean : NAN,
            machine->goal.lean);
    struct target target = {.machine = machine,
        .solution = solution,
        .words = {.unit = machine->unit},
        .centre = {FIGURE_WIDTH / 2, RADIUS + 24},
        .rim = rim_of(solution, goal),
        .goal = goal,
        .planned = planned};
    target.step = nice_below(words_shown(&target.words, WORDS_SLOPE, target.rim) / 3);
    draw_goal(figure, &target);
    draw_rings(figure, &target);
    draw_goal_ring(figure, &target);
    draw_rim(figure, &target);
    draw_path(figure, &target);
    draw_labels(figure, &target);
    draw_numbers(figure, &target);
    draw_key(figure, &target);
    describe(figure, &target);
    return figure;
}
