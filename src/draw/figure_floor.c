/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/letters.h"
#include "draw/plot.h"
#include "text/words.h"

#define LEFT 122.0   /* px, room for the names of heights */
#define TALLEST 84.0 /* px, of twice the larger of goal and ridge */
#define AREA 96.0    /* px, of the profile with the bit in it */
#define BASE 17.0    /* px, of the board under the floor */
#define CORNER 16.0  /* px, of the height of a round corner that is drawn */
#define SPOTS 370    /* along a line: two thirds of a px apart */

/** The floor of one feed, up to two of them in one strip: as found behind, as it is now before it. */
struct strip {
    const struct perpend_machine *machine;
    const struct floor_lean *leans[2]; /* NULL: none */
    struct words words;
    double along;
    double wide;       /* across the feed, mm */
    bool mirrored;     /* the offset from a pass grows to the left */
    double across, up; /* px/mm */
    double base;       /* px, of the lowest place */
    double top;        /* px, nothing is drawn above it */
};

static double ridge_of(const struct strip *strip, const struct floor_lean *lean)
{
    const struct perpend_machine *machine = strip->machine;
    double height = 0;
    if (lean != NULL && perpend_ridge_height(lean->lean, &machine->cutter, machine->facing.stepover,
                            strip->along, &height) != PERPEND_OK)
        height = INFINITY;
    return height;
}

static enum ink ink_of(const struct strip *strip, const struct floor_lean *lean)
{
    return ink_judged(&strip->machine->goal, ridge_of(strip, lean), lean->lean);
}

/** The floor of passes so far apart, at a place. */
static struct spot floor_spot(
    const struct strip *strip, struct perpend_slope lean, double stepover, double place)
{
    double z = 0;
    (void)perpend_floor_height(lean, &strip->machine->cutter, stepover, strip->along,
        strip->mirrored ? -place : place, &z);
    return at(LEFT + strip->across * place, strip->base - strip->up * z);
}

/** A floor's line over a stretch of it. */
struct profile {
    struct spot spots[SPOTS + 2]; /* with room for two that close it */
};

static struct profile profile_of(
    const struct strip *strip, struct perpend_slope lean, double stepover, double from, double to)
{
    struct profile profile;
    for (int i = 0; i < SPOTS; i++)
        profile.spots[i] = floor_spot(strip, lean, stepover, from + (to - from) * i / (SPOTS - 1));
    return profile;
}

static void draw_profile(
    struct figure *figure, const struct strip *strip, const struct floor_lean *lean, bool front)
{
    const enum ink ink = ink_of(strip, lean);
    const enum ink fill = ink == INK_OVER   ? INK_PAPER
                          : ink == INK_TEXT ? INK_BAND
                          : front           ? INK_WITHIN
                                            : INK_MEETS;
    struct profile profile =
        profile_of(strip, lean->lean, strip->machine->facing.stepover, 0, strip->wide);
    profile.spots[SPOTS] = at(FIGURE_WIDTH, strip->base);
    profile.spots[SPOTS + 1] = at(LEFT, strip->base);
    figure_path(figure, surface(fill), profile.spots, SPOTS + 2, true);
    if (ink == INK_OVER)
        figure_hatch(figure, ink, profile.spots, SPOTS, strip->base);
    figure_path(figure, pen(ink, 1.4), profile.spots, SPOTS, false);
}

/** px; NAN when no ridge is set. */
static double goal_line(const struct strip *strip)
{
    return strip->base - strip->up * strip->machine->goal.ridge;
}

static void draw_goal(struct figure *figure, const struct strip *strip)
{
    const double y = goal_line(strip);
    if (!(y >= strip->top))
        return;
    figure_line(figure, pen(INK_PAPER, 4.4), at(LEFT, y), at(FIGURE_WIDTH, y));
    figure_line(figure, pen(INK_TEXT, 2.2), at(LEFT, y), at(FIGURE_WIDTH, y));
}

