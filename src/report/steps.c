/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan as steps for a tired person, each caution where the hand meets the thing. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/fit.h>

#include "answer.h"
#include "joint_drawing.h"

#define KITCHEN_FOIL 0.016 /* mm; common practice, no source */
#define LEAVES_TOO_MANY 8u /* more than this in one place spring under the bolt; common practice   \
                            */

const char *answer_gauge_reads(const struct perpend_gauge *gauge)
{
    switch (gauge->kind) {
    case PERPEND_GAUGE_GAP:
        return "the gap reads";
    case PERPEND_GAUGE_TOUCH:
        return "the tip scrapes at Z";
    case PERPEND_GAUGE_DIAL:
    case PERPEND_GAUGE_LEVER:
        break;
    }
    return "the dial reads";
}

bool answer_has_plan(const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    if (!measurement->has_plan || measurement->verdict == PERPEND_VERDICT_MET)
        return false;
    return measurement->verdict == PERPEND_VERDICT_NOT_MET || answer_lean_shows(&measurement->fit);
}

/* To 0.01 mm, thin ones to 0.001 mm: what hands can sort out. */
static void add_thickness(const struct words *words, struct buffer *phrase, double thickness)
{
    words_rounded(words, phrase, WORDS_SMALL, thickness, fabs(thickness) < 0.1 ? 0.004 : 0.04);
}

static double stack_thickness(const struct perpend_bolt_move *move)
{
    double sum = 0.0;
    for (size_t i = 0; i < move->stack_count; i++)
        sum += move->stack[i].count * move->stack[i].thick;
    return sum;
}

static unsigned stack_leaves(const struct perpend_bolt_move *move)
{
    unsigned count = 0;
    for (size_t i = 0; i < move->stack_count; i++)
        count += move->stack[i].count;
    return count;
}

static void add_stack(const struct words *words, struct buffer *phrase,
    const struct perpend_bolt_move *move, const struct perpend_stock *stock)
{
    for (size_t i = 0; i < move->stack_count; i++) {
        const struct perpend_stack_part *part = &move->stack[i];
        buffer_addf(phrase, "%s%u" WORDS_GLUE "×" WORDS_GLUE, i > 0 ? " + " : "", part->count);
        words_stated(words, phrase, WORDS_SMALL, part->thick);
        if (stock && part->leaf < stock->leaf_count && stock->leaves[part->leaf].name) {
            buffer_add(phrase, " ");
            words_name(phrase, stock->leaves[part->leaf].name);
        }
    }
}

void words_displacement(
    const struct words *words, struct buffer *phrase, struct perpend_point displacement)
{
    const double parts[] = {displacement.right, displacement.back, displacement.up};
    static const char *const plus[] = {"right", "back", "up"};
    static const char *const minus[] = {"left", "forward", "down"};
    double largest = fmax(fabs(parts[0]), fmax(fabs(parts[1]), fabs(parts[2])));
    size_t count = 0, place = 0;
    for (size_t i = 0; i < 3; i++)
        count += largest > 0.0 && fabs(parts[i]) >= largest / 20.0;
    if (count == 0)
        buffer_add(phrase, "nowhere");
    for (size_t i = 0; i < 3 && count > 0; i++) {
        if (fabs(parts[i]) < largest / 20.0)
            continue;
        words_list_mark(phrase, place++, count);
        words_rounded(words, phrase, WORDS_SMALL, fabs(parts[i]), 0.04);
        buffer_addf(phrase, WORDS_GLUE "%s", parts[i] >= 0.0 ? plus[i] : minus[i]);
    }
}

