/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <perpend/moves.h>

#include "draw/figures.h"
#include "draw/letters.h"
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

/** How many of the bolts before one stand in its place, as they are seen: those of the other side
 *  plate. They are drawn side by side. */
static size_t bolts_before_it(const struct joint_view *view, size_t bolt)
{
    const struct perpend_joint *joint = view->joint;
    const struct joint_sight at = joint_sight(joint->face, joint->bolts[bolt].at);
    size_t count = 0;
    for (size_t i = 0; i < bolt; i++) {
        const struct joint_sight other = joint_sight(joint->face, joint->bolts[i].at);
        count += view->scale * hypot(other.across - at.across, other.up - at.up) < BOLT_RADIUS;
    }
    return count;
}

static struct spot bolt_spot(const struct joint_view *view, size_t bolt)
{
    const struct joint_sight at = joint_sight(view->joint->face, view->joint->bolts[bolt].at);
    return (struct spot){
        view->tip.x + view->scale * at.across + BESIDE * (double)bolts_before_it(view, bolt),
        view->tip.y - view->scale * at.up};
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
        const struct joint_sight at = joint_sight(view->joint->face, view->joint->bolts[i].at);
        view->left = fmin(view->left, at.across);
        view->right = fmax(view->right, at.across);
        view->low = fmin(view->low, at.up);
        view->high = fmax(view->high, at.up);
    }
    const double left = view->standing ? fmin(view->left, 0) : view->left;
    const double right = view->standing ? fmax(view->right, 0) : view->right;
    const double low = view->standing ? fmin(view->low, 0) : view->low;
    const double high = view->standing ? fmax(view->high, 0) : view->high;
    view->scale = 0.5;
    if (fmax(right - left, high - low) > 1e-6)
        view->scale = fmin((WIDE - 2 * PLATE_MARGIN) / fmax(right - left, 1e-6),
            (TALL - 2 * PLATE_MARGIN) / fmax(high - low, 1e-6));
    view->tip = (struct spot){
        LEFT + PLATE_MARGIN - view->scale * left, top + PLATE_MARGIN + view->scale * high};
    view->plate = (struct box){view->tip.x + view->scale * view->left - PLATE_MARGIN,
        view->tip.y - view->scale * view->high - PLATE_MARGIN,
        view->scale * (view->right - view->left) + 2 * PLATE_MARGIN +
            BESIDE * (double)most_in_one_place(view),
        view->scale * (view->high - view->low) + 2 * PLATE_MARGIN};
}

/** The bed, and the spindle over it; of its size no more than the bit's diameter is known. */
static double draw_spindle(struct figure *figure, const struct joint_view *view)
{
    const struct style soft = {.line = INK_SOFT, .fill = INK_PAPER, .width = 1};
    const struct spot tip = view->tip;
    const double half = fmax(2, fmin(view->machine->cutter.diameter * view->scale / 2, 20));
    const double end = fmax(view->plate.x + view->plate.width, tip.x + half) + 8;
    const double start = fmin(view->plate.x, tip.x - half) - 8;
    const double body = fmin(tip.y - 46, view->plate.y + view->plate.height - 6);
    for (double x = start + 4; x < end; x += 6)
        figure_line(figure, (struct style){.line = INK_SOFT, .width = 0.8}, (struct spot){x, tip.y},
            (struct spot){x - 4, tip.y + 5});
    figure_line(figure, (struct style){.line = INK_TEXT, .width = 1.4}, (struct spot){start, tip.y},
        (struct spot){end, tip.y});
    if (body > view->plate.y + 10) {
        const struct spot nose[6] = {{tip.x - 12, view->plate.y - 5}, {tip.x - 12, body},
            {tip.x - 6, body + 8}, {tip.x + 6, body + 8}, {tip.x + 12, body},
            {tip.x + 12, view->plate.y - 5}};
        figure_path(figure, soft, nose, 6, true);
        figure_keep(figure, (struct box){tip.x - 12, view->plate.y - 5, 24, body - view->plate.y});
        figure_box(figure, soft, (struct box){tip.x - 2, body + 8, 4, tip.y - 12 - body - 8});
    }
    figure_box(figure, (struct style){.fill = INK_SOFT},
        (struct box){tip.x - half, tip.y - 12, 2 * half, 12});
    return tip.y + 6;
}