/** A place beside another: so far along a direction, and so far to its left. */
static struct spot beside(struct spot from, struct spot along, double ahead, double left)
{
    return at(from.x + ahead * along.x + left * along.y, from.y + ahead * along.y - left * along.x);
}

/** Where the bit's name stands: in its body or, where the goal's line runs there, beside its shank. */
struct bit_name {
    struct spot at;
    enum anchor anchor;
};

/** The bit in section, in the pass before the last that it fits into. Value: where its name stands; above
 *  everything when it is not drawn. */
static struct bit_name draw_bit(
    struct figure *figure, const struct strip *strip, struct perpend_slope lean)
{
    const struct perpend_machine *machine = strip->machine;
    const struct style outline = outlined(INK_TEXT, INK_PAPER, 1.4);
    struct perpend_ridge ridge;
    const struct perpend_facing facing = {
        .stepover = machine->facing.stepover, .along = strip->along, .depth = NAN};
    if (perpend_ridge_describe(lean, &machine->cutter, &facing, &ridge) != PERPEND_OK)
        return (struct bit_name){{0, -INFINITY}, ANCHOR_MIDDLE};
    /* so that its rim belongs to one pass; of a round corner what is not far above the floor */
    const double corner = machine->cutter.corner;
    const double low = fmin(corner, CORNER / strip->up);
    const double half =
        (1 - 1e-4) * (ridge.full_width / 2 - corner + sqrt(low * (2 * corner - low)));
    const double pass = facing.stepover * floor((strip->wide - 1.15 * half) / facing.stepover);
    struct profile edge = profile_of(strip, lean, ridge.full_width * (1 - 1e-6), -half, half);
    for (int i = 0; i < SPOTS; i++)
        edge.spots[i].x += strip->across * pass;
    const struct spot a = edge.spots[0];
    const struct spot b = edge.spots[SPOTS - 1];
    const double length = hypot(b.x - a.x, b.y - a.y);
    const struct spot u = at((b.x - a.x) / length, (b.y - a.y) / length);
    const struct spot middle = {(a.x + b.x) / 2, (a.y + b.y) / 2};
    const double high = 0.4 * length; /* of the body; u turned up is the axis as it is drawn */
    const double shank = 0.14 * length;
    const struct spot neck[4] = {beside(middle, u, -shank, high),
        beside(middle, u, -shank, 4 * high), beside(middle, u, shank, 4 * high),
        beside(middle, u, shank, high)};
    edge.spots[SPOTS] = beside(b, u, 0, high);
    edge.spots[SPOTS + 1] = beside(a, u, 0, high);
    figure_clip(figure,
        (struct box){LEFT, strip->top, FIGURE_WIDTH - LEFT, strip->base + BASE - strip->top});
    figure_path(figure, outline, neck, 4, true);
    figure_path(figure, outline, edge.spots, SPOTS + 2, true);
    figure_unclip(figure);
    const struct spot inside = beside(middle, u, 0, high / 2);
    if (fabs(inside.y - goal_line(strip)) < 11)
        return (struct bit_name){beside(middle, u, -shank - 5, high + 9), ANCHOR_END};
    return (struct bit_name){inside, ANCHOR_MIDDLE};
}

/** What a height is called at the left of a strip, on two lines. */
struct height {
    double y; /* px, where it is */
    enum ink ink;
    struct slot slots[5]; /* name and height */
};

static struct height height_of(
    const struct strip *strip, const char *name, enum ink ink, double height, bool stated)
{
    return (struct height){.y = fmax(strip->top, strip->base - strip->up * height),
        .ink = ink,
        .slots = {SLOT_TEXT("name", name), SLOT_IF("stated", stated),
            SLOT_STATED("goal", WORDS_SMALL, height), SLOT_RIDGE("ridge", height)}};
}

static int higher_first(const void *a, const void *b)
{
    const double x = ((const struct height *)a)->y;
    const double y = ((const struct height *)b)->y;
    return (x > y) - (x < y);
}

