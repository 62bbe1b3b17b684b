/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/moves.h>

#include "draw/figures.h"
#include "draw/plot.h"
#include "text/escape.h"
#include "text/joint_drawing.h"
#include "text/say.h"

#define MIDDLE (FIGURE_WIDTH / 2)
#define WIDE 72.0 /* px, of plate and tip at most */
#define TALL 132.0
#define PLATE_MARGIN 13.0 /* from the outermost bolts to the plate's edge */
#define AMOUNT_LINES 3
#define BOLT_RADIUS 5.5
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
    double scale;                  /* px/mm */
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
        at(MIDDLE - view->scale * (left + wide / 2), top + PLATE_MARGIN + view->scale * high);
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
    const double end =
        fmin(fmax(view->plate.x + view->plate.width, x + half) + 8, MIDDLE + WIDE / 2 + 3);
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

/** All that was done at a bolt; where that shifts it, as the joint is seen. */
static struct perpend_amount sum_of(const struct bolt_work *work)
{
    struct perpend_amount sum = {0};
    for (size_t i = 0; i < PERPEND_MOVE_COUNT; i++)
        sum = perpend_amount_sum(sum, work->amounts[i]);
    return sum;
}

static struct joint_sight shift_of(const struct joint_view *view, size_t bolt)
{
    return joint_sight(view->joint->face, sum_of(&view->work[bolt]).shift);
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

/** Value: whether any is filled. */
static bool draw_bolts(struct figure *figure, const struct joint_view *view)
{
    const double longest = longest_shift(view);
    bool any_filled = false;
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const bool touched = view->work[i].touched;
        const struct spot spot = bolt_spot(view, i);
        const struct joint_sight shift = shift_of(view, i);
        const bool filled = bolt_work_unslid(&view->work[i]).touched;
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

/** What a bolt has, at the side of the plate that it is nearer to, with a line to the bolt. */
struct amount {
    size_t bolt;
    double y;
};

static int lower_last(const void *a, const void *b)
{
    const double one = ((const struct amount *)a)->y;
    const double other = ((const struct amount *)b)->y;
    return (one > other) - (one < other);
}

/** The bolts of one side, from the top down. Value: their number. */
static size_t bolts_at(
    const struct joint_view *view, bool right, struct amount amounts[PERPEND_BOLTS_MOST])
{
    const double middle = view->plate.x + view->plate.width / 2;
    size_t count = 0;
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const struct spot spot = bolt_spot(view, i);
        /* of bolts one above the other in the middle every second at the left */
        const bool at_right = fabs(spot.x - middle) < 1 ? i % 2 == 1 : spot.x > middle;
        if (at_right == right)
            amounts[count++] = (struct amount){i, spot.y};
    }
    qsort(amounts, count, sizeof *amounts, lower_last);
    return count;
}

/** A bolt's name, where it is short, and what it has; an arrow says that it slid, and alone where there is
 *  something else. */
static void say_bolt(
    struct buffer *out, const struct joint_view *view, size_t bolt, double name_room)
{
    const struct bolt_work *work = &view->work[bolt];
    const char *name = view->joint->bolts[bolt].name;
    const struct bolt_work told = bolt_work_unslid(work);
    const struct perpend_amount sum = sum_of(work);
    char *has =
        told.touched || perpend_amount_is_none(sum)
            ? say_work(view->words.unit, &told)
            : say_filled(view->words.unit, "{moved}", SLOTS(SLOT_MOVED("moved", sum.shift, false)));
    char *isolated = isolated_name(name);
    if (text_width(LETTER_SMALL_STRONG, name) <= name_room)
        buffer_addf(out, "%s: ", isolated != NULL ? isolated : "");
    buffer_add(out, work->touched ? has : "0");
    free(isolated);
    free(has);
}

/** Value: where the words of a side end. */
static double say_amounts(struct figure *figure, const struct joint_view *view, bool right)
{
    const double away = WIDE / 2 + 6;
    const double x = MIDDLE + (right ? away : -away);
    const double row = AMOUNT_LINES * letter_leading(LETTER_SMALL) + 4;
    struct amount amounts[PERPEND_BOLTS_MOST];
    double rows[PERPEND_BOLTS_MOST];
    const size_t count = bolts_at(view, right, amounts);
    double end = 0;
    for (size_t i = 0; i < count; i++)
        rows[i] = amounts[i].y;
    rows_apart(rows, count, row / (count > 3 ? 1.5 : 1), view->plate.y + 8, INFINITY);
    for (size_t i = 0; i < count; i++) {
        const struct bolt_work *work = &view->work[amounts[i].bolt];
        const struct spot bolt = bolt_spot(view, amounts[i].bolt);
        const double out = right ? BOLT_RADIUS + 1 : -BOLT_RADIUS - 1;
        struct buffer has = {0};
        /* of two lines a slide has both, in narrow letters */
        const double name_room = count <= 3                                         ? 92
                                 : bolt_work_unslid(work).touched || !work->touched ? 45
                                                                                    : 0;
        say_bolt(&has, view, amounts[i].bolt, name_room);
        figure_line(figure, pen(INK_SOFT, 0.7), at(bolt.x + out, bolt.y),
            at(x - (right ? 3 : -3), rows[i]));
        const struct type type = {work->touched && count <= 3 ? LETTER_SMALL_STRONG : LETTER_SMALL,
            work->touched ? INK_WITHIN : INK_SOFT, right ? ANCHOR_START : ANCHOR_END, false, false};
        end = rows[i] + 4 +
              figure_paragraph(figure, type, at(x, rows[i] + 4), FIGURE_WIDTH / 2 - away - 1,
                  count > 3 ? 2 : AMOUNT_LINES, buffer_text(&has));
        buffer_finish(&has);
    }
    return end;
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
    figure_text(figure, starting(LETTER_SMALL, INK_SOFT), at(1, 11), FIGURE_WIDTH - 2, seen);
    fit(&view, 24);
    figure_box(figure, outlined(INK_TEXT, INK_BAND, 1.2), view.plate);
    double bottom = view.plate.y + view.plate.height;
    if (view.standing)
        bottom = fmax(bottom, draw_spindle(figure, &view));
    const bool filled = draw_bolts(figure, &view);
    const double left = say_amounts(figure, &view, false);
    bottom = fmax(fmax(bottom, left), say_amounts(figure, &view, true));
    figure->height = bottom + 6;
    plot_describe(figure, &view.words, PICTURE_MOUNT_TITLE, PICTURE_MOUNT,
        SLOTS(SLOT_PRINTED("joint", drawn->name), SLOT_TEXT("seen", seen),
            SLOT_IF("planned", planned), SLOT_IF("behind", most_in_one_place(&view) > 0),
            SLOT_IF("filled", filled), SLOT_IF("shifts", longest_shift(&view) > 0)));
    return figure;
}
