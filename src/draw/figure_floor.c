/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/plot.h"
#include "text/say.h"

#define STEPS_SHOWN 4   /* stepovers across the picture */
#define STEP_POINTS 160 /* on each, and more where the floor is steep */
#define HALVINGS 10     /* of a step at most */
#define TALLEST 120.0   /* pt */

static const struct style before_style = {.line = INK_FOUND, .width = 1.4, .dash = DASH_LONG};
static const struct style after_style = {.line = INK_LEFT, .fill = INK_BAND, .width = 1.7};
static const struct style goal_style = {.line = INK_GOAL, .width = 1.2, .dash = DASH_SHORT};

/** The floor across the feed: heights over places, mm. */
struct profile {
    GArray *places; /* struct spot */
    double height;  /* peak to valley, mm */
};

struct floor_view {
    const struct perpend_machine *machine;
    double along;
    double span; /* across the feed, mm */
};

/** The feed that is judged: the stated one, or the worse of both ways as the lean is now. */
static double feed_judged(const struct perpend_machine *machine, struct perpend_slope lean)
{
    if (!machine->facing.both_ways)
        return machine->facing.along;
    double x = 0;
    double y = 0;
    (void)perpend_ridge_height(
        lean, &machine->cutter, machine->facing.stepover, PERPEND_ALONG_X, &x);
    (void)perpend_ridge_height(
        lean, &machine->cutter, machine->facing.stepover, PERPEND_ALONG_Y, &y);
    return y > x ? PERPEND_ALONG_Y : PERPEND_ALONG_X;
}

/** The ridge along the feed that is judged, mm. */
static double ridge_judged(const struct perpend_machine *machine, struct perpend_slope lean)
{
    double height = 0;
    (void)perpend_ridge_height(
        lean, &machine->cutter, machine->facing.stepover, feed_judged(machine, lean), &height);
    return height;
}

static struct spot place_at(const struct floor_view *view, struct perpend_slope lean, double across)
{
    double z = 0;
    (void)perpend_floor_height(
        lean, &view->machine->cutter, view->machine->facing.stepover, view->along, across, &z);
    return (struct spot){across, z};
}

/** The places between two, closer where the floor is steep, and the second. */
static void fill_in(const struct floor_view *view, struct perpend_slope lean,
    struct profile *profile, struct spot from, struct spot to, int halvings)
{
    if (halvings > 0 && fabs(to.y - from.y) > 0.015 * profile->height) {
        const struct spot middle = place_at(view, lean, (from.x + to.x) / 2);
        fill_in(view, lean, profile, from, middle, halvings - 1);
        fill_in(view, lean, profile, middle, to, halvings - 1);
        return;
    }
    g_array_append_val(profile->places, to);
}

static struct profile profile_of(const struct floor_view *view, struct perpend_slope lean)
{
    struct profile profile = {.places = g_array_new(FALSE, FALSE, sizeof(struct spot))};
    const int count = STEPS_SHOWN * STEP_POINTS;
    (void)perpend_ridge_height(
        lean, &view->machine->cutter, view->machine->facing.stepover, view->along, &profile.height);
    struct spot before = place_at(view, lean, 0);
    g_array_append_val(profile.places, before);
    for (int i = 1; i <= count; i++) {
        const struct spot place = place_at(view, lean, view->span * i / count);
        fill_in(view, lean, &profile, before, place, HALVINGS);
        before = place;
    }
    double low = INFINITY;
    for (guint i = 0; i < profile.places->len; i++)
        low = fmin(low, g_array_index(profile.places, struct spot, i).y);
    for (guint i = 0; i < profile.places->len; i++)
        g_array_index(profile.places, struct spot, i).y -= low;
    return profile;
}

/** How far a spot is off the straight line between two others, pt. */
static double off_line(struct spot from, struct spot to, struct spot spot)
{
    const double length = hypot(to.x - from.x, to.y - from.y);
    const double area = (to.x - from.x) * (spot.y - from.y) - (to.y - from.y) * (spot.x - from.x);
    return length > 0 ? fabs(area) / length : hypot(spot.x - from.x, spot.y - from.y);
}