static void draw_heights(struct figure *figure, const struct strip *strip, bool judged)
{
    const double row = 13;
    const double block = 2 * row + 3;
    struct height heights[3];
    double names[3];
    size_t count = 0;
    for (size_t i = 0; i < 2; i++)
        if (strip->leans[i] != NULL)
            heights[count++] = height_of(strip, strip->leans[i]->name,
                ink_of(strip, strip->leans[i]), ridge_of(strip, strip->leans[i]), false);
    if (judged && isfinite(strip->machine->goal.ridge)) /* the same in the other strip */
        heights[count++] = height_of(strip, "goal", INK_TEXT, strip->machine->goal.ridge, true);
    qsort(heights, count, sizeof *heights, higher_first);
    for (size_t i = 0; i < count; i++) /* names beside their heights, clear of one another */
        names[i] = heights[i].y - 2;
    rows_apart(names, count, block, strip->top + 9, strip->base + 1);
    for (size_t i = 0; i < count; i++) {
        const struct height *h = &heights[i];
        figure_line(figure, pen(h->ink, 1.2), at(LEFT - 6, h->y), at(LEFT, h->y));
        figure_text(figure, ending(LETTER_SMALL, h->ink), at(LEFT - 8, names[i] + 1), LEFT - 9,
            h->slots[0].text);
        figure_say(figure, &strip->words, ending(LETTER_SMALL_STRONG, h->ink),
            at(LEFT - 8, names[i] + 1 + row), PICTURE_HEIGHT, h->slots);
    }
}

/** The board under the floor, with the names of its two sides. */
static void draw_board(struct figure *figure, const struct strip *strip, enum ink ink)
{
    const double right = strip->along + (strip->mirrored ? -1 : 1) * PERPEND_PI / 2;
    const double bearings[2] = {right + PERPEND_PI, right};
    figure_box(figure, surface(ink), (struct box){LEFT, strip->base, FIGURE_WIDTH - LEFT, BASE});
    for (int i = 0; i < 2; i++) {
        const double turns = bearings[i] / (2 * PERPEND_PI);
        char name[WORDS_LABEL];
        words_bearing_label(name, sizeof name, 2 * PERPEND_PI * (turns - floor(turns)));
        if (i == 0)
            figure_text(figure, starting(LETTER_SMALL_STRONG, INK_PAPER),
                at(LEFT + 5, strip->base + 13), 0, name);
        else
            figure_text(figure, ending(LETTER_SMALL_STRONG, INK_PAPER),
                at(FIGURE_WIDTH - 5, strip->base + 13), 0, name);
    }
}

/** A strip under its heading; the feed that is judged has the bit in it. Value: where it ends, px. */
static double draw_strip(
    struct figure *figure, const struct strip *strip, double heading, bool judged)
{
    figure_say(figure, &strip->words, starting(LETTER_STRONG, INK_TEXT), at(1, heading),
        PICTURE_FEED, SLOTS(SLOT_FEED("feed", strip->along), SLOT_IF("instead", !judged)));
    const struct floor_lean *now = strip->leans[strip->leans[1] != NULL];
    assert(now != NULL && strip->leans[0] != NULL);
    for (int i = 0; i < 2; i++)
        if (strip->leans[i] != NULL && isfinite(ridge_of(strip, strip->leans[i])))
            draw_profile(figure, strip, strip->leans[i], strip->leans[i] == now);
    struct bit_name name = {{0, -INFINITY}, ANCHOR_MIDDLE};
    if (judged)
        name = draw_bit(figure, strip, now->expected ? strip->leans[0]->lean : now->lean);
    draw_goal(figure, strip);
    const struct type type = {LETTER_SMALL, INK_TEXT, name.anchor, false, true};
    if (name.at.y > strip->top + 12)
        figure_say(figure, &strip->words, type, at(name.at.x, name.at.y + 4), PICTURE_BIT,
            SLOTS(SLOT_STATED("bit", WORDS_LARGE, strip->machine->cutter.diameter)));
    draw_board(figure, strip, ink_of(strip, now));
    figure_line(figure, pen(INK_TEXT, 0.9), at(LEFT, strip->top), at(LEFT, strip->base + BASE));
    draw_heights(figure, strip, judged);
    return strip->base + BASE;
}

