/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/escape.h"
#include "draw/figures.h"
#include "text/joint_drawing.h"
#include "draw/plot.h"
#include "text/say.h"

#define PLATE_LEFT 54.0 /* pt; room for the height's figures */
#define PLATE_WIDTH 95.0
#define PLATE_HEIGHT 90.0
#define PLATE_MARGIN 15.0 /* from the outermost bolts to the plate's edge */
#define LIST_LEFT 190.0
#define BOLT_RADIUS 5.0
#define BESIDE 14.0 /* between bolts that stand one behind the other */
#define ARROW 19.0  /* the longest slide is drawn so long */

/** One joint as somebody sees it who stands where its fixed side looks. */
struct joint_view {
    const struct perpend_machine *machine;
    const struct perpend_joint *joint;
    const struct bolt_work *work;
    double left, right, low, high; /* of the bolts, mm */
    double scale;                  /* pt/mm */
    struct box plate;
};

/** How many of the bolts before one stand in its place, as they are seen: those of the other side
 *  plate. They are drawn side by side. */
static size_t bolts_before_it(const struct perpend_joint *joint, double scale, size_t bolt)
{
    const struct joint_sight at = joint_sight(joint->face, joint->bolts[bolt].at);
    size_t count = 0;
    for (size_t i = 0; i < bolt; i++) {
        const struct joint_sight other = joint_sight(joint->face, joint->bolts[i].at);
        count += scale * hypot(other.across - at.across, other.up - at.up) < BOLT_RADIUS;
    }
    return count;
}

static struct spot bolt_spot(const struct joint_view *view, size_t bolt)
{
    const struct joint_sight at = joint_sight(view->joint->face, view->joint->bolts[bolt].at);
    const double beside = BESIDE * (double)bolts_before_it(view->joint, view->scale, bolt);
    return (struct spot){
        view->plate.x + PLATE_MARGIN + view->scale * (at.across - view->left) + beside,
        view->plate.y + PLATE_MARGIN + view->scale * (view->high - at.up)};
}

static size_t most_in_one_place(const struct perpend_joint *joint, double scale)
{
    size_t most = 0;
    for (size_t i = 0; i < joint->bolt_count; i++)
        most = MAX(most, bolts_before_it(joint, scale, i));
    return most;
}

static void fit_plate(struct joint_view *view, double top)
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
    const double wide = view->right - view->left;
    const double tall = view->high - view->low;
    view->scale = fmin(PLATE_WIDTH / fmax(wide, 1e-6), PLATE_HEIGHT / fmax(tall, 1e-6));
    if (wide < 1e-6 && tall < 1e-6)
        view->scale = 1;
    const double beside = BESIDE * (double)most_in_one_place(view->joint, view->scale);
    view->plate = (struct box){PLATE_LEFT, top, view->scale * wide + beside + 2 * PLATE_MARGIN,
        view->scale * tall + 2 * PLATE_MARGIN};
}

static const struct style fine = {.line = INK_SOFT, .width = 0.7};

/** A distance between two edges, as on a workshop drawing. */
static void dimension(struct figure *figure, const struct joint_view *view, bool across)
{
    const double size = across ? view->right - view->left : view->high - view->low;
    if (size * view->scale < 1)
        return;
    char *text = say_stated(view->machine->unit, WORDS_LARGE, round(size * 1e4) / 1e4);
    const double x = view->plate.x + PLATE_MARGIN;
    const double y = view->plate.y + PLATE_MARGIN;
    const double end = size * view->scale;
    if (across) {
        const double level = view->plate.y + view->plate.height + 8;
        figure_line(figure, fine, (struct spot){x, level}, (struct spot){x + end, level});
        figure_line(figure, fine, (struct spot){x, level - 3}, (struct spot){x, level + 3});
        figure_line(
            figure, fine, (struct spot){x + end, level - 3}, (struct spot){x + end, level + 3});
        figure_text(figure, LETTER_SMALL, INK_SOFT, ANCHOR_MIDDLE,
            (struct spot){x + end / 2, level + 11}, 0, text);
    } else {
        const double level = view->plate.x - 8;
        figure_line(figure, fine, (struct spot){level, y}, (struct spot){level, y + end});
        figure_line(figure, fine, (struct spot){level - 3, y}, (struct spot){level + 3, y});
        figure_line(
            figure, fine, (struct spot){level - 3, y + end}, (struct spot){level + 3, y + end});
        figure_text(figure, LETTER_SMALL, INK_SOFT, ANCHOR_END,
            (struct spot){level - 4, y + end / 2 + 3}, 0, text);
    }
    g_free(text);
}

/* Where all that was done shifts a bolt, as the joint is seen. */
static struct joint_sight shift_of(enum perpend_face face, const struct bolt_work *work)
{
    struct perpend_amount sum = {0};
    for (size_t i = 0; i < PERPEND_MOVE_COUNT; i++)
        sum = perpend_amount_sum(sum, work->amounts[i]);
    return joint_sight(face, sum.shift);
}