/** A distance between two places, as on a workshop drawing, upright at `x`. */
static void dimension(
    struct figure *figure, const struct joint_view *view, double x, double from, double to)
{
    const struct style fine = {.line = INK_SOFT, .width = 0.7};
    const double y[2] = {view->tip.y - view->scale * to, view->tip.y - view->scale * from};
    struct buffer text = {0};
    if (y[1] - y[0] < 12)
        return;
    words_stated(&view->words, &text, WORDS_LARGE, round((to - from) * 1e4) / 1e4);
    figure_line(figure, fine, (struct spot){x, y[0]}, (struct spot){x, y[1]});
    for (int i = 0; i < 2; i++)
        figure_line(figure, fine, (struct spot){x - 3, y[i]}, (struct spot){x + 3, y[i]});
    figure_text(figure, (struct type){LETTER_SMALL, INK_SOFT, ANCHOR_END, false},
        (struct spot){x - 4, (y[0] + y[1]) / 2 + 3}, x - 5, buffer_text(&text));
    buffer_finish(&text);
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

static bool is_filled(const struct bolt_work *work)
{
    for (size_t i = 0; i < PERPEND_MOVE_COUNT; i++)
        if (work->amounts[i].value != 0)
            return true;
    return false;
}

/** What is beside a bolt in all, mm. */
static double thickness_of(const struct bolt_work *work)
{
    double sum = 0;
    for (size_t i = 0; i < PERPEND_MOVE_COUNT; i++)
        if (perpend_move_at(i)->amount == PERPEND_AMOUNT_THICKNESS)
            sum += work->amounts[i].value;
    return sum;
}

static void draw_bolts(struct figure *figure, const struct joint_view *view)
{
    const double longest = longest_shift(view);
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const struct spot at = bolt_spot(view, i);
        const struct bolt_work *work = &view->work[i];
        const struct joint_sight shift = shift_of(view, i);
        figure_circle(figure,
            (struct style){.line = work->touched ? INK_WITHIN : INK_SOFT,
                .fill = is_filled(work) ? INK_WITHIN : INK_PAPER,
                .width = work->touched ? 1.6 : 1},
            at, BOLT_RADIUS);
        figure_keep(figure,
            (struct box){at.x - BOLT_RADIUS, at.y - BOLT_RADIUS, 2 * BOLT_RADIUS, 2 * BOLT_RADIUS});
        if (longest > 0 && hypot(shift.across, shift.up) > 0.02 * longest) {
            const struct spot tip = {
                at.x + ARROW * shift.across / longest, at.y - ARROW * shift.up / longest};
            figure_arrow(figure, (struct style){.line = INK_WITHIN, .width = 1.6}, at, tip, 6);
            figure_keep_line(figure, at, tip);
        }
    }
}

/** Each bolt's number, and with it what is beside it, where there is room: "1 +0.70". */
static void number_bolts(struct figure *figure, const struct joint_view *view)
{
    const struct type plain = {.letter = LETTER_SMALL, .ink = INK_TEXT};
    const struct type strong = {.letter = LETTER_SMALL_STRONG, .ink = INK_WITHIN};
    const struct box within = {
        LEFT - 36, view->plate.y - 12, LIST_LEFT - LEFT + 30, view->plate.height + 24};
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const double thick = words_shown(&view->words, WORDS_SMALL, thickness_of(&view->work[i]));
        const struct spot at = bolt_spot(view, i);
        struct buffer number = {0};
        struct buffer amount = {0};
        buffer_addf(&number, "%zu", i + 1);
        buffer_addf(&amount, "%zu %s", i + 1, thick > 0 ? "+" : "");
        buffer_add_number(&amount, thick, view->words.unit == PERPEND_UNIT_MM ? 2 : 1);
        if (thick == 0 ||
            !figure_label(figure, strong, at, BOLT_RADIUS + 2, within, buffer_text(&amount)))
            figure_label(figure, plain, at, BOLT_RADIUS + 2, within, buffer_text(&number));
        buffer_finish(&number);
        buffer_finish(&amount);
    }
}

