/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "draw/figures.h"
#include "draw/letters.h"
#include "draw/plot.h"
#include "text/words.h"

#define LEFT 98.0     /* pt, room for the names of heights */
#define TALLEST 120.0 /* pt, of twice the larger of goal and ridge */
#define AREA 134.0    /* pt, of the profile with the bit in it */
#define BASE 13.0     /* pt, of the board under the floor */
#define SPOTS 370     /* along a line: two thirds of a pt apart */
#define HATCH 6       /* spots between lines */

/** The floor of one feed, up to two of them in one strip: as found behind, as it is now before it. */
struct strip {
    const struct perpend_machine *machine;
    const struct floor_lean *leans[2]; /* NULL: none */
    struct words words;
    double along;
    double wide;       /* across the feed, mm */
    bool mirrored;     /* the offset from a pass grows to the left */
    double across, up; /* pt/mm */
    double base;       /* pt, of the lowest place */
    double top;        /* pt, nothing is drawn above it */
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
    return ink_against(strip->machine->goal, ridge_of(strip, lean));
}

/** The floor of passes so far apart, at a place. */
static struct spot floor_spot(
    const struct strip *strip, struct perpend_slope lean, double stepover, double place)
{
    double z = 0;
    (void)perpend_floor_height(lean, &strip->machine->cutter, stepover, strip->along,
        strip->mirrored ? -place : place, &z);
    return (struct spot){LEFT + strip->across * place, strip->base - strip->up * z};
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

/** Upright lines from the lowest place to a profile: what is over the goal, in print without colour
 *  as well. */
static void hatch(
    struct figure *figure, const struct strip *strip, const struct profile *profile, enum ink ink)
{
    for (int i = HATCH / 2; i < SPOTS; i += HATCH)
        figure_line(figure, (struct style){.line = ink, .width = 0.8},
            (struct spot){profile->spots[i].x, strip->base}, profile->spots[i]);
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
    profile.spots[SPOTS] = (struct spot){FIGURE_WIDTH, strip->base};
    profile.spots[SPOTS + 1] = (struct spot){LEFT, strip->base};
    figure_path(figure, (struct style){.fill = fill}, profile.spots, SPOTS + 2, true);
    if (ink == INK_OVER)
        hatch(figure, strip, &profile, ink);
    figure_path(figure, (struct style){.line = ink, .width = 1.4}, profile.spots, SPOTS, false);
}

static void draw_goal(struct figure *figure, const struct strip *strip)
{
    const double y = strip->base - strip->up * strip->machine->goal;
    if (!isfinite(strip->machine->goal) || y < strip->top)
        return;
    const struct spot from = {LEFT, y};
    const struct spot to = {FIGURE_WIDTH, y};
    figure_line(figure, (struct style){.line = INK_PAPER, .width = 4.4}, from, to);
    figure_line(figure, (struct style){.line = INK_TEXT, .width = 2.2}, from, to);
}

/** The bit in section, in the pass before the last that it fits into. */
static void draw_bit(struct figure *figure, const struct strip *strip, struct perpend_slope lean)
{
    const struct perpend_machine *machine = strip->machine;
    const struct style outline = {.line = INK_TEXT, .fill = INK_PAPER, .width = 1.4};
    struct perpend_ridge ridge;
    const struct perpend_facing facing = {
        .stepover = machine->facing.stepover, .along = strip->along, .depth = NAN};
    if (perpend_ridge_describe(lean, &machine->cutter, &facing, &ridge) != PERPEND_OK)
        return;
    const double half = ridge.full_width / 2 * (1 - 1e-4); /* so that its rim belongs to one pass */
    const double pass = facing.stepover * floor((strip->wide - 1.15 * half) / facing.stepover);
    struct profile edge = profile_of(strip, lean, ridge.full_width * (1 - 1e-6), -half, half);
    for (int i = 0; i < SPOTS; i++)
        edge.spots[i].x += strip->across * pass;
    const struct spot a = edge.spots[0];
    const struct spot b = edge.spots[SPOTS - 1];
    const double length = hypot(b.x - a.x, b.y - a.y);
    const struct spot u = {(b.x - a.x) / length, (b.y - a.y) / length};
    const struct spot middle = {(a.x + b.x) / 2, (a.y + b.y) / 2};
    const double high = 0.4 * length; /* of the body; u turned up is the axis as it is drawn */
    const double shank = 0.14 * length;
    const struct spot neck[4] = {
        {middle.x - shank * u.x + high * u.y, middle.y - shank * u.y - high * u.x},
        {middle.x - shank * u.x + 4 * high * u.y, middle.y - shank * u.y - 4 * high * u.x},
        {middle.x + shank * u.x + 4 * high * u.y, middle.y + shank * u.y - 4 * high * u.x},
        {middle.x + shank * u.x + high * u.y, middle.y + shank * u.y - high * u.x}};
    edge.spots[SPOTS] = (struct spot){b.x + high * u.y, b.y - high * u.x};
    edge.spots[SPOTS + 1] = (struct spot){a.x + high * u.y, a.y - high * u.x};
    figure_clip(figure,
        (struct box){LEFT, strip->top, FIGURE_WIDTH - LEFT, strip->base + BASE - strip->top});
    figure_path(figure, outline, neck, 4, true);
    figure_path(figure, outline, edge.spots, SPOTS + 2, true);
    figure_unclip(figure);
}

/** What a height is called at the left of a strip, on two lines. */
struct height {
    double y; /* pt, where it is; then where its name stands */
    enum ink ink;
    const char *name;
    double value; /* mm */
    bool stated;
};

static int higher_first(const void *a, const void *b)
{
    const double x = ((const struct height *)a)->y;
    const double y = ((const struct height *)b)->y;
    return (x > y) - (x < y);
}

static void draw_heights(struct figure *figure, const struct strip *strip)
{
    const double row = 10.5;
    const double block = 2 * row + 3;
    struct height heights[3];
    size_t count = 0;
    for (size_t i = 0; i < 2; i++)
        if (strip->leans[i] != NULL)
            heights[count++] = (struct height){.ink = ink_of(strip, strip->leans[i]),
                .name = strip->leans[i]->name,
                .value = ridge_of(strip, strip->leans[i])};
    if (isfinite(strip->machine->goal))
        heights[count++] = (struct height){
            .ink = INK_TEXT, .name = "goal", .value = strip->machine->goal, .stated = true};
    for (size_t i = 0; i < count; i++)
        heights[i].y = fmax(strip->top, strip->base - strip->up * heights[i].value);
    qsort(heights, count, sizeof *heights, higher_first);
    double names[3]; /* beside their heights, but clear of one another and not below the floor */
    for (size_t i = 0; i < count; i++)
        names[i] = fmax(heights[i].y - 2, i > 0 ? names[i - 1] + block : strip->top + 7);
    for (size_t i = count; i-- > 0;)
        names[i] = fmin(names[i], i + 1 < count ? names[i + 1] - block : strip->base);
    for (size_t i = 0; i < count; i++) {
        struct buffer text = {0};
        if (heights[i].stated)
            words_stated(&strip->words, &text, WORDS_SMALL, heights[i].value);
        else
            words_ridge(&strip->words, &text, heights[i].value);
        figure_line(figure, (struct style){.line = heights[i].ink, .width = 1.2},
            (struct spot){LEFT - 6, heights[i].y}, (struct spot){LEFT, heights[i].y});
        figure_text(figure, (struct type){LETTER_SMALL, heights[i].ink, ANCHOR_END, false},
            (struct spot){LEFT - 8, names[i] + 1}, LEFT - 9, heights[i].name);
        figure_text(figure, (struct type){LETTER_SMALL_STRONG, heights[i].ink, ANCHOR_END, false},
            (struct spot){LEFT - 8, names[i] + 1 + row}, LEFT - 9, buffer_text(&text));
        buffer_finish(&text);
    }
}

/** The board under the floor, with the names of its two sides. */
static void draw_board(struct figure *figure, const struct strip *strip, enum ink ink)
{
    const double right = strip->along + (strip->mirrored ? -1 : 1) * PERPEND_PI / 2;
    const double bearings[2] = {right + PERPEND_PI, right};
    figure_box(figure, (struct style){.fill = ink},
        (struct box){LEFT, strip->base, FIGURE_WIDTH - LEFT, BASE});
    for (int i = 0; i < 2; i++) {
        const double turns = bearings[i] / (2 * PERPEND_PI);
        char name[WORDS_LABEL];
        words_bearing_label(name, sizeof name, 2 * PERPEND_PI * (turns - floor(turns)));
        figure_text(figure,
            (struct type){
                LETTER_SMALL_STRONG, INK_PAPER, i == 0 ? ANCHOR_START : ANCHOR_END, false},
            (struct spot){i == 0 ? LEFT + 5 : FIGURE_WIDTH - 5, strip->base + 10}, 0, name);
    }
}

/** Value: where it ends, pt. */
static double draw_strip(struct figure *figure, const struct strip *strip, bool with_bit)
{
    const struct floor_lean *now = strip->leans[strip->leans[1] != NULL];
    for (int i = 0; i < 2; i++)
        if (strip->leans[i] != NULL && isfinite(ridge_of(strip, strip->leans[i])))
            draw_profile(figure, strip, strip->leans[i], strip->leans[i] == now);
    if (with_bit)
        draw_bit(figure, strip, now->expected ? strip->leans[0]->lean : now->lean);
    draw_goal(figure, strip);
    draw_board(figure, strip, ink_of(strip, now));
    figure_line(figure, (struct style){.line = INK_TEXT, .width = 0.9},
        (struct spot){LEFT, strip->top}, (struct spot){LEFT, strip->base + BASE});
    draw_heights(figure, strip);
    return strip->base + BASE;
}

/** How wide a stepover is. */
static void draw_stepover(struct figure *figure, const struct strip *strip, double y)
{
    const double s = strip->machine->facing.stepover;
    const struct style fine = {.line = INK_SOFT, .width = 0.9};
    const double from = LEFT + strip->across * s * floor(strip->wide / s / 4);
    const double to = from + strip->across * s;
    struct buffer text = {0};
    fill(&strip->words, &text, sentences[PICTURE_STEPOVER],
        SLOTS(SLOT_STATED("step", WORDS_LARGE, s)));
    figure_line(figure, fine, (struct spot){from, y}, (struct spot){to, y});
    figure_line(figure, fine, (struct spot){from, y - 4}, (struct spot){from, y + 4});
    figure_line(figure, fine, (struct spot){to, y - 4}, (struct spot){to, y + 4});
    figure_text(figure, (struct type){.letter = LETTER_SMALL, .ink = INK_SOFT},
        (struct spot){to + 6, y + 3}, 0, buffer_text(&text));
    buffer_finish(&text);
}

/** The feed that is judged: the stated one, or the worse of both ways. */
static double feed_judged(const struct perpend_machine *machine, struct perpend_slope lean)
{
    const struct floor_lean now = {.lean = lean};
    const struct strip x = {.machine = machine, .along = PERPEND_ALONG_X};
    const struct strip y = {.machine = machine, .along = PERPEND_ALONG_Y};
    if (!machine->facing.both_ways)
        return machine->facing.along;
    return ridge_of(&y, &now) > ridge_of(&x, &now) ? PERPEND_ALONG_Y : PERPEND_ALONG_X;
}

static void describe(struct figure *figure, const struct strip strips[2], double times)
{
    const struct floor_lean *second = strips->leans[1];
    plot_describe(figure, &strips->words, PICTURE_FLOOR_TITLE, PICTURE_FLOOR,
        SLOTS(SLOT_FEED("feed", strips[0].along), SLOT_FEED("other_feed", strips[1].along),
            SLOT_STATED("step", WORDS_LARGE, strips->machine->facing.stepover),
            SLOT_NUMBER("times", times, nice_decimals(times)),
            SLOT_TEXT("first_name", strips->leans[0]->name),
            SLOT_TEXT("second_name", second != NULL ? second->name : ""),
            SLOT_RIDGE("first", ridge_of(&strips[0], strips->leans[0])),
            SLOT_RIDGE("second", ridge_of(&strips[0], second)),
            SLOT_RIDGE("other_first", ridge_of(&strips[1], strips->leans[0])),
            SLOT_RIDGE("other_second", ridge_of(&strips[1], second))));
}

static void feed_heading(struct figure *figure, const struct strip *strip, double y, bool instead)
{
    struct buffer text = {0};
    fill(&strip->words, &text, sentences[PICTURE_FEED],
        SLOTS(SLOT_FEED("feed", strip->along), SLOT_IF("instead", instead)));
    figure_text(figure, (struct type){.letter = LETTER_STRONG, .ink = INK_TEXT},
        (struct spot){1, y}, FIGURE_WIDTH - 2, buffer_text(&text));
    buffer_finish(&text);
}

static struct strip strip_of(const struct perpend_machine *machine, double along,
    const struct floor_lean *found, const struct floor_lean *left)
{
    const double step = machine->facing.stepover;
    const double right = along + PERPEND_PI / 2;
    return (struct strip){.machine = machine,
        .leans = {found, left},
        .words = {.unit = machine->unit},
        .along = along,
        .wide = step * ceil(fmax(4, 1.6 * machine->cutter.diameter / step)),
        .mirrored = cos(right) < -1e-9}; /* the back, or else the right, is at the right */
}

struct figure *figure_floor(const struct perpend_machine *machine, const struct floor_lean *found,
    const struct floor_lean *left)
{
    struct figure *figure = figure_create(FIGURE_WIDTH, 0);
    const double along =
        feed_judged(machine, left != NULL && !left->expected ? left->lean : found->lean);
    struct strip strips[2] = {strip_of(machine, along, found, left),
        strip_of(machine, fmod(along + PERPEND_PI / 2, PERPEND_PI), found, left)};
    double tallest[2];
    for (int i = 0; i < 2; i++) {
        const double found_ridge = ridge_of(&strips[i], found);
        const double left_ridge = ridge_of(&strips[i], left);
        tallest[i] =
            fmax(isfinite(found_ridge) ? found_ridge : 0, isfinite(left_ridge) ? left_ridge : 0);
        tallest[i] = fmax(tallest[i], isfinite(machine->goal) ? machine->goal : 1e-4);
    }
    const double across = (FIGURE_WIDTH - LEFT) / strips[0].wide;
    const double room = fmax(2 * tallest[0], tallest[1]) * across;
    const double times = fmin(2000, nice_below(TALLEST / room));
    strips[0].across = strips[1].across = across;
    strips[0].up = strips[1].up = times * across;
    strips[0].top = 18;
    strips[0].base = strips[0].top + AREA;
    feed_heading(figure, &strips[0], 10, false);
    const double under = draw_strip(figure, &strips[0], true);
    draw_stepover(figure, &strips[0], under + 9);
    feed_heading(figure, &strips[1], under + 28, true);
    strips[1].top = under + 36;
    strips[1].base = strips[1].top + fmax(72, tallest[1] * strips[1].up + 4);
    const double bottom = draw_strip(figure, &strips[1], false);
    if (figure != NULL)
        figure->height = bottom + 2;
    describe(figure, strips, times);
    return figure;
}