/** Whether the straight line from one spot to another passes close by all between them. */
static bool straight(const struct spot *spots, size_t from, size_t to)
{
    for (size_t i = from + 1; i < to; i++)
        if (off_line(spots[from], spots[to], spots[i]) > 0.02)
            return false;
    return true;
}

/** Leave out what lies on straight parts. Value: how many spots are left. */
static size_t thin_out(struct spot *spots, size_t count)
{
    GArray *kept = g_array_new(FALSE, FALSE, sizeof *spots);
    size_t from = 0;
    g_array_append_val(kept, spots[0]);
    for (size_t i = 1; i < count; i++)
        if (i + 1 == count || !straight(spots, from, i + 1)) {
            g_array_append_val(kept, spots[i]);
            from = i;
        }
    const size_t left = kept->len;
    memcpy(spots, kept->data, left * sizeof *spots);
    g_array_free(kept, TRUE);
    return left;
}

static void draw_profile(struct figure *figure, const struct floor_view *view,
    const struct plot *plot, const struct profile *profile, struct style style)
{
    const enum perpend_unit unit = view->machine->unit;
    struct spot *spots = g_new(struct spot, profile->places->len + 2);
    for (size_t i = 0; i < profile->places->len; i++) {
        const struct spot place = g_array_index(profile->places, struct spot, i);
        spots[i] = plot_spot(
            plot, say_shown(unit, WORDS_LARGE, place.x), say_shown(unit, WORDS_SMALL, place.y));
    }
    const size_t count = thin_out(spots, profile->places->len);
    if (style.fill != INK_NONE) {
        const double bottom = plot->area.y + plot->area.height;
        spots[count] = (struct spot){plot->area.x + plot->area.width, bottom};
        spots[count + 1] = (struct spot){plot->area.x, bottom};
        figure_path(figure, (struct style){.fill = style.fill}, spots, count + 2, true);
        style.fill = INK_NONE;
    }
    figure_path(figure, style, spots, count, false);
    g_free(spots);
}

static void describe(struct figure *figure, const struct floor_view *view, double times,
    const struct floor_lean *found, const struct profile *before, const struct floor_lean *left,
    const struct profile *after)
{
    const enum perpend_unit unit = view->machine->unit;
    char *feed = say_feed(view->along);
    char *step = say_stated(unit, WORDS_LARGE, view->machine->facing.stepover);
    char *ridge = say_ridge(unit, before->height);
    char *scale = say_number(times, 0);
    GString *text = g_string_new(NULL);
    g_string_append_printf(text,
        "The floor cut across the feed along %s, over %d passes %s apart. Heights are drawn %s "
        "times as large as widths. From valley to peak: %s %s",
        feed, STEPS_SHOWN, step, scale, found->name, ridge);
    if (left != NULL) {
        char *then = say_ridge(unit, after->height);
        g_string_append_printf(text, ", %s %s", left->name, then);
        g_free(then);
    }
    g_string_append_c(text, '.');
    if (feed_judged(view->machine, found->lean) != view->along) {
        /* another feed was the worse one then, and the one that counted */
        char *other = say_feed(feed_judged(view->machine, found->lean));
        char *worse = say_ridge(unit, ridge_judged(view->machine, found->lean));
        g_string_append_printf(
            text, " Of both feeds the one along %s counted %s, %s.", other, found->name, worse);
        g_free(other);
        g_free(worse);
    }
    figure_describe(figure, "The floor, across the feed", text->str);
    g_string_free(text, TRUE);
    g_free(feed);
    g_free(step);
    g_free(ridge);
    g_free(scale);
}

static void draw_goal(struct figure *figure, const struct floor_view *view, const struct plot *plot)
{
    const double goal = say_shown(view->machine->unit, WORDS_SMALL, view->machine->goal);
    if (!isfinite(goal) || goal > plot->y.high)
        return;
    const struct spot from = {plot->area.x, axis_at(&plot->y, goal)};
    const struct spot to = {plot->area.x + plot->area.width, from.y};
    figure_line(figure, goal_style, from, to);
}

