/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>

#include <perpend/sweep.h>

#include "cli/new/new_table.h"

static const char *const unit_words[] = {"mm", "in"};
static const char *const unit_lines[] = {"millimetres", "inches"};
static const char *const gauge_words[] = {"gap", "touch", "dial", "lever"};
static const char *const gauge_lines[] = {
    "feeler leaves, paper or a wedge slid under the tip",
    "lower the machine until the tip just scrapes, and read its Z",
    "a dial indicator on the arm, its plunger pointing down",
    "a lever indicator (a small one with a swinging stylus)",
};
static_assert(sizeof gauge_words / sizeof *gauge_words == PERPEND_GAUGE_KINDS &&
                  sizeof gauge_lines == sizeof gauge_words,
    "a kind of gauge cannot be chosen");
static const char *const along_words[] = {"X", "Y", "both"};
static const char *const along_lines[] = {
    "left to right", "front to back", "now one, now the other"};
static const char *const shape_words[] = {"plate", "sides", "flange", "screws", "none"};
static const char *const shape_lines[] = {
    "an upright plate behind the spindle, four bolts",
    "two side plates, bolts through them from left and right",
    "a flat flange round the spindle, four upright bolts",
    "push screws that tilt a plate",
    "leave this out: lean and ridge, but no plan for the bolts",
};
static const char *const flange_words[] = {"rests", "hangs"};
static const char *const flange_lines[] = {
    "the flange lies on top of the plate that holds it", "the flange hangs under it"};
static const char *const screws_words[] = {"upright", "flat"};
static const char *const screws_lines[] = {
    "an upright plate behind the spindle, pushed to the front", "a flat plate, pushed up"};

#define CHOICE(list, text) .words = (list), .lines = (text), .count = sizeof(list) / sizeof *(list)

