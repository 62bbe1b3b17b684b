/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words about shims: the material, what the leaves on hand make of it, and for want of what a plan
   falls short. */
#include <math.h>

#include "text/answer.h"
#include "text/bolt_words.h"

#define KITCHEN_FOIL 0.016 /* mm; common practice, no source */
#define CAN_WALL 0.1       /* mm; drink can; common practice, no source */
/* more in one place spring under the bolt; common practice, no source */
#define LEAVES_TOO_MANY 8u

static unsigned stack_leaves(const struct perpend_bolt_move *move)
{
    unsigned count = 0;
    for (size_t i = 0; i < move->stack_count; i++)
        count += move->stack[i].count;
    return count;
}

/* Thickest shim wanted, thickest put in, and most leaves in one place. */
struct thickest {
    double wanted, shim;
    unsigned leaves;
};

static struct thickest thickest_of(const struct perpend_step *step)
{
    struct thickest most = {0.0, 0.0, 0};
    for (size_t i = 0; i < step->bolt_count; i++) {
        const struct perpend_bolt_move *move = &step->bolts[i];
        unsigned leaves = stack_leaves(move);
        most.leaves = leaves > most.leaves ? leaves : most.leaves;
        if (move->wanted > most.wanted) {
            most.wanted = move->wanted;
            most.shim = move->amount.value;
        }
    }
    return most;
}

/* Shims without a stock: what is common, and what saves thirty foils. */
static void add_common_size(const struct words *words, struct buffer *phrase,
    const struct perpend_step *step, double wanted)
{
    bool metric = words->unit == PERPEND_UNIT_MM; /* as the common sizes are */
    if (metric && isfinite(step->nearest_common) && step->nearest_common > 0.0) {
        buffer_add(phrase, " Nearest common size to ");
        words_thickness(words, phrase, wanted);
        buffer_add(phrase, ": ");
        words_stated(words, phrase, WORDS_SMALL, step->nearest_common);
        buffer_add(phrase, ".");
    }
    double foils = round(wanted / KITCHEN_FOIL);
    if (foils < 1.0)
        return;
    buffer_add(phrase, " In kitchen foil that is ");
    buffer_add_number(phrase, foils, 0);
    buffer_add(phrase, foils > 1.0 ? " leaves" : " leaf");
    buffer_add(phrase, foils > LEAVES_TOO_MANY ? "; drink can or brass does it in a few." : ".");
}

static bool leaves_run_out(const struct answer_about *about, size_t joint)
{
    for (size_t axis = 0; axis < 2; axis++) {
        const struct perpend_shortfall *shortfall = &about->measurement->plan.short_of[axis];
        if (shortfall->present && shortfall->move == PERPEND_MOVE_SHIM && shortfall->joint == joint)
            return true;
    }
    return false;
}

bool answer_wants_leaves(const struct answer_about *about)
{
    for (size_t joint = 0; joint < about->machine->mount.joint_count; joint++)
        if (leaves_run_out(about, joint))
            return true;
    return false;
}

/* Shims from the stock: what they do not quite make up, and stacks that would spring. */
static void add_stock_notes(const struct words *words, struct buffer *phrase,
    const struct answer_about *about, const struct perpend_step *step, const struct thickest *most)
{
    if (fabs(most->wanted - most->shim) > PERPEND_SAME_SHIM &&
        !leaves_run_out(about, step->joint)) {
        buffer_add(phrase, " Shim wanted: ");
        words_thickness(words, phrase, most->wanted);
        buffer_add(phrase, ".");
    }
    if (most->leaves <= LEAVES_TOO_MANY)
        return;
    buffer_addf(phrase, " %u leaves in one place spring", most->leaves);
    if (isfinite(step->nearest_common)) {
        buffer_add(phrase, ": a single piece of ");
        /* the common sizes are metric ones */
        if (words->unit == PERPEND_UNIT_MM)
            words_stated(words, phrase, WORDS_SMALL, step->nearest_common);
        else
            words_thickness(words, phrase, most->wanted);
        buffer_add(phrase, " sits better");
    }
    buffer_add(phrase, ".");
}

/* What went in at the other bolts before can come out instead. */
static void add_taking_out(const struct words *words, struct buffer *phrase,
    const struct perpend_joint *joint, const struct perpend_step *step)
{
    size_t count = 0, place = 0;
    double told = 0.0;
    if (!perpend_step_can_take_out(step))
        return;
    for (size_t i = 0; i < step->bolt_count; i++)
        count += step->bolts[i].out > 0.0;
    buffer_add(phrase, " Taking out ");
    for (size_t i = 0; i < step->bolt_count; i++) {
        double out = step->bolts[i].out;
        if (out <= 0.0)
            continue;
        words_list_mark(phrase, place++, count);
        if (fabs(out - told) > PERPEND_SAME_SHIM) {
            words_thickness(words, phrase, out);
            buffer_add(phrase, " at ");
            told = out;
        }
        words_name(phrase, joint->bolts[i].name);
    }
    buffer_add(phrase, " instead turns it as far.");
}

