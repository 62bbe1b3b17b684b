/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/moves.h>

#include "draw/figures.h"
#include "draw/plot.h"
#include "text/escape.h"
#include "text/joint_drawing.h"
#include "text/say.h"

#define LEFT 86.0 /* pt, room for distances and amounts */
#define WIDE 72.0 /* pt, of plate and tip at most */
#define TALL 190.0
#define PLATE_MARGIN 12.0 /* from the outermost bolts to the plate's edge */
#define LIST_LEFT 214.0
#define BOLT_RADIUS 5.0
#define BESIDE 14.0 /* between bolts that stand one behind the other */
#define ARROW 19.0  /* the longest slide is drawn so long */

/** One joint as somebody sees it who stands where its fixed side looks, to scale. */
struct joint_view {
    const struct perpend_machine *machine;
    const struct perpend_joint *joint;
    const struct bolt_work *work;
    struct words words;
    bool standing;                 /* seen with the bed below, not from above or below */
    double left, right, low, high; /* of the bolts, mm */
    double scale;                  /* pt/mm */
    struct spot tip;               /* of the tool */
    struct box plate;
};

static struct joint_sight sight_of(const struct joint_view *view, size_t bolt)
{
    return joint_sight(view->joint->face, view->joint->bolts[bolt].at);
}

/** How many of the bolts before one stand in its place, as they are seen: those of the other side
 *  plate. They are drawn side by side. */
static size_t bolts_before_it(const struct joint_view *view, size_t bolt)
{
    const struct joint_sight here = sight_of(view, bolt);
    size_t count = 0;
    for (size_t i = 0; i < bolt; i++) {
        const struct joint_sight other = sight_of(view, i);
        count += view->scale * hypot(other.across - here.across, other.up - here.up) < BOLT_RADIUS;
    }
    return count;
}

static struct spot bolt_spot(const struct joint_view *view, size_t bolt)
{
    const struct joint_sight seen = sight_of(view, bolt);
    return at(
        view->tip.x + view->scale * seen.across + BESIDE * (double)bolts_before_it(view, bolt),
        view->tip.y - view->scale * seen.up);
}

static size_t most_in_one_place(const struct joint_view *view)
{
    size_t most = 0;
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const size_t before = bolts_before_it(view, i);
        most = before > most ? before : most;
    }
    return most;
}

/** The bolts, and with a joint that stands the tool's tip on the bed below them. */
static void fit(struct joint_view *view, double top)
{
    view->left = view->low = INFINITY;
    view->right = view->high = -INFINITY;
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const struct joint_sight seen = sight_of(view, i);
        view->left = fmin(view->left, seen.across);
        view->right = fmax(view->right, seen.across);
        view->low = fmin(view->low, seen.up);
        view->high = fmax(view->high, seen.up);
    }
    const double tip = view->standing ? 0 : (double)NAN; /* fmin and fmax pass over NAN */
    const double left = fmin(view->left, tip);
    const double high = fmax(view->high, tip);
    const double wide = fmax(view->right, tip) - left;
    const double tall = high - fmin(view->low, tip);
    view->scale = 0.5;
    if (fmax(wide, tall) > 1e-6)
        view->scale = fmin((WIDE - 2 * PLATE_MARGIN) / fmax(wide, 1e-6),
            (TALL - 2 * PLATE_MARGIN) / fmax(tall, 1e-6));
    view->tip =
        at(LEFT + PLATE_MARGIN - view->scale * left, top + PLATE_MARGIN + view->scale * high);
    view->plate = (struct box){view->tip.x + view->scale * view->left - PLATE_MARGIN,
        view->tip.y - view->scale * view->high - PLATE_MARGIN,
        view->scale * (view->right - view->left) + 2 * PLATE_MARGIN +
            BESIDE * (double)most_in_one_place(view),
        view->scale * (view->high - view->low) + 2 * PLATE_MARGIN};
}