static const struct step steps[DRAFT_KEYS] = {
    [DRAFT_NAME] = {.kind = STEP_OWN,
        .say = "What do you call the machine? The log lists its jobs under this name.",
        .prompt = "name",
        .help = "Any name you would know it by next year.",
        .standing = {"router", "router"},
        .check = check_name},
    [DRAFT_UNIT] = {.kind = STEP_CHOICE,
        .say = "What do you measure in?",
        .prompt = "mm or in",
        .help =
            "Numbers without a unit are then taken as that. Any length may still carry its own, "
            "here and later: 0.5 mm, 20 thou, 1/4 in.",
        .standing = {"mm", "mm"},
        CHOICE(unit_words, unit_lines)},
    [DRAFT_ARM] = {.kind = STEP_LENGTH,
        .say = "The sweep arm: lay a ruler from the middle of the spindle to the tip that touches "
               "the bed.",
        .prompt = "arm length",
        .help =
            "The arm is the rod or wire in the spindle that reaches out to the side. If the "
            "middle is hard to see: mark where the tip stands, turn the arm half round by hand, "
            "mark again, and take half of the distance between the marks. A millimetre more or "
            "less does no harm.",
        .standing = {"75", "3"},
        .least = 5,
        .most = 2000,
        .likely_least = 30,
        .likely_most = 300},
    [DRAFT_GAUGE] = {.kind = STEP_CHOICE,
        .say = "How do you read the height of the tip over the bed?",
        .prompt = "which",
        .help = "gap: the space under the tip, by what just slides in. touch: no gauge at all, the "
                "machine's own Z. dial and lever: an indicator in place of the tip.",
        .standing = {"gap", "gap"},
        CHOICE(gauge_words, gauge_lines)},
    [DRAFT_STEP] = {.kind = STEP_LENGTH,
        .say = "The smallest step it shows: the difference between two neighbouring leaves, or one "
               "line of the dial, or the least that Z can move.",
        .prompt = "smallest step",
        .help = "Nothing finer than this can be read, and the answer allows for it. Feeler leaves "
                "usually go by 0.05 mm (2 thou), dials by 0.01 mm (or 0.5 to 1 thou).",
        .standing = {"0.05", "0.002"},
        .least = 0.0001,
        .most = 2,
        .likely_least = 0.001,
        .likely_most = 0.25},
    [DRAFT_RISES] = {.kind = STEP_YES_NO,
        .say = "Push the plunger in with a finger, as a nearer bed would.",
        .prompt = "does the number go up",
        .help = "Most indicators count up as the plunger goes in. Some lever indicators count the "
                "other way in one of their two directions.",
        .standing = {"yes", "yes"}},
    [DRAFT_ANGLE] = {.kind = STEP_OWN,
        .say = "How steeply does the stylus stand to the bed? 0 lies flat along it, 90 upright.",
        .prompt = "angle, degrees",
        .help = "A steep stylus shows more than the bed really moves. By eye, to ten degrees, will "
                "do; flat is best.",
        .standing = {"0", "0"},
        .check = check_angle},
    [DRAFT_CUTTER] = {.kind = STEP_LENGTH,
        .say = "The bit that faces the bed: measure across its cutting edges.",
        .prompt = "width of the bit",
        .help =
            "The widest part that cuts at the bottom. Surfacing bits for small routers are some "
            "20 to 25 mm across.",
        .standing = {"22", "7/8"},
        .least = 0.5,
        .most = 500,
        .likely_least = 6,
        .likely_most = 80},
    [DRAFT_CORNER] = {.kind = STEP_LENGTH,
        .say = "How round are the corners of that bit? 0 for sharp ones.",
        .prompt = "corner radius",
        .help = "Lay the bit on its side on squared paper, or look it up. 0 for a plain flat bit.",
        .standing = {"0", "0"},
        .least = 0,
        .most = 250,
        .likely_least = 0,
        .likely_most = 10},
    [DRAFT_STEPOVER] = {.kind = STEP_OWN,
        .say = "From one pass to the next: a length, or a share of the bit such as 45%.",
        .prompt = "stepover",
        .help =
            "What the tool path moves sideways between two passes. It must be less than what the "
            "bit cuts flat, or stripes are left standing.",
        .standing = {"45%", "45%"},
        .check = check_stepover},
    [DRAFT_ALONG] = {.kind = STEP_CHOICE,
        .say = "Which way do the passes run?",
        .prompt = "which",
        .help =
            "X is left to right as you stand in front, Y front to back. It matters a good deal: "
            "the same lean leaves quite another ridge the other way.",
        .standing = {"X", "X"},
        CHOICE(along_words, along_lines)},
    [DRAFT_DEPTH] = {.kind = STEP_LENGTH,
        .say = "How deep is one facing cut? none if it varies.",
        .prompt = "depth",
        .help = "With it you are told when a leaning bit leaves one side uncut. About 0.2 mm is "
                "usual on fibreboard.",
        .standing = {"0.2", "0.008"},
        .none = true,
        .least = 0.001,
        .most = 50,
        .likely_least = 0.02,
        .likely_most = 5},
    [DRAFT_GOAL] = {.kind = STEP_LENGTH,
        .say = "How high a ridge between passes is still fine with you? none for no goal.",
        .prompt = "ridge",
        .help = "The session goes on until the ridge to expect is under this. A sheet of office "
                "paper is about 0.1 mm (4 thou), kitchen foil about 0.016 mm (0.6 thou).",
        .standing = {"0.02", "0.001"},
        .none = true,
        .least = 0.0001,
        .most = 5,
        .likely_least = 0.002,
        .likely_most = 0.5},
    [DRAFT_BED] = {.kind = STEP_YES_NO,
        .say = "Has this machine faced the bed itself, as it stands now?",
        .prompt = "faced here",
        .help = "A bed that the machine has cut is true to the way it travels, so one sweep shows "
                "the spindle's lean alone. On any other bed a sweep shows lean and the bed's own "
                "slope in one; three sweeps at different places can tell them apart.",
        .standing = {"yes", "yes"}},
    [DRAFT_SHAPE] = {.kind = STEP_CHOICE,
        .say = "How is the spindle held? Take the joint that you would loosen to tilt it.",
        .prompt = "which",
        .help =
            "plate: shims go behind it, and it can turn a little in its holes. sides: the spindle "
            "turns between the plates, as far as the holes allow. flange: shims go under it. "
            "screws: set screws push a plate off what is behind it. none, or another shape: the "
            "file has an example to change.",
        .standing = {"plate", "plate"},
        CHOICE(shape_words, shape_lines)},
    [DRAFT_LIES] = {.kind = STEP_CHOICE, .prompt = "which", .help = ""},
    [DRAFT_ACROSS] = {.kind = STEP_LENGTH,
        .say = "Left to right between the bolts, middle to middle.",
        .prompt = "left to right",
        .help = "From the middle of a left bolt to the middle of the right one beside it. For side "
                "plates: from plate to plate.",
        .standing = {"60", "2.5"},
        .least = 1,
        .most = 2000,
        .likely_least = 10,
        .likely_most = 400},
    [DRAFT_DEEP] = {.kind = STEP_LENGTH,
        .say = "Front to back between the bolts, middle to middle.",
        .prompt = "front to back",
        .help = "From the middle of a front bolt to the middle of the one behind it.",
        .standing = {"60", "2.5"},
        .least = 1,
        .most = 2000,
        .likely_least = 10,
        .likely_most = 400},
    [DRAFT_HIGH] = {.kind = STEP_LENGTH,
        .say = "Up and down between the bolts, middle to middle.",
        .prompt = "up and down",
        .help =
            "From the middle of an upper bolt to the middle of the one below it. This one counts: "
            "the shims are worked out from it.",
        .standing = {"80", "3"},
        .least = 1,
        .most = 2000,
        .likely_least = 10,
        .likely_most = 400},
    [DRAFT_ABOVE] = {.kind = STEP_LENGTH,
        .say = "From the tip of the bit up to the lower bolts; roughly will do.",
        .prompt = "tip to bolts",
        .help =
            "Stand a ruler beside the bit. It only tells how far the tip moves when the spindle "
            "is tilted, so 10 mm more or less does no harm.",
        .standing = {"130", "5"},
        .least = 0,
        .most = 3000,
        .likely_least = 10,
        .likely_most = 600},
    [DRAFT_BEHIND] = {.kind = STEP_LENGTH,
        .say = "From the spindle's middle back to that plate; roughly will do.",
        .prompt = "middle to plate",
        .help = "Half the spindle's width and what is between it and the plate. It only tells how "
                "far the tip moves.",
        .standing = {"40", "1.5"},
        .least = 0,
        .most = 2000,
        .likely_least = 0,
        .likely_most = 300},
    [DRAFT_THREAD] = {.kind = STEP_OWN,
        .say = "The size of those bolts: M5 is 5 mm across the thread.",
        .prompt = "thread",
        .help = "Measure across the thread of a bolt: 4 mm is M4, 5 mm M5, 6 mm M6, 8 mm M8. Inch "
                "threads by their width, such as 1/4 in; with the turns to the inch, such as "
                "1/4-20 or #10-24, where those are known. For push screws they are needed.",
        .standing = {"M5", "M5"},
        .check = check_thread,
        .likely_least = 2,
        .likely_most = 20},
    [DRAFT_HOLE] = {.kind = STEP_OWN,
        .say = "The holes they pass through. If you cannot measure them, usual is what most drill "
               "for that size.",
        .prompt = "hole",
        .help =
            "The play of the bolts in their holes is what lets the joint turn a little. A drill "
            "that just fits the hole tells its size. usual is the medium clearance hole of "
            "ISO 273, 5.5 mm for M5.",
        .standing = {"usual", "usual"},
        .check = check_hole},
    [DRAFT_ANOTHER] = {.kind = STEP_YES_NO,
        .say =
            "Is there another joint between spindle and machine that can be loosened, to tilt it "
            "some other way?",
        .prompt = "another joint",
        .help = "Such as side plates on top of a back plate. One joint is enough for most.",
        .standing = {"no", "no"}},
};

