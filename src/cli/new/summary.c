/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new/summary.h"

#include <math.h>

#include <perpend/plan.h>

#include "text/joint_drawing.h"
#include "text/sentences.h"

/* How far apart the bolts of a joint are, and how high. */
static void say_spans(struct words *words, const struct perpend_joint *joint)
{
    struct perpend_point least = joint->bolts[0].at, most = least;
    for (size_t i = 1; i < joint->bolt_count; i++) {
        struct perpend_point at = joint->bolts[i].at;
        least = (struct perpend_point){
            fmin(least.right, at.right), fmin(least.back, at.back), fmin(least.up, at.up)};
        most = (struct perpend_point){
            fmax(most.right, at.right), fmax(most.back, at.back), fmax(most.up, at.up)};
    }
    const double spans[3] = {most.right - least.right, most.back - least.back, most.up - least.up};
    struct buffer phrase = {0};
    for (int i = 0; i < 3; i++)
        if (spans[i] > 0)
            fill(words, &phrase, "{more|, }{span} {way|left to right|front to back|up and down}",
                SLOTS(SLOT_IF("more", phrase.length > 0),
                    SLOT_STATED("span", WORDS_LARGE, spans[i]), SLOT_CHOICE("way", i)));
    fill(words, &phrase, "; the lowest bolts {above} above the tip",
        SLOTS(SLOT_STATED("above", WORDS_LARGE, least.up)));
    say_and_finish(words, "    ", &phrase);
}

/* The way that no joint can turn the spindle, before somebody finds out with a spanner in hand. */
static void say_unserved(struct words *words, const struct perpend_machine *machine)
{
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
        say_sentence(words, "  ",
            "This mount cannot turn the spindle {axis|to the left or right|back or forward}: a "
            "lean "
            "that way can be seen, not taken out. If something else on the machine can, add it as "
            "one "
            "more joint.",
            SLOTS(SLOT_CHOICE("axis", axis)));
    }
    perpend_plan_finish(&plan);
}

void summary_show(struct words *words, const struct perpend_machine *machine)
{
    const struct perpend_gauge *gauge = &machine->setup.gauge;
    const struct perpend_facing *facing = &machine->facing;
    say_sentence(words, "", "{name}", SLOTS(SLOT_NAME("name", machine->name)));
    say_sentence(words, "  sweep:  ", "an arm of {arm}; you read {gauge}",
        SLOTS(SLOT_STATED("arm", WORDS_LARGE, machine->setup.arm.length),
            SLOT_SENTENCE("gauge", sentences[GAUGE_SUMMARY]), SLOT_CHOICE("kind", gauge->kind),
            SLOT_STATED("step", WORDS_SMALL, gauge->step)));
    say_sentence(words,
        "  facing: ", "a bit of {bit}, {stepover} from pass to pass, along {both|X and Y|{y|Y|X}}",
        SLOTS(SLOT_STATED("bit", WORDS_LARGE, machine->cutter.diameter),
            SLOT_ROUNDED("stepover", WORDS_LARGE, facing->stepover, 0),
            SLOT_IF("both", facing->both_ways), SLOT_IF("y", facing->along == PERPEND_ALONG_Y)));
    say_sentence(words, "  goal:   ", "{goal|a ridge of {goal} or less|none}",
        SLOTS(SLOT_STATED("goal", WORDS_SMALL, machine->goal.ridge)));
    say_sentence(words, "  bed:    ", "{faced|faced by this machine|as found}",
        SLOTS(SLOT_IF("faced", machine->setup.bed_faced)));
    for (size_t i = 0; i < machine->mount.joint_count; i++) {
        const struct perpend_joint *joint = &machine->mount.joints[i];
        say_sentence(words, "  ", "{joint}, {view}:",
            SLOTS(SLOT_NAME("joint", joint->name),
                SLOT_TEXT("view", joint_drawing_view(joint->face))));
        joint_drawing_add(words, joint, NULL, NULL, 4);
        say_spans(words, joint);
    }
    say_unserved(words, machine);
    for (size_t i = 0; i < machine->stock.leaf_count; i++) {
        const struct perpend_leaf *leaf = &machine->stock.leaves[i];
        say_sentence(words, i == 0 ? "  shims:  " : "          ", "{count} × {thick}{name| {name}}",
            SLOTS(SLOT_NUMBER("count", leaf->count, 0),
                SLOT_STATED("thick", WORDS_SMALL, leaf->thick), SLOT_NAME("name", leaf->name)));
    }
}
