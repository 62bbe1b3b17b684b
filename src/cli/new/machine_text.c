/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The text of a machine file, from the answers. */
#include "cli/new/draft.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "files/number.h"
#include "text/words.h"

#define COMMENT_COLUMN 30

/* A text as a YAML double-quoted scalar. */
static void add_quoted(struct buffer *text, const char *free_text)
{
    buffer_add(text, "\"");
    for (const unsigned char *at = (const unsigned char *)free_text; *at != '\0'; at++) {
        if (*at == '"' || *at == '\\') {
            buffer_addf(text, "\\%c", *at);
        } else if (*at < 0x20 || *at == 0x7f) {
            buffer_addf(text, "\\x%02x", (unsigned)*at);
        } else if (*at == 0xc2 && at[1] >= 0x80 && at[1] < 0xa0) {
            /* the second set of control characters, which YAML does not take as they are */
            buffer_addf(text, "\\x%02x", (unsigned)at[1]);
            at++;
        } else {
            buffer_add_bytes(text, (const char *)at, 1);
        }
    }
    buffer_add(text, "\"");
}

/* A number with the fewest decimals that keep it to a millionth. */
static void add_short(struct buffer *text, double value)
{
    char digits[400];
    buffer_add(text, words_trimmed(digits, sizeof digits, value, 6));
}

static void add_length(struct buffer *text, enum perpend_unit unit, double mm)
{
    add_short(text, unit == PERPEND_UNIT_INCH ? mm / PERPEND_MM_PER_INCH : mm);
}

static void add_typed(
    struct buffer *text, const struct draft *draft, enum draft_key key, size_t joint)
{
    add_length(text, draft_unit(draft), draft_length(draft, key, joint));
}

/* End a line that began at `start` with a comment at a column of its own. */
static void end_line(struct buffer *text, size_t start, const char *comment)
{
    int used = (int)words_columns(buffer_text(text) + start);
    buffer_addf(text, "%*s# %s\n", used < COMMENT_COLUMN ? COMMENT_COLUMN - used : 1, "", comment);
}

static void write_gauge(const struct draft *draft, struct buffer *text)
{
    buffer_addf(text,
        "\n# What you read, and the smallest step it shows. A `spread: %s` beside\n"
        "# them would state how far repeated readings scatter.\n",
        draft_unit(draft) == PERPEND_UNIT_INCH ? "0.0008" : "0.02");
    buffer_addf(text, "gauge: {kind: %s, step: ", draft_answer(draft, DRAFT_GAUGE, 0));
    add_typed(text, draft, DRAFT_STEP, 0);
    if (draft_is(draft, DRAFT_GAUGE, 0, "dial") || draft_is(draft, DRAFT_GAUGE, 0, "lever")) {
        buffer_addf(
            text, ", rises: %s", draft_is(draft, DRAFT_RISES, 0, "yes") ? "toward" : "away");
    }
    if (draft_is(draft, DRAFT_GAUGE, 0, "lever")) {
        double degrees = 0;
        perpend_number_parse(draft_answer(draft, DRAFT_ANGLE, 0), &degrees);
        buffer_add(text, ", angle: ");
        add_short(text, degrees);
    }
    buffer_add(text, "}\n");
}

static void write_facing(const struct draft *draft, struct buffer *text)
{
    const char *stepover = draft_answer(draft, DRAFT_STEPOVER, 0);
    buffer_add(text,
        "\n# The bit that faces the bed: width, and corner radius (0: sharp corners).\n"
        "cutter: {diameter: ");
    add_typed(text, draft, DRAFT_CUTTER, 0);
    buffer_add(text, ", corner: ");
    add_typed(text, draft, DRAFT_CORNER, 0);
    buffer_add(text, "}\n\n# How it goes over the bed: from pass to pass, along X, Y or both, how "
                     "deep.\nfacing: {stepover: ");
    if (strchr(stepover, '%') != NULL) {
        double share = 0;
        share_parse(stepover, &share);
        buffer_add(text, "\"");
        add_short(text, 100 * share);
        buffer_add(text, "%\"");
    } else {
        add_typed(text, draft, DRAFT_STEPOVER, 0);
    }
    buffer_addf(text, ", along: %s", draft_answer(draft, DRAFT_ALONG, 0));
    if (!draft_is(draft, DRAFT_DEPTH, 0, "none")) {
        buffer_add(text, ", depth: ");
        add_typed(text, draft, DRAFT_DEPTH, 0);
    }
    buffer_add(text, "}\n");
    if (draft->answers[0][DRAFT_GOAL] != NULL && !draft_is(draft, DRAFT_GOAL, 0, "none")) {
        buffer_add(text, "\n# The ridge between passes that is good enough.\ngoal: {ridge: ");
        add_typed(text, draft, DRAFT_GOAL, 0);
        buffer_add(text, "}\n");
    }
    buffer_add(text, "\n# `faced`: this machine has cut the bed flat itself. Else `as found`.\n");
    buffer_addf(text, "bed: %s\n", draft_is(draft, DRAFT_BED, 0, "no") ? "as found" : "faced");
}