/** The bed, and the spindle over it; of its size no more than the bit's diameter is known. */
static double draw_spindle(struct figure *figure, const struct joint_view *view)
{
    const struct style soft = outlined(INK_SOFT, INK_PAPER, 1);
    const double x = view->tip.x;
    const double y = view->tip.y;
    const double top = view->plate.y - 5;
    const double half = fmax(2, fmin(view->machine->cutter.diameter * view->scale / 2, 20));
    const double end = fmax(view->plate.x + view->plate.width, x + half) + 8;
    const double start = fmin(view->plate.x, x - half) - 8;
    const double body = fmin(y - 46, view->plate.y + view->plate.height - 6);
    const int hatches = (int)ceil((end - start - 4) / 6);
    for (int i = 0; i < hatches; i++)
        figure_line(figure, pen(INK_SOFT, 0.8), at(start + 4 + 6 * i, y), at(start + 6 * i, y + 5));
    figure_line(figure, pen(INK_TEXT, 1.4), at(start, y), at(end, y));
    if (body > top + 15) {
        const struct spot nose[6] = {{x - 12, top}, {x - 12, body}, {x - 6, body + 8},
            {x + 6, body + 8}, {x + 12, body}, {x + 12, top}};
        figure_path(figure, soft, nose, 6, true);
        figure_keep(figure, (struct box){x - 12, top, 24, body - view->plate.y});
        figure_box(figure, soft, (struct box){x - 2, body + 8, 4, y - 12 - body - 8});
    }
    figure_box(figure, surface(INK_SOFT), (struct box){x - half, y - 12, 2 * half, 12});
    return y + 6;
}

/** A distance between two heights, as on a workshop drawing. */
static void dimension(struct figure *figure, const struct joint_view *view, double from, double to)
{
    const struct style fine = pen(INK_SOFT, 0.7);
    const double x = LEFT - 40;
    const double low = view->tip.y - view->scale * from;
    const double high = view->tip.y - view->scale * to;
    if (low - high < 12)
        return;
    figure_line(figure, fine, at(x, high), at(x, low));
    figure_line(figure, fine, at(x - 3, high), at(x + 3, high));
    figure_line(figure, fine, at(x - 3, low), at(x + 3, low));
    figure_say(figure, &view->words, ending(LETTER_SMALL, INK_SOFT),
        at(x - 4, (high + low) / 2 + 3), PICTURE_LENGTH,
        SLOTS(SLOT_STATED("length", WORDS_LARGE, round((to - from) * 1e4) / 1e4)));
}

/** Where all that was done shifts a bolt, as the joint is seen. */
static struct joint_sight shift_of(const struct joint_view *view, size_t bolt)
{
    struct perpend_amount sum = {0};
    for (size_t i = 0; i < PERPEND_MOVE_COUNT; i++)
        sum = perpend_amount_sum(sum, view->work[bolt].amounts[i]);
    return joint_sight(view->joint->face, sum.shift);
}

static double longest_shift(const struct joint_view *view)
{
    double longest = 0;
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const struct joint_sight shift = shift_of(view, i);
        longest = fmax(longest, hypot(shift.across, shift.up));
    }
    return longest;
}

/** What is beside a bolt in all, mm; whether anything is new there or turned. */
static double thickness_of(const struct bolt_work *work, bool *filled)
{
    double sum = 0;
    *filled = false;
    for (size_t i = 0; i < PERPEND_MOVE_COUNT; i++) {
        *filled = *filled || work->amounts[i].value != 0;
        if (perpend_move_at(i)->amount == PERPEND_AMOUNT_THICKNESS)
            sum += work->amounts[i].value;
    }
    return sum;
}

/** Value: whether any is filled. */
static bool draw_bolts(struct figure *figure, const struct joint_view *view)
{
    const double longest = longest_shift(view);
    bool any_filled = false;
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const bool touched = view->work[i].touched;
        const struct spot spot = bolt_spot(view, i);
        const struct joint_sight shift = shift_of(view, i);
        bool filled;
        (void)thickness_of(&view->work[i], &filled);
        any_filled = any_filled || filled;
        figure_circle(figure,
            outlined(touched ? INK_WITHIN : INK_SOFT, filled ? INK_WITHIN : INK_PAPER,
                touched ? 1.6 : 1),
            spot, BOLT_RADIUS);
        figure_keep_round(figure, spot, BOLT_RADIUS);
        if (longest > 0 && hypot(shift.across, shift.up) > 0.02 * longest) {
            const struct spot tip = {
                spot.x + ARROW * shift.across / longest, spot.y - ARROW * shift.up / longest};
            figure_arrow(figure, pen(INK_WITHIN, 1.6), spot, tip, 6);
            figure_keep_line(figure, spot, tip);
        }
    }
    return any_filled;
}