/* The question as it is put for this machine and joint. */
static void fit_step(const struct draft *draft, enum draft_key key, size_t joint, struct step *step)
{
    bool sides = draft_is(draft, DRAFT_SHAPE, joint, "sides");
    if (key == DRAFT_LIES && draft_is(draft, DRAFT_SHAPE, joint, "flange")) {
        step->say = "Does the flange rest on its plate or hang under it?";
        step->help =
            "Were its bolts taken out, a flange that rests would stay where it is, and one that "
            "hangs would fall. Shims go between it and the plate.";
        step->words = flange_words;
        step->lines = flange_lines;
        step->count = 2;
    } else if (key == DRAFT_LIES) {
        step->say = "Which plate do the screws push?";
        step->help = "upright: the screws point to the front, and the plate that carries the "
                     "spindle stands. flat: they point up, and it lies, like a lid on its screws.";
        step->words = screws_words;
        step->lines = screws_lines;
        step->count = 2;
    } else if (draft_is(draft, DRAFT_SHAPE, joint, "screws") && key == DRAFT_ACROSS) {
        step->say = "Left to right between the push screws, middle to middle.";
    } else if (draft_is(draft, DRAFT_SHAPE, joint, "screws") && key == DRAFT_HIGH) {
        step->say = "Up and down between the push screws, middle to middle.";
    } else if (draft_is(draft, DRAFT_SHAPE, joint, "screws") && key == DRAFT_DEEP) {
        step->say = "Front to back between the push screws, middle to middle.";
    } else if (key == DRAFT_THREAD) {
        bool screws = draft_is(draft, DRAFT_SHAPE, joint, "screws");
        if (draft_unit(draft) == PERPEND_UNIT_INCH) {
            step->say = screws ? "The size of the push screws: an inch size with its turns to the "
                                 "inch, such as 1/4-20, or metric, such as M5."
                               : "The size of those bolts: the width across the thread, such as "
                                 "1/4 in, or metric, such as M5.";
        } else if (screws) {
            step->say = "The size of the push screws: M5 is 5 mm across the thread.";
        }
    } else if (key == DRAFT_RISES && draft_is(draft, DRAFT_GAUGE, 0, "lever")) {
        step->say = "Push the stylus up with a finger, as a nearer bed would.";
    } else if (sides && key == DRAFT_ACROSS) {
        step->say = "From side plate to side plate.";
    } else if (sides && key == DRAFT_DEEP) {
        step->say = "Front to back between the bolts of one plate; 0 if it has only one above the "
                    "other.";
        step->standing[0] = step->standing[1] = "0";
        step->least = step->likely_least = 0;
    } else if (key == DRAFT_SHAPE && joint > 0) {
        step->say = "How is that joint made?";
    }
}

struct step new_step_for(const struct draft *draft, enum draft_key key, size_t joint)
{
    struct step step = steps[key];
    fit_step(draft, key, joint, &step);
    return step;
}