/** The key above the floor. Value: how high it is, pt. */
static double draw_key(struct figure *figure, const struct perpend_machine *machine,
    const struct floor_lean *found, const struct floor_lean *left, bool goal_shown)
{
    char *goal = say_stated(machine->unit, WORDS_SMALL, goal_shown ? machine->goal : 0);
    char *text = g_strdup_printf("goal, %s", goal);
    struct key keys[3] = {{.style = before_style, .text = found->name}};
    size_t count = 1;
    if (left != NULL)
        keys[count++] = (struct key){.style = after_style, .text = left->name};
    if (goal_shown)
        keys[count++] = (struct key){.style = goal_style, .text = text};
    const double high = plot_key(figure, (struct spot){1, 9}, FIGURE_WIDTH - 2, keys, count);
    g_free(goal);
    g_free(text);
    return high;
}

static void draw_floors(struct figure *figure, const struct floor_view *view,
    const struct plot *plot, double times, const struct profile *before,
    const struct profile *after)
{
    const enum perpend_unit unit = view->machine->unit;
    char *scale = say_number(times, 0);
    char *x_title = g_strdup_printf("across the feed (%s)", say_unit(unit, WORDS_LARGE));
    char *y_title = g_strdup_printf(
        "height (%s), drawn %s times as large as the width", say_unit(unit, WORDS_SMALL), scale);
    if (after->places != NULL)
        draw_profile(figure, view, plot, after, after_style);
    plot_x_axis(figure, plot, x_title);
    plot_y_axis(figure, plot, y_title);
    draw_goal(figure, view, plot);
    draw_profile(figure, view, plot, before, before_style);
    if (after->places != NULL) /* once more, over what was drawn since */
        draw_profile(figure, view, plot, after,
            (struct style){.line = after_style.line, .width = after_style.width});
    plot_frame(figure, plot);
    g_free(scale);
    g_free(x_title);
    g_free(y_title);
}

struct figure *figure_floor(const struct perpend_machine *machine, const struct floor_lean *found,
    const struct floor_lean *left)
{
    const enum perpend_unit unit = machine->unit;
    struct figure *figure = figure_create(FIGURE_WIDTH, 0);
    const struct floor_view view = {.machine = machine,
        .along = feed_judged(machine, left != NULL && !left->expected ? left->lean : found->lean),
        .span = STEPS_SHOWN * machine->facing.stepover};
    const struct profile before = profile_of(&view, found->lean);
    const struct profile after = left != NULL ? profile_of(&view, left->lean) : (struct profile){0};
    const double ridge = fmax(fmax(before.height, after.height), 1e-4);
    const bool goal_shown = isfinite(machine->goal) && machine->goal < 3 * ridge;
    const double tall = 1.1 * (goal_shown ? fmax(ridge, machine->goal) : ridge);

    struct plot plot = {.x = axis_over(0, say_shown(unit, WORDS_LARGE, view.span), 8),
        .y = axis_over(0, say_shown(unit, WORDS_SMALL, tall), 4)};
    const double room = axis_room(figure, &plot.y) + 2;
    const double wide = FIGURE_WIDTH - room - 8;
    const double true_height = tall * wide / view.span; /* pt, drawn to scale */
    const double times = fmax(1, nice_below(TALLEST / true_height));
    const double top = draw_key(figure, machine, found, left, goal_shown) + 22;
    plot.area = (struct box){room, top, wide, times * true_height};
    plot_fit(&plot);
    draw_floors(figure, &view, &plot, times, &before, &after);
    figure_set_height(figure, top + plot.area.height + 30);
    describe(figure, &view, times, found, &before, left, &after);
    g_array_free(before.places, TRUE);
    if (after.places != NULL)
        g_array_free(after.places, TRUE);
    return figure;
}