static void write_thread(const struct draft *draft, size_t joint, struct buffer *text)
{
    const char *answer = draft_answer(draft, DRAFT_THREAD, joint);
    double mm;
    if (answer[0] == 'M' || answer[0] == 'm')
        buffer_addf(text, "M%s", answer + 1);
    else if (perpend_length_parse(answer, draft_unit(draft), &mm) == PERPEND_OK)
        add_length(text, draft_unit(draft), mm);
    else
        add_quoted(text, answer);
}

/* A bolt: where it stands in half widths to the right and to the back, and in heights over the lower
   ones. The names are words of our own, so they need no quotes. */
struct bolt_text {
    const char *name;
    signed char right, back, up;
};

static const struct bolt_text upright_bolts[] = {{"top left", -1, 0, 1}, {"top right", 1, 0, 1},
    {"bottom left", -1, 0, 0}, {"bottom right", 1, 0, 0}, {0}};
static const struct bolt_text flat_bolts[] = {{"back left", -1, 1, 0}, {"back right", 1, 1, 0},
    {"front left", -1, -1, 0}, {"front right", 1, -1, 0}, {0}};
static const struct bolt_text side_bolts[] = {{"left top back", -1, 1, 1},
    {"left top front", -1, -1, 1}, {"left bottom back", -1, 1, 0}, {"left bottom front", -1, -1, 0},
    {"right top back", 1, 1, 1}, {"right top front", 1, -1, 1}, {"right bottom back", 1, 1, 0},
    {"right bottom front", 1, -1, 0}, {0}};
/* one above the other in each plate */
static const struct bolt_text side_pairs[] = {{"left top", -1, 0, 1}, {"left bottom", -1, 0, 0},
    {"right top", 1, 0, 1}, {"right bottom", 1, 0, 0}, {0}};

static void write_bolts(const struct draft *draft, size_t joint, struct buffer *text,
    const struct bolt_text *bolts, bool behind)
{
    double across = draft_length(draft, DRAFT_ACROSS, joint) / 2;
    double deep = draft_length(draft, DRAFT_DEEP, joint) / 2;
    double high = draft_length(draft, DRAFT_HIGH, joint);
    double above = draft_length(draft, DRAFT_ABOVE, joint);
    double middle = behind ? draft_length(draft, DRAFT_BEHIND, joint) : 0;
    for (; bolts->name != NULL; bolts++) {
        const double at[3] = {
            bolts->right * across, middle + bolts->back * deep, above + bolts->up * high};
        buffer_addf(text, "      - {name: %s, at: [", bolts->name);
        for (int i = 0; i < 3; i++) {
            buffer_add(text, i == 0 ? "" : ", ");
            add_length(text, draft_unit(draft), at[i]);
        }
        buffer_add(text, "], thread: ");
        write_thread(draft, joint, text);
        if (!draft_is(draft, DRAFT_HOLE, joint, "") &&
            !draft_is(draft, DRAFT_HOLE, joint, "usual")) {
            buffer_add(text, ", hole: ");
            add_typed(text, draft, DRAFT_HOLE, joint);
        }
        buffer_add(text, "}\n");
    }
}

struct joint_text {
    const char *shape, *lies; /* answers that lead here; lies "" for any */
    const char *comment;
    const char *name, *faces, *allows;
    const struct bolt_text *bolts;
    bool behind; /* the spindle */
};

static const struct joint_text joint_texts[] = {
    {"plate", "", "An upright plate behind the spindle; what is fixed looks to the front.", "plate",
        "front", "shim, slide", upright_bolts, true},
    {"sides", "", "Two side plates; the spindle can turn between them fore and aft.", "side plates",
        "right", "slide", side_bolts, false},
    {"flange", "rests", "A flange that rests on a flat plate; what is fixed looks up.", "flange",
        "up", "shim", flat_bolts, false},
    {"flange", "hangs", "A flange that hangs under a flat plate; what is fixed looks down.",
        "flange", "down", "shim", flat_bolts, false},
    {"screws", "upright", "Push screws that hold an upright plate off what is behind it.",
        "push screws", "front", "screw", upright_bolts, true},
    {"screws", "flat", "Push screws that hold a flat plate off what is under it.", "push screws",
        "up", "screw", flat_bolts, false},
};

