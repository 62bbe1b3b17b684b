/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `perpend new` asks. */
#include <assert.h>

#include <perpend/sweep.h>

#include "cli/new/questions.h"

#define CHOICES(name)                                                                              \
    static const struct choices name = {                                                           \
        name##_words, name##_lines, sizeof name##_words / sizeof *name##_words}

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
CHOICES(unit);
CHOICES(gauge);
CHOICES(along);
CHOICES(shape);
CHOICES(flange);
CHOICES(screws);

/* answers: what Enter alone takes, in mm and in inch, then what is allowed and what is likely, mm */
#define LENGTH(mm, in, low, high, likely_low, likely_high)                                         \
    {                                                                                              \
        .kind = ANSWER_LENGTH, .standing = {mm, in}, .least = (low), .most = (high),               \
        .likely_least = (likely_low), .likely_most = (likely_high)                                 \
    }
#define LENGTH_OR_NONE(mm, in, low, high, likely_low, likely_high)                                 \
    {                                                                                              \
        .kind = ANSWER_LENGTH, .standing = {mm, in}, .least = (low), .most = (high),               \
        .likely_least = (likely_low), .likely_most = (likely_high), .none = true                   \
    }
#define CHOICE(usual, list)                                                                        \
    {                                                                                              \
        .kind = ANSWER_CHOICE, .standing = {usual, usual}, .choices = &(list)                      \
    }
#define YES_NO(usual)                                                                              \
    {                                                                                              \
        .kind = ANSWER_YES_NO, .standing = { usual, usual }                                        \
    }
#define OWN(usual, checked)                                                                        \
    {                                                                                              \
        .kind = ANSWER_OWN, .standing = {usual, usual}, .check = (checked)                         \
    }
#define SPAN(mm, in) LENGTH(mm, in, 1, 2000, 10, 400)
#define THREAD                                                                                     \
    {                                                                                              \
        .kind = ANSWER_OWN, .standing = {"M5", "M5"}, .likely_least = 2, .likely_most = 20,        \
        .check = check_thread                                                                      \
    }

static const char step_say[] = "The smallest step it shows: the difference between two "
                               "neighbouring leaves, or one line of the "
                               "dial, or the least that Z can move.";
static const char step_help[] = "Nothing finer than this can be read, and the answer allows for "
                                "it. Feeler leaves usually go by "
                                "0.05 mm (2 thou), dials by 0.01 mm (or 0.5 to 1 thou).";
static const char rises_help[] =
    "Most indicators count up as the plunger goes in. Some lever indicators count the other way in "
    "one of their two directions.";
static const char shape_help[] =
    "plate: shims go behind it, and it can turn a little in its holes. sides: the spindle turns "
    "between the plates, as far as the holes allow. flange: shims go under it. screws: set screws "
    "push a plate off what is behind it. none, or another shape: the file has an example to "
    "change.";
static const char across_help[] = "From the middle of a left bolt to the middle of the right one "
                                  "beside it. For side plates: from "
                                  "plate to plate.";
static const char deep_help[] =
    "From the middle of a front bolt to the middle of the one behind it.";
static const char high_help[] = "From the middle of an upper bolt to the middle of the one below "
                                "it. This one counts: the shims "
                                "are worked out from it.";
static const char thread_help[] =
    "Measure across the thread of a bolt: 4 mm is M4, 5 mm M5, 6 mm M6, 8 mm M8. Inch threads by "
    "their width, such as 1/4 in; with the turns to the inch, such as 1/4-20 or #10-24, where "
    "those "
    "are known. For push screws they are needed.";
static const char stock_help[] =
    "Each line one kind: its thickness, x, how many there are, and what it is; 8 x 0.05 brass is "
    "the same as 0.05 x 8 brass. Kitchen foil is about 0.016 mm, office paper and the wall of a "
    "drink can about 0.10 mm. Without any the plan says what thickness is wanted, and you find it.";

const struct row question_rows[] = {
    {DRAFT_NAME, 0, OWN("router", check_name),
        "What do you call the machine? The log lists its jobs under this name.", "name",
        "Any name you would know it by next year."},
    {DRAFT_UNIT, 0, CHOICE("mm", unit), "What do you measure in?", "mm or in",
        "Numbers without a unit are then taken as that. Any length may still carry its own, here "
        "and later: 0.5 mm, 20 thou, 1/4 in."},
    {DRAFT_ARM, 0, LENGTH("75", "3", 5, 2000, 30, 300),
        "The sweep arm: lay a ruler from the middle of the spindle to the tip that touches the "
        "bed.",
        "arm length",
        "The arm is the rod or wire in the spindle that reaches out to the side. If the middle is "
        "hard to see: mark where the tip stands, turn the arm half round by hand, mark again, and "
        "take half of the distance between the marks. A millimetre more or less does no harm."},
    {DRAFT_GAUGE, 0, CHOICE("gap", gauge), "How do you read the height of the tip over the bed?",
        "which",
        "gap: the space under the tip, by what just slides in. touch: no gauge at all, the "
        "machine's own Z. dial and lever: an indicator in place of the tip."},
    {DRAFT_STEP, WHEN_GAP, LENGTH("0.05", "0.002", 0.0001, 2, 0.001, 0.25), step_say,
        "smallest step", step_help},
    {DRAFT_STEP, WHEN_TOUCH, LENGTH("0.01", "0.002", 0.0001, 2, 0.001, 0.25), step_say,
        "smallest step", step_help},
    {DRAFT_STEP, 0, LENGTH("0.01", "0.001", 0.0001, 2, 0.001, 0.25), step_say, "smallest step",
        step_help},
    {DRAFT_RISES, WHEN_DIAL, YES_NO("yes"),
        "Push the plunger in with a finger, as a nearer bed would.", "does the number go up",
        rises_help},
    {DRAFT_RISES, WHEN_LEVER, YES_NO("yes"),
        "Push the stylus up with a finger, as a nearer bed would.", "does the number go up",
        rises_help},
    {DRAFT_ANGLE, WHEN_LEVER, OWN("0", check_angle),
        "How steeply does the stylus stand to the bed? 0 lies flat along it, 90 upright.",
        "angle, degrees",
        "A steep stylus shows more than the bed really moves. By eye, to ten degrees, will do; "
        "flat "
        "is best."},
    {DRAFT_CUTTER, 0, LENGTH("22", "7/8", 0.5, 500, 6, 80),
        "The bit that faces the bed: measure across its cutting edges.", "width of the bit",
        "The widest part that cuts at the bottom. Surfacing bits for small routers are some 20 to "
        "25 mm across."},
    {DRAFT_CORNER, 0, LENGTH("0", "0", 0, 250, 0, 10),
        "How round are the corners of that bit? 0 for sharp ones.", "corner radius",
        "Lay the bit on its side on squared paper, or look it up. 0 for a plain flat bit."},
    {DRAFT_STEPOVER, 0, OWN("45%", check_stepover),
        "From one pass to the next: a length, or a share of the bit such as 45%.", "stepover",
        "What the tool path moves sideways between two passes. It must be less than what the bit "
        "cuts flat, or stripes are left standing."},
    {DRAFT_ALONG, 0, CHOICE("X", along), "Which way do the passes run?", "which",
        "X is left to right as you stand in front, Y front to back. It matters a good deal: the "
        "same lean leaves quite another ridge the other way."},
    {DRAFT_DEPTH, 0, LENGTH_OR_NONE("0.2", "0.008", 0.001, 50, 0.02, 5),
        "How deep is one facing cut? none if it varies.", "depth",
        "With it you are told when a leaning bit leaves one side uncut. About 0.2 mm is usual on "
        "fibreboard."},
    {DRAFT_GOAL, 0, LENGTH_OR_NONE("0.02", "0.001", 0.0001, 5, 0.002, 0.5),
        "How high a ridge between passes is still fine with you? none for no goal.", "ridge",
        "The session goes on until the ridge to expect is under this. A sheet of office paper is "
        "about 0.1 mm (4 thou), kitchen foil about 0.016 mm (0.6 thou)."},
    {DRAFT_BED, 0, YES_NO("yes"), "Has this machine faced the bed itself, as it stands now?",
        "faced here",
        "A bed that the machine has cut is true to the way it travels, so one sweep shows the "
        "spindle's lean alone. On any other bed a sweep shows lean and the bed's own slope in one; "
        "three sweeps at different places can tell them apart."},
    {DRAFT_SHAPE, WHEN_FIRST, CHOICE("plate", shape),
        "How is the spindle held? Take the joint that you would loosen to tilt it.", "which",
        shape_help},
    {DRAFT_SHAPE, WHEN_LATER, CHOICE("plate", shape), "How is that joint made?", "which",
        shape_help},
    {DRAFT_LIES, WHEN_FLANGE, CHOICE("rests", flange),
        "Does the flange rest on its plate or hang under it?", "which",
        "Were its bolts taken out, a flange that rests would stay where it is, and one that hangs "
        "would fall. Shims go between it and the plate."},
    {DRAFT_LIES, WHEN_SCREWS, CHOICE("upright", screws), "Which plate do the screws push?", "which",
        "upright: the screws point to the front, and the plate that carries the spindle stands. "
        "flat: they point up, and it lies, like a lid on its screws."},
    {DRAFT_ACROSS, WHEN_PLATE | WHEN_FLANGE, SPAN("60", "2.5"),
        "Left to right between the bolts, middle to middle.", "left to right", across_help},
    {DRAFT_ACROSS, WHEN_SCREWS, SPAN("60", "2.5"),
        "Left to right between the push screws, middle to middle.", "left to right", across_help},
    {DRAFT_ACROSS, WHEN_SIDES, SPAN("60", "2.5"), "From side plate to side plate.", "left to right",
        across_help},
    {DRAFT_DEEP, WHEN_FLANGE, SPAN("60", "2.5"),
        "Front to back between the bolts, middle to middle.", "front to back", deep_help},
    {DRAFT_DEEP, WHEN_FLAT, SPAN("60", "2.5"),
        "Front to back between the push screws, middle to middle.", "front to back", deep_help},
    {DRAFT_DEEP, WHEN_SIDES, LENGTH("0", "0", 0, 2000, 0, 400),
        "Front to back between the bolts of one plate; 0 if it has only one above the other.",
        "front to back", deep_help},
    {DRAFT_HIGH, WHEN_PLATE | WHEN_SIDES, SPAN("80", "3"),
        "Up and down between the bolts, middle to middle.", "up and down", high_help},
    {DRAFT_HIGH, WHEN_UPRIGHT, SPAN("80", "3"),
        "Up and down between the push screws, middle to middle.", "up and down", high_help},
    {DRAFT_ABOVE, WHEN_JOINT, LENGTH("130", "5", 0, 3000, 10, 600),
        "From the tip of the bit up to the lower bolts; roughly will do.", "tip to bolts",
        "Stand a ruler beside the bit. It only tells how far the tip moves when the spindle is "
        "tilted, so 10 mm more or less does no harm."},
    {DRAFT_BEHIND, WHEN_PLATE | WHEN_UPRIGHT, LENGTH("40", "1.5", 0, 2000, 0, 300),
        "From the spindle's middle back to that plate; roughly will do.", "middle to plate",
        "Half the spindle's width and what is between it and the plate. It only tells how far the "
        "tip moves."},
    {DRAFT_THREAD, WHEN_SCREWS | WHEN_MM, THREAD,
        "The size of the push screws: M5 is 5 mm across the thread.", "thread", thread_help},
    {DRAFT_THREAD, WHEN_SCREWS | WHEN_INCH, THREAD,
        "The size of the push screws: an inch size with its turns to the inch, such as 1/4-20, or "
        "metric, such as M5.",
        "thread", thread_help},
    {DRAFT_THREAD, WHEN_JOINT | WHEN_MM, THREAD,
        "The size of those bolts: M5 is 5 mm across the thread.", "thread", thread_help},
    {DRAFT_THREAD, WHEN_JOINT | WHEN_INCH, THREAD,
        "The size of those bolts: the width across the thread, such as 1/4 in, or metric, such as "
        "M5.",
        "thread", thread_help},
    {DRAFT_HOLE, WHEN_PLATE | WHEN_SIDES, OWN("usual", check_hole),
        "The holes they pass through. If you cannot measure them, usual is what most drill for "
        "that "
        "size.",
        "hole",
        "The play of the bolts in their holes is what lets the joint turn a little. A drill that "
        "just fits the hole tells its size. usual is the medium clearance hole of ISO 273, 5.5 mm "
        "for M5."},
    {DRAFT_ANOTHER, WHEN_JOINT, YES_NO("no"),
        "Is there another joint between spindle and machine that can be loosened, to tilt it some "
        "other way?",
        "another joint",
        "Such as side plates on top of a back plate. One joint is enough for most."},
    {DRAFT_STOCK, WHEN_MM, OWN("", check_leaf),
        "Shims you have, one kind a line, such as 0.05 x 8 brass. Enter alone when done, or if "
        "there are none.",
        "shims", stock_help},
    {DRAFT_STOCK, WHEN_INCH, OWN("", check_leaf),
        "Shims you have, one kind a line, such as 0.002 x 8 brass. Enter alone when done, or if "
        "there are none.",
        "shims", stock_help},
    {.key = DRAFT_KEYS},
};