void bolt_gets(const struct words *words, struct buffer *phrase, const struct perpend_step *step,
    size_t bolt, const struct perpend_stock *stock)
{
    const struct perpend_bolt_move *move = &step->bolts[bolt];
    if (step->move == PERPEND_MOVE_SHIM && move->shim != 0.0) {
        add_thickness(words, phrase, move->stack_count > 0 ? stack_thickness(move) : move->shim);
        if (move->stack_count > 0) {
            buffer_add(phrase, ": ");
            add_stack(words, phrase, move, stock);
        }
    } else if (step->move == PERPEND_MOVE_SCREW && move->turns != 0.0) {
        buffer_add_number(phrase, fabs(move->turns), 2);
        buffer_add(phrase, move->turns > 0.0 ? WORDS_GLUE "turn in (" : WORDS_GLUE "turn out (");
        buffer_add_number(phrase, fabs(move->turns) * 360.0, 0);
        buffer_add(phrase, "°)");
    } else if (step->move == PERPEND_MOVE_SLIDE && bolt == step->pivot) {
        buffer_add(phrase, "keep snug: the pivot");
    } else if (step->move == PERPEND_MOVE_SLIDE) {
        buffer_add(phrase, "moves ");
        words_displacement(words, phrase, move->slide);
    } else {
        buffer_add(phrase, "keep snug");
    }
}

/* Bolts of a step that are loosened, or that are kept snug, by name; returns how many. */
static size_t add_bolts(struct buffer *phrase, const struct perpend_joint *joint,
    const struct perpend_step *step, bool snug)
{
    size_t count = 0, place = 0;
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < step->bolt_count; i++) {
            const struct perpend_bolt_move *move = &step->bolts[i];
            bool stays = step->move == PERPEND_MOVE_SHIM    ? move->shim == 0.0
                         : step->move == PERPEND_MOVE_SCREW ? move->turns == 0.0
                                                            : i == step->pivot;
            if (stays != snug)
                continue;
            if (pass == 0) {
                count++;
                continue;
            }
            words_list_mark(phrase, place++, count);
            words_name(phrase, joint->bolts[i].name);
        }
    return count;
}

static void add_loosening(
    struct buffer *phrase, const struct perpend_joint *joint, const struct perpend_step *step)
{
    struct buffer snug = {0};
    size_t kept = add_bolts(&snug, joint, step, true);
    words_name(phrase, joint->name);
    buffer_add(phrase, ": loosen ");
    if (kept == 0)
        buffer_add(phrase, "all its bolts");
    else
        add_bolts(phrase, joint, step, false);
    if (kept > 0) {
        buffer_add(phrase, ", keep ");
        buffer_add(phrase, buffer_text(&snug));
        buffer_add(phrase, " just snug");
    }
    buffer_finish(&snug);
}

/* What each bolt gets, without a drawing: "top left and top right 0.53 mm". */
static void add_gets(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, const struct perpend_step *step)
{
    const struct perpend_joint *joint = &about->machine->mount.joints[step->joint];
    bool first = true;
    for (size_t i = 0; i < step->bolt_count; i++) {
        const struct perpend_bolt_move *move = &step->bolts[i];
        bool nothing = step->move == PERPEND_MOVE_SHIM    ? move->shim == 0.0
                       : step->move == PERPEND_MOVE_SCREW ? move->turns == 0.0
                                                          : i == step->pivot;
        if (nothing)
            continue;
        buffer_add(phrase, first ? " " : "; ");
        first = false;
        words_name(phrase, joint->bolts[i].name);
        buffer_add(phrase, step->move == PERPEND_MOVE_SLIDE ? " " : ": ");
        bolt_gets(words, phrase, step, i, &about->machine->stock);
    }
    buffer_add(phrase, ".");
}

static void add_watch(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, const struct perpend_step *step)
{
    const struct perpend_gauge *gauge = &about->machine->setup.gauge;
    buffer_add(phrase, "Park the arm at ");
    words_bearing(phrase, step->watch.bearing);
    buffer_addf(phrase, ": %s ", answer_gauge_reads(gauge));
    words_reading(words, phrase, step->watch.now, gauge->step);
    buffer_add(phrase, " now and ");
    words_reading(words, phrase, step->watch.reach, gauge->step);
    buffer_add(phrase, " when it is done.");
}

