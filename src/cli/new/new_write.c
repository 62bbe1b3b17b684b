/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The text of a machine file, from the answers. */
#include "cli/new/new_draft.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "cli/prompt/dialogue.h"
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
    char digits[64];
    for (int decimals = 0; decimals <= 6; decimals++) {
        double back;
        perpend_number_format(digits, sizeof digits, value, decimals);
        if (perpend_number_parse(digits, &back) == 0 && fabs(back - value) < 5e-7)
            break;
    }
    buffer_add(text, digits);
}

static void add_length(struct buffer *text, enum perpend_unit unit, double mm)
{
    add_short(text, unit == PERPEND_UNIT_INCH ? mm / PERPEND_MM_PER_INCH : mm);
}

/* What was typed, mm; the typing was checked when it came in. */
static double typed_length(const struct draft *draft, enum draft_key key, size_t joint)
{
    double mm = 0;
    perpend_length_parse(draft_answer(draft, key, joint), draft_unit(draft), &mm);
    return mm;
}

static void add_typed(
    struct buffer *text, const struct draft *draft, enum draft_key key, size_t joint)
{
    add_length(text, draft_unit(draft), typed_length(draft, key, joint));
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

/* A bolt: its name is made of words of our own, so it needs no quotes. */
static void write_bolt(const struct draft *draft, size_t joint, struct buffer *text,
    const char *name, const double at[3])
{
    buffer_addf(text, "      - {name: %s, at: [", name);
    for (int i = 0; i < 3; i++) {
        buffer_add(text, i == 0 ? "" : ", ");
        add_length(text, draft_unit(draft), at[i]);
    }
    buffer_add(text, "], thread: ");
    write_thread(draft, joint, text);
    if (!draft_is(draft, DRAFT_HOLE, joint, "") && !draft_is(draft, DRAFT_HOLE, joint, "usual")) {
        buffer_add(text, ", hole: ");
        add_typed(text, draft, DRAFT_HOLE, joint);
    }
    buffer_add(text, "}\n");
}

/* Four bolts in an upright plate across the front-back direction. */
static void write_upright(const struct draft *draft, size_t joint, struct buffer *text)
{
    static const char *const names[4] = {"top left", "top right", "bottom left", "bottom right"};
    double across = typed_length(draft, DRAFT_ACROSS, joint) / 2;
    double high = typed_length(draft, DRAFT_HIGH, joint);
    double above = typed_length(draft, DRAFT_ABOVE, joint);
    double behind = typed_length(draft, DRAFT_BEHIND, joint);
    for (int i = 0; i < 4; i++) {
        double at[3] = {i % 2 == 0 ? -across : across, behind, i < 2 ? above + high : above};
        write_bolt(draft, joint, text, names[i], at);
    }
}

/* Four upright bolts in a flat joint, in the middle of which the spindle hangs. */
static void write_flat(const struct draft *draft, size_t joint, struct buffer *text)
{
    static const char *const names[4] = {"back left", "back right", "front left", "front right"};
    double across = typed_length(draft, DRAFT_ACROSS, joint) / 2;
    double deep = typed_length(draft, DRAFT_DEEP, joint) / 2;
    double above = typed_length(draft, DRAFT_ABOVE, joint);
    for (int i = 0; i < 4; i++) {
        double at[3] = {i % 2 == 0 ? -across : across, i < 2 ? deep : -deep, above};
        write_bolt(draft, joint, text, names[i], at);
    }
}

/* Two side plates; bolts through each from the side, one above the other or two by two. */
static void write_sides(const struct draft *draft, size_t joint, struct buffer *text)
{
    static const char *const sides[2] = {"left", "right"};
    double across = typed_length(draft, DRAFT_ACROSS, joint) / 2;
    double deep = typed_length(draft, DRAFT_DEEP, joint) / 2;
    double high = typed_length(draft, DRAFT_HIGH, joint);
    double above = typed_length(draft, DRAFT_ABOVE, joint);
    for (int side = 0; side < 2; side++) {
        for (int i = 0; i < (deep > 0 ? 4 : 2); i++) {
            bool top = deep > 0 ? i < 2 : i == 0;
            double at[3] = {side == 0 ? -across : across,
                deep > 0 ? (i % 2 == 0 ? deep : -deep) : 0, top ? above + high : above};
            char name[48];
            snprintf(name, sizeof name, "%s %s%s", sides[side], top ? "top" : "bottom",
                deep > 0 ? (i % 2 == 0 ? " back" : " front") : "");
            write_bolt(draft, joint, text, name, at);
        }
    }
}

struct joint_text {
    const char *shape, *lies; /* answers that lead here; lies "" for any */
    const char *comment;
    const char *name, *faces, *allows;
    void (*bolts)(const struct draft *draft, size_t joint, struct buffer *text);
};

static const struct joint_text joint_texts[] = {
    {"plate", "", "An upright plate behind the spindle; what is fixed looks to the front.", "plate",
        "front", "shim, slide", write_upright},
    {"sides", "", "Two side plates; the spindle can turn between them fore and aft.", "side plates",
        "right", "slide", write_sides},
    {"flange", "rests", "A flange that rests on a flat plate; what is fixed looks up.", "flange",
        "up", "shim", write_flat},
    {"flange", "hangs", "A flange that hangs under a flat plate; what is fixed looks down.",
        "flange", "down", "shim", write_flat},
    {"screws", "upright", "Push screws that hold an upright plate off what is behind it.",
        "push screws", "front", "screw", write_upright},
    {"screws", "flat", "Push screws that hold a flat plate off what is under it.", "push screws",
        "up", "screw", write_flat},
};

static void write_joint(const struct draft *draft, size_t joint, struct buffer *text)
{
    for (size_t i = 0; i < sizeof joint_texts / sizeof *joint_texts; i++) {
        const struct joint_text *found = &joint_texts[i];
        if (!draft_is(draft, DRAFT_SHAPE, joint, found->shape) ||
            (found->lies[0] != '\0' && !draft_is(draft, DRAFT_LIES, joint, found->lies)))
            continue;
        size_t same = 1;
        for (size_t before = 0; before < joint; before++)
            same += draft_is(draft, DRAFT_SHAPE, before, found->shape) ? 1 : 0;
        buffer_addf(text, "  # %s\n  - joint: %s", found->comment, found->name);
        if (same > 1)
            buffer_addf(text, " %zu", same);
        buffer_addf(
            text, "\n    faces: %s\n    allows: [%s]\n    bolts:\n", found->faces, found->allows);
        found->bolts(draft, joint, text);
        return;
    }
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
