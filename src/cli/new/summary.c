/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new/summary.h"

#include <assert.h>
#include <math.h>

#include <perpend/plan.h>

#include "text/joint_drawing.h"

static void add_gauge(
    const struct words *words, struct buffer *phrase, const struct perpend_gauge *gauge)
{
    static const char *const kinds[] = {
        [PERPEND_GAUGE_GAP] = "the gap, in steps of ",
        [PERPEND_GAUGE_TOUCH] = "Z at the touch, in steps of ",
        [PERPEND_GAUGE_DIAL] = "a dial, in steps of ",
        [PERPEND_GAUGE_LEVER] = "a lever indicator, in steps of ",
    };
    static_assert(sizeof kinds / sizeof *kinds == PERPEND_GAUGE_KINDS, "a kind has no words");
    buffer_add(phrase, kinds[gauge->kind]);
    words_stated(words, phrase, WORDS_SMALL, gauge->step);
}

static void add_line(struct words *words, const char *lead, struct buffer *phrase)
{
    words_paragraph(words, lead, buffer_text(phrase));
    buffer_clear(phrase);
}

/* How far apart the bolts of a joint are, and how high. */
static void add_spans(
    const struct words *words, struct buffer *phrase, const struct perpend_joint *joint)
{
    static const char *const ways[3] = {" left to right", " front to back", " up and down"};
    struct perpend_point least = joint->bolts[0].at;
    struct perpend_point most = least;
    for (size_t i = 1; i < joint->bolt_count; i++) {
        struct perpend_point at = joint->bolts[i].at;
        least = (struct perpend_point){
            fmin(least.right, at.right), fmin(least.back, at.back), fmin(least.up, at.up)};
        most = (struct perpend_point){
            fmax(most.right, at.right), fmax(most.back, at.back), fmax(most.up, at.up)};
    }
    const double spans[3] = {most.right - least.right, most.back - least.back, most.up - least.up};
    bool any = false;
    for (int i = 0; i < 3; i++) {
        if (spans[i] > 0) {
            buffer_add(phrase, any ? ", " : "");
            words_stated(words, phrase, WORDS_LARGE, spans[i]);
            buffer_add(phrase, ways[i]);
            any = true;
        }
    }
    buffer_add(phrase, "; the lowest bolts ");
    words_stated(words, phrase, WORDS_LARGE, least.up);
    buffer_add(phrase, " above the tip");
}

/* The way that no joint can turn the spindle, before somebody finds out with a spanner in hand. */
static void add_unserved(
    struct words *words, struct buffer *phrase, const struct perpend_machine *machine)
{
    static const char *const axes[2] = {"to the left or right", "back or forward"};
    /* what a plan falls short of for a lean of a tenth of a mm/m both ways */
    struct perpend_plan_input input = {
        .lean = {1e-4, 1e-4},
        .mount = &machine->mount,
        .cutter = &machine->cutter,
        .facing = &machine->facing,
        .goal = NAN,
    };
    struct perpend_plan plan;
    if (machine->mount.joint_count == 0 || perpend_plan_make(&input, &plan) != PERPEND_OK)
        return;
    for (size_t axis = 0; axis < 2; axis++) {
        const struct perpend_shortfall *shortfall = &plan.short_of[axis];
        if (!shortfall->present || shortfall->joint < machine->mount.joint_count)
            continue;
        buffer_addf(phrase,
            "This mount cannot turn the spindle %s: a lean that way can be seen, not taken out. "
            "If something else on the machine can, add it as one more joint.",
            axes[axis]);
        add_line(words, "  ", phrase);
    }
    perpend_plan_finish(&plan);
}

void summary_show(struct words *words, const struct perpend_machine *machine)
{
    struct buffer phrase = {0};
    words_name(&phrase, machine->name);
    add_line(words, "", &phrase);
    buffer_add(&phrase, "an arm of ");
    words_stated(words, &phrase, WORDS_LARGE, machine->setup.arm.length);
    buffer_add(&phrase, "; you read ");
    add_gauge(words, &phrase, &machine->setup.gauge);
    add_line(words, "  sweep:  ", &phrase);
    buffer_add(&phrase, "a bit of ");
    words_stated(words, &phrase, WORDS_LARGE, machine->cutter.diameter);
    buffer_add(&phrase, ", ");
    words_rounded(words, &phrase, WORDS_LARGE, machine->facing.stepover, 0);
    buffer_add(&phrase, " from pass to pass, along ");
    buffer_add(&phrase, machine->facing.both_ways                  ? "X and Y"
                        : machine->facing.along == PERPEND_ALONG_Y ? "Y"
                                                                   : "X");
    add_line(words, "  facing: ", &phrase);
    if (isnan(machine->goal)) {
        buffer_add(&phrase, "none");
    } else {
        buffer_add(&phrase, "a ridge of ");
        words_stated(words, &phrase, WORDS_SMALL, machine->goal);
        buffer_add(&phrase, " or less");
    }
    add_line(words, "  goal:   ", &phrase);
    buffer_add(&phrase, machine->setup.bed_faced ? "faced by this machine" : "as found");
    add_line(words, "  bed:    ", &phrase);
    for (size_t i = 0; i < machine->mount.joint_count; i++) {
        const struct perpend_joint *joint = &machine->mount.joints[i];
        words_name(&phrase, joint->name);
        buffer_addf(&phrase, ", %s:", joint_drawing_view(joint->face));
        add_line(words, "  ", &phrase);
        joint_drawing_add(words, joint, NULL, NULL, 4);
        add_spans(words, &phrase, joint);
        add_line(words, "    ", &phrase);
    }
    add_unserved(words, &phrase, machine);
    for (size_t i = 0; i < machine->stock.leaf_count; i++) {
        const struct perpend_leaf *leaf = &machine->stock.leaves[i];
        buffer_addf(&phrase, "%u × ", leaf->count);
        words_stated(words, &phrase, WORDS_SMALL, leaf->thick);
        buffer_add(&phrase, leaf->name != NULL ? " " : "");
        words_name(&phrase, leaf->name);
        add_line(words, i == 0 ? "  shims:  " : "          ", &phrase);
    }
    buffer_finish(&phrase);
}