/* One numbered step. */
static void say(struct words *words, unsigned *number, const char *text)
{
    char lead[16];
    struct buffer digits = {0};
    buffer_addf(&digits, "%u. ", ++*number);
    strncpy(lead, buffer_text(&digits), sizeof lead - 1);
    lead[sizeof lead - 1] = '\0';
    words_paragraph(words, lead, text);
    buffer_finish(&digits);
}

/* Shims without a stock: what is common, and what saves thirty foils. */
static void add_common_size(
    const struct words *words, struct buffer *phrase, const struct perpend_step *step)
{
    double thickest = 0.0;
    unsigned leaves = 0;
    for (size_t i = 0; i < step->bolt_count; i++) {
        thickest = fmax(thickest, step->bolts[i].shim);
        unsigned count = stack_leaves(&step->bolts[i]);
        leaves = count > leaves ? count : leaves;
    }
    if (leaves > LEAVES_TOO_MANY) {
        buffer_addf(phrase, " %u leaves in one place are springy: a strip of drink can (", leaves);
        add_thickness(words, phrase, 0.1);
        buffer_add(phrase, ") or brass does it in a few.");
    }
    if (leaves > 0 || !(thickest > 0.0))
        return;
    if (isfinite(step->nearest_common) && step->nearest_common > 0.0) {
        buffer_add(phrase, " Nearest common size to ");
        add_thickness(words, phrase, thickest);
        buffer_add(phrase, ": ");
        words_stated(words, phrase, WORDS_SMALL, step->nearest_common);
        buffer_add(phrase, ".");
    }
    double foils = round(thickest / KITCHEN_FOIL);
    if (foils < 1.0)
        return;
    buffer_add(phrase, " In kitchen foil that is ");
    buffer_add_number(phrase, foils, 0);
    buffer_add(phrase, foils > 1.0 ? " leaves" : " leaf");
    buffer_add(phrase, foils > LEAVES_TOO_MANY ? "; drink can or brass does it in a few." : ".");
}

static void say_step(struct words *words, unsigned *number, const struct answer_about *about,
    const struct perpend_step *step, const struct answer_options *options)
{
    const struct perpend_joint *joint = &about->machine->mount.joints[step->joint];
    bool drawn = !(options && options->no_drawing);
    struct buffer phrase = {0};
    add_loosening(&phrase, joint, step);
    switch (step->move) {
    case PERPEND_MOVE_SHIM:
        buffer_add(&phrase, drawn ? ", and slip in" : ", and slip in at");
        break;
    case PERPEND_MOVE_SLIDE:
        buffer_add(&phrase, step->pivot == PERPEND_NO_BOLT
                                ? ", and turn it about the middle of its bolts so that"
                                : ", and swing it so that");
        break;
    case PERPEND_MOVE_SCREW:
        buffer_add(&phrase, ", and turn the push screws at");
        break;
    }
    if (drawn) {
        buffer_addf(&phrase, " (%s):", joint_drawing_view(joint->face));
        say(words, number, buffer_text(&phrase));
        joint_drawing_add(words, joint, step, &about->machine->stock, 3);
    } else {
        add_gets(words, &phrase, about, step);
        say(words, number, buffer_text(&phrase));
    }
    buffer_clear(&phrase);
    add_watch(words, &phrase, about, step);
    if (step->move == PERPEND_MOVE_SHIM)
        add_common_size(words, &phrase, step);
    words_paragraph(words, "   ", buffer_text(&phrase));
    buffer_finish(&phrase);
}

void answer_plan(
    struct words *words, const struct answer_about *about, const struct answer_options *options)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_plan *plan = &measurement->plan;
    unsigned number = 0;
    if (plan->step_count == 0)
        return;
    words_paragraph(words, "",
        measurement->turn_feed_meets_goal ? "To take the lean out as well:" : "What to do:");
    say(words, &number,
        "Unplug the spindle before a hand goes near, turn it only by hand, and hold its weight "
        "before its bolts are loose.");
    for (size_t i = 0; i < plan->step_count; i++)
        say_step(words, &number, about, &plan->steps[i], options);
    struct buffer phrase = {0};
    buffer_add(&phrase,
        "Tighten crosswise, in steps, to the maker's torque; the maker's manual goes "
        "first. Sweep again. Before cutting take the arm out, and home and zero X, "
        "Y and Z: the tip moves ");
    words_displacement(words, &phrase, plan->tip);
    buffer_add(&phrase, ".");
    say(words, &number, buffer_text(&phrase));
    buffer_finish(&phrase);
}