/** Value: where the list ends. */
static double list_bolts(struct figure *figure, const struct joint_view *view, double top)
{
    double y = top + 9;
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const bool touched = view->work[i].touched;
        const struct type name = {.letter = LETTER_SMALL, .ink = INK_TEXT};
        const struct type what = {.letter = touched ? LETTER_SMALL_STRONG : LETTER_SMALL,
            .ink = touched ? INK_WITHIN : INK_SOFT};
        struct buffer text = {0};
        char *bolt = clean_name(view->joint->bolts[i].name);
        char *gets = say_work(view->words.unit, &view->work[i]);
        buffer_addf(&text, "%zu  ", i + 1);
        buffer_add(&text, bolt);
        y += figure_paragraph(figure, name, (struct spot){LIST_LEFT, y}, FIGURE_WIDTH - LIST_LEFT,
            2, buffer_text(&text));
        y += 13;
        y += figure_paragraph(
            figure, what, (struct spot){LIST_LEFT + 10, y}, FIGURE_WIDTH - LIST_LEFT - 10, 4, gets);
        y += 16;
        buffer_finish(&text);
        free(bolt);
        free(gets);
    }
    return y - 9;
}

static void describe(struct figure *figure, const struct joint_view *view, bool planned)
{
    bool any_filled = false;
    for (size_t i = 0; i < view->joint->bolt_count; i++)
        any_filled = any_filled || is_filled(&view->work[i]);
    char *name = isolated_name(view->joint->name);
    plot_describe(figure, &view->words, PICTURE_MOUNT_TITLE, PICTURE_MOUNT,
        SLOTS(SLOT_TEXT("joint", name), SLOT_TEXT("seen", joint_drawing_view(view->joint->face)),
            SLOT_IF("planned", planned), SLOT_IF("behind", most_in_one_place(view) > 0),
            SLOT_IF("filled", any_filled), SLOT_IF("shifts", longest_shift(view) > 0)));
    free(name);
}

struct figure *figure_mount(const struct perpend_machine *machine, size_t joint,
    const struct mount_work *work, bool planned)
{
    struct figure *figure = figure_create(FIGURE_WIDTH, 0);
    const struct perpend_joint *drawn = &machine->mount.joints[joint];
    struct joint_view view = {.machine = machine,
        .joint = drawn,
        .work = work->bolts[joint],
        .words = {.unit = machine->unit},
        .standing = drawn->face != PERPEND_FACE_UP && drawn->face != PERPEND_FACE_DOWN};
    const double top =
        figure_paragraph(figure, (struct type){.letter = LETTER_STRONG, .ink = INK_TEXT},
            (struct spot){1, 10}, FIGURE_WIDTH - 2, 2, drawn->name);
    figure_text(figure, (struct type){.letter = LETTER_SMALL, .ink = INK_SOFT},
        (struct spot){1, top + 23}, FIGURE_WIDTH - 2, joint_drawing_view(drawn->face));
    fit(&view, top + 34);
    figure_box(
        figure, (struct style){.line = INK_TEXT, .fill = INK_BAND, .width = 1.2}, view.plate);
    double bottom = view.plate.y + view.plate.height;
    const double ruler = LEFT - 40;
    dimension(figure, &view, ruler, view.low, view.high);
    if (view.standing) {
        bottom = fmax(bottom, draw_spindle(figure, &view));
        dimension(figure, &view, ruler, 0, view.low);
    }
    draw_bolts(figure, &view);
    number_bolts(figure, &view);
    bottom = fmax(bottom, list_bolts(figure, &view, top + 34));
    if (figure != NULL)
        figure->height = bottom + 6;
    describe(figure, &view, planned);
    return figure;
}