bool step_takes_out(const struct perpend_step *step)
{
    for (size_t i = 0; i < step->bolt_count; i++)
        if (step->bolts[i].amount.value < 0.0)
            return true;
    return false;
}

void shim_notes(const struct words *words, struct buffer *phrase, const struct answer_about *about,
    const struct perpend_step *step)
{
    struct thickest most = thickest_of(step);
    if (step_takes_out(step)) {
        buffer_add(
            phrase, " That much was put in earlier in this job; what comes nearest will do.");
        return;
    }
    if (about->measurement->plan.from_stock) {
        add_stock_notes(words, phrase, about, step, &most);
        add_taking_out(words, phrase, &about->machine->mount.joints[step->joint], step);
        return;
    }
    if (about->machine->stock.leaf_count > 0)
        buffer_add(phrase, " None of the leaves left on hand fits here.");
    add_common_size(words, phrase, step, most.wanted);
}

/* ": 3 of drink can (0.1 mm) would make up the rest" */
static void add_rest(const struct words *words, struct buffer *phrase, double rest)
{
    double cans = round(rest / CAN_WALL);
    if (cans < 1.0)
        return;
    if (cans > LEAVES_TOO_MANY) {
        buffer_add(phrase, ": another ");
        words_thickness(words, phrase, rest);
    } else {
        buffer_addf(phrase, ": %.0f of drink can (", cans);
        if (words->unit == PERPEND_UNIT_MM)
            words_stated(words, phrase, WORDS_SMALL, CAN_WALL);
        else /* about so thick */
            words_rounded(words, phrase, WORDS_SMALL, CAN_WALL, 2.0 * CAN_WALL);
        buffer_add(phrase, ") at each bolt that gets most");
    }
    buffer_add(phrase, " would make up the rest");
}

/* Both axes run short of leaves in one joint, a flange: then each sentence says for which lean. */
static bool twice_short(const struct perpend_shortfall *shortfalls)
{
    return shortfalls[0].present && shortfalls[1].present &&
           shortfalls[0].joint == shortfalls[1].joint && shortfalls[0].move == PERPEND_MOVE_SHIM &&
           shortfalls[1].move == PERPEND_MOVE_SHIM;
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
    bool slide = shortfall->move == PERPEND_MOVE_SLIDE;
    bool none_left = shortfall->move == PERPEND_MOVE_SHIM && shortfall->allowed <= 0.0;
    if (none_left) {
        buffer_add(phrase, "No leaf on hand serves the ");
    } else if (shortfall->move == PERPEND_MOVE_SHIM) {
        buffer_add(phrase, "The leaves on hand make ");
        words_thickness(words, phrase, shortfall->allowed);
        buffer_add(phrase, " at the ");
    } else {
        buffer_add(phrase, slide ? "The play of the bolts in the " : "The screws of the ");
    }
    words_name(phrase, joint);
    if (shortfall->move != PERPEND_MOVE_SHIM) {
        buffer_add(phrase, slide ? " allows " : " allow ");
        words_thickness(words, phrase, shortfall->allowed);
    }
    if (twice_short(about->measurement->plan.short_of))
        buffer_addf(phrase, " for the lean %s", axis);
    buffer_add(phrase, "; ");
    words_thickness(words, phrase, shortfall->wanted);
    buffer_add(phrase, " is needed");
    if (shortfall->move == PERPEND_MOVE_SHIM)
        add_rest(words, phrase, shortfall->wanted - shortfall->allowed);
    buffer_add(phrase, ".");
}

void answer_shortfall(struct words *words, const struct answer_about *about)
{
    static const char *const axes[] = {"to the left or right", "back or forward"};
    const struct perpend_plan *plan = &about->measurement->plan;
    const struct perpend_slope_covariance *covariance = &about->measurement->fit.lean_covariance;
    const double left[] = {plan->leaves.right, plan->leaves.back};
    const double variance[] = {covariance->right_right, covariance->back_back};
    struct buffer phrase = {0};
    for (size_t axis = 0; axis < 2; axis++) {
        const struct perpend_shortfall *shortfall = &plan->short_of[axis];
        /* what is left may be less than the sweep can tell */
        if (!shortfall->present || fabs(left[axis]) <= words_expanded(variance[axis]))
            continue;
        if (phrase.length > 0)
            buffer_add(&phrase, " ");
        add_short(words, &phrase, about, shortfall, axes[axis]);
    }
    if (phrase.length > 0 || phrase.failed)
        words_paragraph(words, "", buffer_text(&phrase));
    buffer_finish(&phrase);
}
