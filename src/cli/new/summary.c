/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new/summary.h"

#include <math.h>

#include <perpend/plan.h>
#include <perpend/status.h>
#include <perpend/verdict.h>

#include "files/files.h"
#include "text/about.h"
#include "text/joint_drawing.h"
#include "text/sentences.h"

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

/* What the goal asks of arm and gauge. */
static void say_means(struct words *words, const struct perpend_machine *machine)
{
    struct perpend_means means;
    struct buffer phrase = {0};
    if (isnan(machine->goal.ridge) || perpend_means_for(&machine->setup, 4, &machine->cutter,
                                          &machine->facing, &machine->goal, &means) != PERPEND_OK)
        return;
    fill(words, &phrase, "Goal: a ridge of {goal}. ",
        SLOTS(SLOT_STATED("goal", WORDS_SMALL, machine->goal.ridge)));
    fill(words, &phrase, sentences[isnan(means.lean) ? MEANS_TALK_NONE : MEANS_TALK],
        SLOTS(
            SLOT_STATED("agree", WORDS_SMALL, agree_shown(means.agree, machine->setup.gauge.step)),
            SLOT_IF("fine", means.fine_enough), SLOT_GAUGE("gauge", means.step_needed),
            SLOT_ARM("arm", means.arm_needed)));
    say_and_finish(words, "  ", &phrase);
}

void summary_show(struct dialogue *dialogue, const struct buffer *text)
{
    struct perpend_machine machine;
    struct fault fault;
    if (!machine_file_parse(buffer_text(text), text->length, "", &machine, &fault))
        return;
    struct words words = dialogue_words(dialogue, machine.unit);
    say_sentence(&words, "", "{name}", SLOTS(SLOT_NAME("name", machine.name)));
    say_means(&words, &machine);
    for (size_t i = 0; i < machine.mount.joint_count; i++) {
        const struct perpend_joint *joint = &machine.mount.joints[i];
        say_sentence(&words, "  ", "{joint}, {view}:",
            SLOTS(SLOT_NAME("joint", joint->name),
                SLOT_TEXT("view", joint_drawing_view(joint->face))));
        joint_drawing_add(&words, joint, NULL, NULL, 4);
    }
    say_unserved(&words, &machine);
    dialogue_space(dialogue);
    dialogue_show(dialogue, buffer_text(&words.out));
    buffer_finish(&words.out);
    perpend_machine_finish(&machine);
}