/** The height that a strip has to show. */
static double tallest(const struct strip *strip)
{
    double most = isfinite(strip->machine->goal.ridge) ? strip->machine->goal.ridge : 1e-4;
    for (int i = 0; i < 2; i++) {
        const double ridge = ridge_of(strip, strip->leans[i]);
        most = fmax(most, isfinite(ridge) ? ridge : 0);
    }
    return most;
}

static void describe(
    struct figure *figure, const struct strip *first, const struct strip *other, double times)
{
    const struct floor_lean *found = first->leans[0];
    const struct floor_lean *left = first->leans[1];
    assert(found != NULL);
    plot_describe(figure, &first->words, PICTURE_FLOOR_TITLE, PICTURE_FLOOR,
        SLOTS(SLOT_FEED("feed", first->along), SLOT_FEED("other_feed", other->along),
            SLOT_STATED("step", WORDS_LARGE, first->machine->facing.stepover),
            SLOT_NUMBER("times", times, nice_decimals(times)), SLOT_TEXT("first_name", found->name),
            SLOT_TEXT("second_name", left != NULL ? left->name : ""),
            SLOT_RIDGE("first", ridge_of(first, found)),
            SLOT_RIDGE("second", ridge_of(first, left)),
            SLOT_RIDGE("other_first", ridge_of(other, found)),
            SLOT_RIDGE("other_second", ridge_of(other, left))));
}

static struct strip strip_of(const struct perpend_machine *machine, double along,
    const struct floor_lean *found, const struct floor_lean *left)
{
    const double step = machine->facing.stepover;
    const double wide = step * ceil(fmax(4, 1.6 * machine->cutter.diameter / step));
    return (struct strip){.machine = machine,
        .leans = {found, left},
        .words = {.unit = machine->unit},
        .along = along,
        .wide = wide,
        .across = (FIGURE_WIDTH - LEFT) / wide,
        /* the back, or else the right, is at the right */
        .mirrored = cos(along + PERPEND_PI / 2) < -1e-9};
}

/** The feed that is judged: the stated one, or the worse of both ways. */
static double feed_judged(const struct perpend_machine *machine, const struct floor_lean *now)
{
    const struct strip x = strip_of(machine, PERPEND_ALONG_X, now, NULL);
    const struct strip y = strip_of(machine, PERPEND_ALONG_Y, now, NULL);
    if (!machine->facing.both_ways)
        return machine->facing.along;
    return ridge_of(&y, now) > ridge_of(&x, now) ? PERPEND_ALONG_Y : PERPEND_ALONG_X;
}

struct figure *figure_floor(const struct perpend_machine *machine, const struct floor_lean *found,
    const struct floor_lean *left)
{
    struct figure *figure = figure_create(FIGURE_WIDTH, 0);
    const double along = feed_judged(machine, left != NULL && !left->expected ? left : found);
    struct strip first = strip_of(machine, along, found, left);
    struct strip other = strip_of(machine, fmod(along + PERPEND_PI / 2, PERPEND_PI), found, left);
    const double room = fmax(2 * tallest(&first), tallest(&other)) * first.across;
    const double times = fmin(2000, nice_below(TALLEST / room));
    first.up = other.up = times * first.across;
    figure_say(figure, &first.words, ending(LETTER_SMALL, INK_SOFT), at(FIGURE_WIDTH - 1, 12),
        PICTURE_TIMES, SLOTS(SLOT_NUMBER("times", times, nice_decimals(times))));
    first.top = 22;
    first.base = first.top + AREA;
    const double under = draw_strip(figure, &first, 12, true);
    other.top = under + 26;
    other.base = other.top + fmax(62, tallest(&other) * other.up + 4);
    const double bottom = draw_strip(figure, &other, under + 20, false);
    figure->height = bottom + 2;
    describe(figure, &first, &other, times);
    return figure;
}
