/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/shims.h>

#include "text/shims.h"

#define CAN_WALL 0.1 /* mm; drink can; common practice, no source */
/* more in one place spring under the bolt; common practice, no source */
#define LEAVES_TOO_MANY 8u

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
        unsigned leaves = 0;
        for (size_t k = 0; k < move->stack_count; k++)
            leaves += move->stack[k].count;
        most.leaves = leaves > most.leaves ? leaves : most.leaves;
        if (move->wanted > most.wanted) {
            most.wanted = move->wanted;
            most.shim = move->amount.value;
        }
    }
    return most;
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
    if (step_takes_out(step)) {
        fill_next(words, phrase, sentences[SHIM_WAS_PUT_IN], NULL);
        return;
    }
    const struct thickest most = thickest_of(step);
    const bool metric = words->unit == PERPEND_UNIT_MM; /* as the common sizes are */
    const double foils = round(most.wanted / PERPEND_THINNEST_SHIM), common = step->nearest_common;
    const struct slot *slots =
        SLOTS(SLOT_THICKNESS("wanted", most.wanted), SLOT_STATED("common", WORDS_SMALL, common),
            SLOT_COUNT("foils", foils), SLOT_COUNT("leaves", most.leaves),
            SLOT_IF("single", isfinite(common)), SLOT_IF("metric", metric));
    if (about->measurement->plan.from_stock) {
        /* what the leaves do not quite make up, and stacks that would spring */
        if (fabs(most.wanted - most.shim) > PERPEND_SAME_SHIM &&
            !answer_leaves_run_out(about, step->joint))
            fill_next(words, phrase, sentences[SHIM_WANTED], slots);
        if (most.leaves > LEAVES_TOO_MANY)
            fill_next(words, phrase, sentences[SHIM_SPRINGS], slots);
        return;
    }
    /* without a stock: what is common, and what saves thirty foils */
    if (about->machine->stock.leaf_count > 0)
        fill_next(words, phrase, sentences[SHIM_NO_LEAF], NULL);
    if (metric && isfinite(common) && common > 0.0)
        fill_next(words, phrase, sentences[SHIM_COMMON_SIZE], slots);
    if (foils >= 1.0 && foils <= LEAVES_TOO_MANY)
        fill_next(words, phrase, sentences[SHIM_FOILS], slots);
}

/* Both axes run short of leaves in one joint, a flange: then each sentence says for which lean. */
static bool twice_short(const struct perpend_shortfall *shortfalls)
{
    return shortfalls[0].present && shortfalls[1].present &&
           shortfalls[0].joint == shortfalls[1].joint && shortfalls[0].move == PERPEND_MOVE_SHIM &&
           shortfalls[1].move == PERPEND_MOVE_SHIM;
}

/* What ran short along one axis: what was wanted at the worst bolt, and what there was. */
static void add_short(
    const struct words *words, struct buffer *phrase, const struct answer_about *about, size_t axis)
{
    const struct perpend_mount *mount = &about->machine->mount;
    const struct perpend_shortfall *shortfalls = about->measurement->plan.short_of;
    const struct perpend_shortfall *shortfall = &shortfalls[axis];
    enum sentence sentence = SHORT_OF_JOINT;
    const char *joint = "";
    if (shortfall->joint < mount->joint_count) {
        joint = mount->joints[shortfall->joint].name;
        sentence = SHORT_OF_MOVE;
    }
    double rest = shortfall->wanted - shortfall->allowed, cans = round(rest / CAN_WALL);
    struct slot can = SLOT_STATED("can", WORDS_SMALL, CAN_WALL);
    if (words->unit != PERPEND_UNIT_MM) /* about so thick */
        can = (struct slot)SLOT_ROUNDED("can", WORDS_SMALL, CAN_WALL, 2.0 * CAN_WALL);
    fill_next(words, phrase, sentences[sentence],
        SLOTS(SLOT_NAME("joint", joint), SLOT_CHOICE("axis", axis),
            SLOT_CHOICE("move", perpend_move_index(shortfall->move)),
            SLOT_THICKNESS("wanted", shortfall->wanted),
            SLOT_THICKNESS("allowed", shortfall->allowed),
            SLOT_IF("none", shortfall->allowed <= 0.0), SLOT_IF("twice", twice_short(shortfalls)),
            SLOT_CHOICE("rest", cans < 1.0                ? 2
                                : cans <= LEAVES_TOO_MANY ? 0
                                                          : 1),
            SLOT_COUNT("cans", cans), can, SLOT_THICKNESS("more", rest)));
}

void answer_shortfall(struct words *words, const struct answer_about *about)
{
    const struct perpend_plan *plan = &about->measurement->plan;
    const struct perpend_slope_covariance *covariance = &about->measurement->fit.lean_covariance;
    const double left[] = {plan->lean_after.right, plan->lean_after.back};
    const double variance[] = {covariance->right_right, covariance->back_back};
    struct buffer phrase = {0};
    for (size_t axis = 0; axis < 2; axis++)
        /* what is left may be less than the sweep can tell */
        if (plan->short_of[axis].present && fabs(left[axis]) > words_expanded(variance[axis]))
            add_short(words, &phrase, about, axis);
    say_and_finish(words, "", &phrase);
}