static double longest_slide(const struct joint_view *view)
{
    double longest = 0;
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const struct joint_sight slide = shift_of(view->joint->face, &view->work[i]);
        longest = fmax(longest, hypot(slide.across, slide.up));
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

static void draw_bolts(struct figure *figure, const struct joint_view *view)
{
    const double longest = longest_slide(view);
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        const struct spot at = bolt_spot(view, i);
        const struct bolt_work *work = &view->work[i];
        const bool filled = is_filled(work);
        figure_circle(figure,
            (struct style){.line = work->touched ? INK_LEFT : INK_SOFT,
                .fill = filled ? INK_LEFT : INK_PAPER,
                .width = work->touched ? 1.6 : 1},
            at, BOLT_RADIUS);
        figure_keep(figure,
            (struct box){at.x - BOLT_RADIUS, at.y - BOLT_RADIUS, 2 * BOLT_RADIUS, 2 * BOLT_RADIUS});
        const struct joint_sight slide = shift_of(view->joint->face, work);
        if (longest > 0 && hypot(slide.across, slide.up) > 0.02 * longest) {
            const struct spot tip = {
                at.x + ARROW * slide.across / longest, at.y - ARROW * slide.up / longest};
            figure_arrow(figure, (struct style){.line = INK_LEFT, .width = 1.6}, at, tip, 6);
            figure_keep(figure, (struct box){fmin(at.x, tip.x), fmin(at.y, tip.y),
                                    fabs(at.x - tip.x), fabs(at.y - tip.y)});
        }
    }
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        char number[24];
        g_snprintf(number, sizeof number, "%zu", i + 1);
        figure_label(figure, LETTER_SMALL, INK_TEXT, bolt_spot(view, i), BOLT_RADIUS + 2,
            view->plate, number);
    }
}

/** Value: where the list ends. */
static double list_bolts(struct figure *figure, const struct joint_view *view, double top)
{
    double y = top + 9;
    for (size_t i = 0; i < view->joint->bolt_count; i++) {
        char *bolt = clean_name(view->joint->bolts[i].name);
        char *name = g_strdup_printf("%zu  %s", i + 1, bolt);
        char *gets = bolt_work_text(view->machine->unit, &view->work[i]);
        const bool touched = view->work[i].touched;
        y += figure_paragraph(figure, LETTER_SMALL, INK_TEXT, ANCHOR_START,
            (struct spot){LIST_LEFT, y}, FIGURE_WIDTH - LIST_LEFT, 2, name);
        y += 13;
        y += figure_paragraph(figure, touched ? LETTER_STRONG : LETTER_SMALL,
            touched ? INK_LEFT : INK_SOFT, ANCHOR_START, (struct spot){LIST_LEFT + 10, y},
            FIGURE_WIDTH - LIST_LEFT - 10, 4, gets);
        y += 16;
        g_free(bolt);
        g_free(name);
        g_free(gets);
    }
    return y - 9;
}

/** Value: where the panel ends. `behind`: some bolts stand one behind the other. */
static double draw_joint(struct figure *figure, const struct perpend_machine *machine,
    const struct perpend_joint *joint, const struct bolt_work *work, double top, bool *behind)
{
    struct joint_view view = {.machine = machine, .joint = joint, .work = work};
    top += figure_paragraph(figure, LETTER_STRONG, INK_TEXT, ANCHOR_START,
        (struct spot){1, top + 10}, FIGURE_WIDTH - 2, 2, joint->name);
    figure_text(figure, LETTER_SMALL, INK_SOFT, ANCHOR_START, (struct spot){1, top + 23},
        FIGURE_WIDTH - 2, joint_drawing_view(joint->face));
    fit_plate(&view, top + 34);
    figure_box(
        figure, (struct style){.line = INK_SOFT, .fill = INK_BAND, .width = 0.9}, view.plate);
    dimension(figure, &view, true);
    dimension(figure, &view, false);
    draw_bolts(figure, &view);
    *behind = most_in_one_place(joint, view.scale) > 0;
    return fmax(view.plate.y + view.plate.height + 24, list_bolts(figure, &view, top + 34));
}

static void describe(struct figure *figure, const struct perpend_joint *joint,
    const struct bolt_work *work, bool planned, bool behind)
{
    GString *text = g_string_new(NULL);
    char *name = isolated_name(joint->name);
    bool any_filled = false;
    bool any_slides = false;
    for (size_t i = 0; i < joint->bolt_count; i++) {
        const struct joint_sight slide = shift_of(joint->face, &work[i]);
        any_filled = any_filled || is_filled(&work[i]);
        any_slides = any_slides || hypot(slide.across, slide.up) > 0;
    }
    g_string_append_printf(text, "%s, %s, with %s.", name, joint_drawing_view(joint->face),
        planned ? "what the plan gives each bolt" : "what each bolt got in all rounds together");
    if (behind)
        g_string_append(text, " Bolts that stand one behind the other are drawn side by side.");
    if (any_filled)
        g_string_append(text, " A filled bolt has something new beside it.");
    if (any_slides)
        g_string_append(text, " An arrow shows which way a bolt slides, not how far.");
    figure_describe(
        figure, planned ? "The mount, with the plan" : "The mount, as worked on", text->str);
    g_string_free(text, TRUE);
    g_free(name);
}

struct figure *figure_mount(const struct perpend_machine *machine, size_t joint,
    const struct mount_work *work, bool planned)
{
    struct figure *figure = figure_create(FIGURE_WIDTH, 0);
    const struct perpend_joint *drawn = &machine->mount.joints[joint];
    bool behind;
    figure_set_height(
        figure, draw_joint(figure, machine, drawn, work->bolts[joint], 0, &behind) + 4);
    describe(figure, drawn, work->bolts[joint], planned, behind);
    return figure;
}