/* The step that ran short of leaves: what it wanted and what the stock made at the worst bolt. */
static void add_short(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, const struct perpend_shortfall *shortfall, const char *axis)
{
    const struct perpend_mount *mount = &about->machine->mount;
    if (shortfall->joint >= mount->joint_count) {
        buffer_addf(phrase, "No joint of this mount can turn the spindle %s.", axis);
        return;
    }
    const char *joint = mount->joints[shortfall->joint].name;
    if (shortfall->move == PERPEND_MOVE_SHIM) {
        buffer_add(phrase, "The leaves on hand make ");
        add_thickness(words, phrase, shortfall->allowed);
        buffer_add(phrase, " at the ");
    } else {
        buffer_addf(phrase, "The %s of the ",
            shortfall->move == PERPEND_MOVE_SLIDE ? "bolts' play" : "screws");
    }
    words_name(phrase, joint);
    if (shortfall->move != PERPEND_MOVE_SHIM) {
        buffer_add(phrase, " allows ");
        add_thickness(words, phrase, shortfall->allowed);
    }
    buffer_add(phrase, "; ");
    add_thickness(words, phrase, shortfall->wanted);
    buffer_add(phrase, " is needed.");
}

void answer_shortfall(struct words *words, const struct answer_about *about)
{
    static const char *const axes[] = {"to the left or right", "back or forward"};
    struct buffer phrase = {0};
    for (size_t axis = 0; axis < 2; axis++) {
        const struct perpend_shortfall *shortfall = &about->measurement->plan.short_of[axis];
        if (!shortfall->present)
            continue;
        if (phrase.length > 0)
            buffer_add(&phrase, " ");
        add_short(words, &phrase, about, shortfall, axes[axis]);
    }
    if (phrase.length > 0)
        words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}

/* Readings that the next sweep should bring, at the bearings and the place of the last one. */
static void add_predictions(
    const struct words *words, struct buffer *phrase, const struct answer_about *about)
{
    const struct perpend_measurement *measurement = about->measurement;
    const struct perpend_setup *setup = &about->machine->setup;
    const struct perpend_plan *plan = &measurement->plan;
    struct perpend_fit next = measurement->fit;
    next.lean = plan->leaves;
    next.centre += plan->tip.up;
    size_t shown = 0;
    for (size_t i = 0; i < measurement->reading_count && shown < 8; i++) {
        const struct perpend_reading *reading = &measurement->readings[i];
        bool again = false;
        for (size_t k = 0; k < i; k++)
            again = again || measurement->readings[k].bearing == reading->bearing;
        if (again)
            continue;
        const char *name = perpend_bearing_name(reading->bearing);
        buffer_add(phrase, shown++ == 0 ? " " : ", ");
        if (name)
            buffer_add(phrase, name);
        else {
            buffer_add_number(phrase, perpend_degrees(reading->bearing), 0);
            buffer_add(phrase, "°");
        }
        buffer_add(phrase, WORDS_GLUE);
        words_reading(words, phrase,
            perpend_fit_predict(&next, setup, reading->bearing, reading->x, reading->y),
            setup->gauge.step);
    }
}

void answer_next_sweep(struct words *words, const struct answer_about *about)
{
    const struct perpend_plan *plan = &about->measurement->plan;
    struct buffer phrase = {0};
    if (plan->step_count == 0) {
        buffer_finish(&phrase);
        return;
    }
    buffer_add(&phrase, "The next sweep should then read, with Z left alone:");
    add_predictions(words, &phrase, about);
    buffer_add(&phrase, "; the ridge left is ");
    words_rounded(words, &phrase, WORDS_SMALL, plan->ridge, 0.004);
    buffer_add(&phrase, ".");
    words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}