/** Each bolt's number, and with it what is beside it, where there is room: "1 +0.70". */
static void number_bolts(struct figure *figure, const struct joint_view *view)
{
    const struct box within = {
        LEFT - 36, view->plate.y - 12, LIST_LEFT - LEFT + 30, view->plate.height + 24};
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        bool filled;
        const double thick =
            words_shown(&view->words, WORDS_SMALL, thickness_of(&view->work[i], &filled));
        struct buffer text = {0};
        buffer_addf(&text, "%zu %s", i + 1, thick > 0 ? "+" : "");
        buffer_add_number(&text, thick, view->words.unit == PERPEND_UNIT_MM ? 2 : 1);
        if (thick == 0 || !figure_label(figure, starting(LETTER_SMALL_STRONG, INK_WITHIN),
                              bolt_spot(view, i), BOLT_RADIUS + 2, within, buffer_text(&text))) {
            buffer_clear(&text);
            buffer_addf(&text, "%zu", i + 1);
            figure_label(figure, starting(LETTER_SMALL, INK_TEXT), bolt_spot(view, i),
                BOLT_RADIUS + 2, within, buffer_text(&text));
        }
        buffer_finish(&text);
    }
}

/** Value: where the list ends. */
static double list_bolts(struct figure *figure, const struct joint_view *view, double top)
{
    const double wide = FIGURE_WIDTH - LIST_LEFT;
    double y = top + 9;
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const struct type what = view->work[i].touched ? starting(LETTER_SMALL_STRONG, INK_WITHIN)
                                                       : starting(LETTER_SMALL, INK_SOFT);
        struct buffer text = {0};
        char *bolt = clean_name(view->joint->bolts[i].name);
        char *gets = say_work(view->words.unit, &view->work[i]);
        buffer_addf(&text, "%zu  ", i + 1);
        buffer_add(&text, bolt);
        y += 13 + figure_paragraph(figure, starting(LETTER_SMALL, INK_TEXT), at(LIST_LEFT, y), wide,
                      2, buffer_text(&text));
        y += 16 + figure_paragraph(figure, what, at(LIST_LEFT + 10, y), wide - 10, 4, gets);
        buffer_finish(&text);
        free(bolt);
        free(gets);
    }
    return y - 9;
}

struct figure *figure_mount(const struct perpend_machine *machine, size_t joint,
    const struct mount_work *work, bool planned)
{
    struct figure *figure = figure_create(FIGURE_WIDTH, 0);
    const struct perpend_joint *drawn = &machine->mount.joints[joint];
    const char *seen = joint_drawing_view(drawn->face);
    struct joint_view view = {.machine = machine,
        .joint = drawn,
        .work = work->bolts[joint],
        .words = {.unit = machine->unit},
        .standing = drawn->face != PERPEND_FACE_UP && drawn->face != PERPEND_FACE_DOWN};
    const double top = figure_paragraph(
        figure, starting(LETTER_STRONG, INK_TEXT), at(1, 10), FIGURE_WIDTH - 2, 2, drawn->name);
    figure_text(figure, starting(LETTER_SMALL, INK_SOFT), at(1, top + 23), FIGURE_WIDTH - 2, seen);
    fit(&view, top + 34);
    figure_box(figure, outlined(INK_TEXT, INK_BAND, 1.2), view.plate);
    double bottom = view.plate.y + view.plate.height;
    dimension(figure, &view, view.low, view.high);
    if (view.standing) {
        bottom = fmax(bottom, draw_spindle(figure, &view));
        dimension(figure, &view, 0, view.low);
    }
    const bool filled = draw_bolts(figure, &view);
    number_bolts(figure, &view);
    bottom = fmax(bottom, list_bolts(figure, &view, top + 34));
    figure->height = bottom + 6;
    plot_describe(figure, &view.words, PICTURE_MOUNT_TITLE, PICTURE_MOUNT,
        SLOTS(SLOT_PRINTED("joint", drawn->name), SLOT_TEXT("seen", seen),
            SLOT_IF("planned", planned), SLOT_IF("behind", most_in_one_place(&view) > 0),
            SLOT_IF("filled", filled), SLOT_IF("shifts", longest_shift(&view) > 0)));
    return figure;
}