static void write_joint(const struct draft *draft, size_t joint, struct buffer *text)
{
    const struct joint_text *found = joint_texts;
    const struct joint_text *last = found + sizeof joint_texts / sizeof *joint_texts - 1;
    while (found < last &&
           (!draft_is(draft, DRAFT_SHAPE, joint, found->shape) ||
               (found->lies[0] != '\0' && !draft_is(draft, DRAFT_LIES, joint, found->lies))))
        found++;
    size_t same = 1;
    for (size_t before = 0; before < joint; before++)
        same += draft_is(draft, DRAFT_SHAPE, before, found->shape) ? 1 : 0;
    buffer_addf(text, "  # %s\n  - joint: %s", found->comment, found->name);
    if (same > 1)
        buffer_addf(text, " %zu", same);
    buffer_addf(
        text, "\n    faces: %s\n    allows: [%s]\n    bolts:\n", found->faces, found->allows);
    bool pairs = found->bolts == side_bolts && !(draft_length(draft, DRAFT_DEEP, joint) > 0);
    write_bolts(draft, joint, text, pairs ? side_pairs : found->bolts, found->behind);
}

static void write_stock(const struct draft *draft, struct buffer *text)
{
    buffer_add(text, "\n# Shims on hand: how thick, how many, what they are.\nstock:\n");
    for (size_t i = 0; i < draft->leaf_count; i++) {
        struct leaves leaves;
        if (!draft_leaf_parse(draft->leaves[i], draft_unit(draft), &leaves))
            continue;
        buffer_add(text, "  - {thick: ");
        add_length(text, draft_unit(draft), leaves.thick);
        buffer_addf(text, ", count: %u", leaves.count);
        if (leaves.name[0] != '\0') {
            buffer_add(text, ", name: ");
            add_quoted(text, leaves.name);
        }
        buffer_add(text, "}\n");
    }
}

/* An example to go by, behind marks that make it no part of the file. */
static void write_no_mount(const struct draft *draft, struct buffer *text)
{
    bool inch = draft_unit(draft) == PERPEND_UNIT_INCH;
    buffer_add(text,
        "\n# How the spindle is held is not told, so that no step can be advised. To add it, take\n"
        "# away the marks below and put in your own numbers: each bolt is at [right, back, up]\n"
        "# from the tool tip. This head turns on two bolts.\n"
        "#mount:\n"
        "#  - joint: head\n"
        "#    faces: front\n"
        "#    allows: [slide]\n"
        "#    bolts:\n");
    buffer_add(text, inch
                         ? "#      - {name: left, at: [-2, 4, 12], thread: M10, hole: 0.45}\n"
                           "#      - {name: right, at: [2, 4, 12], thread: M10, hole: 0.45}\n"
                         : "#      - {name: left, at: [-50, 100, 300], thread: M10, hole: 11.5}\n"
                           "#      - {name: right, at: [50, 100, 300], thread: M10, hole: 11.5}\n");
}

static void write_mount(const struct draft *draft, struct buffer *text)
{
    size_t joints = draft_joint_count(draft);
    if (joints == 0) {
        write_no_mount(draft, text);
        return;
    }
    buffer_add(text, "\n# How the spindle is held. Each bolt is at [right, back, up] from the tool "
                     "tip.\nmount:\n");
    for (size_t joint = 0; joint < joints; joint++)
        write_joint(draft, joint, text);
}

void draft_write(const struct draft *draft, struct buffer *text)
{
    buffer_add(text,
        "# A machine file for perpend. Change it in any editor; man 5 perpend-machine\n"
        "# tells what each line may say.\nperpend: 1\nmachine: ");
    add_quoted(text, draft_answer(draft, DRAFT_NAME, 0));
    size_t start = text->length + 1;
    buffer_addf(text, "\nunit: %s", draft_answer(draft, DRAFT_UNIT, 0));
    end_line(text, start, "of every bare number here; others take a suffix");
    buffer_add(text, "\n# From the middle of the spindle to the tip that touches the bed.\narm: ");
    add_typed(text, draft, DRAFT_ARM, 0);
    buffer_add(text, "\n");
    write_gauge(draft, text);
    write_facing(draft, text);
    write_mount(draft, text);
    if (draft->leaf_count > 0)
        write_stock(draft, text);
}
