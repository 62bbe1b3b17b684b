/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The text of a machine file, from the answers. */
#include <string.h>

#include <perpend/status.h>

#include "cli/new/draft.h"
#include "files/number.h"
#include "text/sentences.h"

#define TEXT(name, text) static const char name[] = text;
#include "cli/new/machine_text.inc"

#define BRACES SLOT_TEXT("(", "{"), SLOT_TEXT(")", "}")

/* A number with the fewest decimals that keep it to a millionth. */
struct digits {
    char text[400];
};

static struct digits digits_of(double value)
{
    struct digits digits = {""};
    words_trimmed(digits.text, sizeof digits.text, value, 6);
    return digits;
}

static struct digits length_digits(const struct draft *draft, double mm)
{
    return digits_of(draft_unit(draft) == PERPEND_UNIT_INCH ? mm / PERPEND_MM_PER_INCH : mm);
}

/* A length as it was answered; nothing for "none", "usual" and what was not asked. */
static struct digits typed(const struct draft *draft, enum draft_key key, size_t joint)
{
    double mm;
    if (perpend_length_parse(draft_answer(draft, key, joint), draft_unit(draft), &mm) != PERPEND_OK)
        return (struct digits){""};
    return length_digits(draft, mm);
}

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

static void write_machine(const struct words *words, const struct draft *draft, struct buffer *text)
{
    const struct perpend_gauge_row *gauge = draft_gauge(draft);
    struct digits stepover = typed(draft, DRAFT_STEPOVER, 0);
    double share, angle = 0;
    struct buffer name = {0}, of_bit = {0};
    add_quoted(&name, draft_answer(draft, DRAFT_NAME, 0));
    perpend_number_parse(draft_answer(draft, DRAFT_ANGLE, 0), &angle);
    if (share_parse(draft_answer(draft, DRAFT_STEPOVER, 0), &share))
        buffer_addf(&of_bit, "\"%s%%\"", digits_of(100 * share).text);
    fill(words, text, MACHINE_TEXT,
        SLOTS(BRACES, SLOT_TEXT("name", buffer_text(&name)),
            SLOT_TEXT("unit", draft_answer(draft, DRAFT_UNIT, 0)),
            SLOT_IF("inch", words->unit == PERPEND_UNIT_INCH),
            SLOT_TEXT("arm", typed(draft, DRAFT_ARM, 0).text),
            SLOT_TEXT("gauge", draft_answer(draft, DRAFT_GAUGE, 0)),
            SLOT_TEXT("step", typed(draft, DRAFT_STEP, 0).text), SLOT_IF("dial", gauge->rises),
            SLOT_IF("rises", draft_is(draft, DRAFT_RISES, 0, "yes")),
            SLOT_IF("lever", gauge->angled), SLOT_TEXT("angle", digits_of(angle).text),
            SLOT_TEXT("cutter", typed(draft, DRAFT_CUTTER, 0).text),
            SLOT_TEXT("corner", typed(draft, DRAFT_CORNER, 0).text),
            SLOT_TEXT("stepover", of_bit.length > 0 ? buffer_text(&of_bit) : stepover.text),
            SLOT_TEXT("along", draft_answer(draft, DRAFT_ALONG, 0)),
            SLOT_TEXT("depth", typed(draft, DRAFT_DEPTH, 0).text),
            SLOT_TEXT("goal", typed(draft, DRAFT_GOAL, 0).text),
            SLOT_IF("found", draft_is(draft, DRAFT_BED, 0, "no"))));
    buffer_finish(&name);
    buffer_finish(&of_bit);
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

/* By the answers that lead there, in the order of JOINT_TEXT; lies "" for any. */
static const struct joint_kind {
    const char *shape, *lies;
    const struct bolt_text *bolts;
    bool behind; /* the spindle */
} joint_kinds[] = {
    {"plate", "", upright_bolts, true},
    {"sides", "", side_bolts, false},
    {"flange", "rests", flat_bolts, false},
    {"flange", "hangs", flat_bolts, false},
    {"screws", "upright", upright_bolts, true},
    {"screws", "flat", flat_bolts, false},
};
#define JOINT_KINDS (sizeof joint_kinds / sizeof *joint_kinds)

static void add_thread(struct buffer *text, const struct draft *draft, size_t joint)
{
    const char *answer = draft_answer(draft, DRAFT_THREAD, joint);
    struct digits width = typed(draft, DRAFT_THREAD, joint);
    if (answer[0] == 'M' || answer[0] == 'm')
        buffer_addf(text, "M%s", answer + 1);
    else if (width.text[0] != '\0')
        buffer_add(text, width.text);
    else
        add_quoted(text, answer);
}

static void write_bolts(const struct words *words, const struct draft *draft, size_t joint,
    const struct joint_kind *kind, struct buffer *text)
{
    double across = draft_length(draft, DRAFT_ACROSS, joint) / 2;
    double deep = draft_length(draft, DRAFT_DEEP, joint) / 2;
    double high = draft_length(draft, DRAFT_HIGH, joint);
    double above = draft_length(draft, DRAFT_ABOVE, joint);
    double middle = kind->behind ? draft_length(draft, DRAFT_BEHIND, joint) : 0;
    bool pairs = kind->bolts == side_bolts && !(deep > 0);
    struct buffer thread = {0};
    add_thread(&thread, draft, joint);
    for (const struct bolt_text *bolt = pairs ? side_pairs : kind->bolts; bolt->name; bolt++)
        fill(words, text, BOLT_TEXT,
            SLOTS(BRACES, SLOT_TEXT("bolt", bolt->name),
                SLOT_TEXT("right", length_digits(draft, bolt->right * across).text),
                SLOT_TEXT("back", length_digits(draft, middle + bolt->back * deep).text),
                SLOT_TEXT("up", length_digits(draft, above + bolt->up * high).text),
                SLOT_TEXT("thread", buffer_text(&thread)),
                SLOT_TEXT("hole", typed(draft, DRAFT_HOLE, joint).text)));
    buffer_finish(&thread);
}

static void write_joint(
    const struct words *words, const struct draft *draft, size_t joint, struct buffer *text)
{
    size_t kind = 0, same = 1;
    while (kind + 1 < JOINT_KINDS &&
           (!draft_is(draft, DRAFT_SHAPE, joint, joint_kinds[kind].shape) ||
               (joint_kinds[kind].lies[0] != '\0' &&
                   !draft_is(draft, DRAFT_LIES, joint, joint_kinds[kind].lies))))
        kind++;
    for (size_t before = 0; before < joint; before++)
        same += draft_is(draft, DRAFT_SHAPE, before, joint_kinds[kind].shape) ? 1 : 0;
    fill(words, text, JOINT_TEXT,
        SLOTS(SLOT_CHOICE("kind", kind), SLOT_IF("more", same > 1),
            SLOT_NUMBER("same", (double)same, 0)));
    write_bolts(words, draft, joint, &joint_kinds[kind], text);
}

static void write_leaf(const struct words *words, const struct draft *draft, const char *typed_leaf,
    struct buffer *text)
{
    struct leaves leaves;
    struct buffer name = {0};
    if (!draft_leaf_parse(typed_leaf, draft_unit(draft), &leaves))
        return;
    if (leaves.name[0] != '\0')
        add_quoted(&name, leaves.name);
    fill(words, text, LEAF_TEXT,
        SLOTS(BRACES, SLOT_TEXT("thick", length_digits(draft, leaves.thick).text),
            SLOT_NUMBER("count", leaves.count, 0), SLOT_TEXT("name", buffer_text(&name))));
    buffer_finish(&name);
}

void draft_write(const struct draft *draft, struct buffer *text)
{
    const struct words words = {.unit = draft_unit(draft)};
    size_t joints = draft_joint_count(draft);
    write_machine(&words, draft, text);
    fill(&words, text, joints > 0 ? MOUNT_TEXT : NO_MOUNT_TEXT,
        SLOTS(BRACES, SLOT_IF("inch", words.unit == PERPEND_UNIT_INCH)));
    for (size_t joint = 0; joint < joints; joint++)
        write_joint(&words, draft, joint, text);
    buffer_add(text, draft->leaf_count > 0 ? STOCK_TEXT : "");
    for (size_t i = 0; i < draft->leaf_count; i++)
        write_leaf(&words, draft, draft->leaves[i], text);
}
