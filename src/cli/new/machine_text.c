/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The text of a machine file, from a draft. */
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "cli/new/draft.h"
#include "cli/prompt/amounts.h"
#include "files/names.h"
#include "files/number.h"
#include "text/sentences.h"

static const struct section {
    const char *key, *comment;
} sections[] = {
#define SECTION(key, comment) {key, comment},
#include "cli/new/machine_text.inc"
};

/* A value as it is, or in double quotes where YAML might make something else of it. */
static void add_value(struct buffer *text, const char *value)
{
    static const char plain[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789. /%+";
    size_t length = strlen(value);
    bool quoted = length == 0 || value[strspn(value, plain)] != '\0' || value[0] == '%' ||
                  value[0] == ' ' || value[length - 1] == ' ';
    buffer_add(text, quoted ? "\"" : "");
    for (const char *at = value; *at != '\0'; at++)
        buffer_addf(text, *at == '"' || *at == '\\' ? "\\%c" : "%c", *at);
    buffer_add(text, quoted ? "\"" : "");
}

static bool left_out(const char *text)
{
    return same_word(text, "none") || same_word(text, "usual");
}

/* A key of the file with what is in it: a value, a mapping in braces, or as it was written. */
static void add_section(
    const struct draft *draft, const struct section *section, struct buffer *text)
{
    const struct words words = {.unit = draft_unit(draft)};
    const struct part *only = NULL;
    struct buffer inside = {0};
    size_t length = strlen(section->key), count = 0;
    for (size_t i = 0; i < draft->count; i++) {
        const struct part *part = &draft->parts[i];
        if (strncmp(part->key, section->key, length) != 0 || left_out(part->text) ||
            (part->key[length] != '\0' && part->key[length] != '.'))
            continue;
        only = part;
        buffer_addf(&inside, "%s%s: ", count++ > 0 ? ", " : "{",
            part->key[length] == '.' ? part->key + length + 1 : "");
        if (part->as_written)
            buffer_add(&inside, part->text);
        else
            add_value(&inside, part->text);
    }
    buffer_add(&inside, "}");
    bool alone = count == 1 && strcmp(only->key, value_alone(section->key)) == 0;
    if (count > 0 || strcmp(section->key, "mount") == 0)
        fill(&words, text, text->length > 0 ? "{comment|\n{comment}\n}" : "{comment|{comment}\n}",
            SLOTS(SLOT_SENTENCE("comment", count > 0 ? section->comment : NO_MOUNT_TEXT),
                SLOT_TEXT("(", "{"), SLOT_TEXT(")", "}"),
                SLOT_IF("inch", words.unit == PERPEND_UNIT_INCH)));
    if (count > 0)
        buffer_addf(text, "%s:%s", section->key, only->text[0] == '\n' ? "" : " ");
    if (alone && only->as_written)
        buffer_add(text, only->text);
    else if (alone)
        add_value(text, only->text);
    else if (count > 0)
        buffer_add(text, buffer_text(&inside));
    buffer_add(text, count > 0 ? "\n" : "");
    text->failed |= inside.failed;
    buffer_finish(&inside);
}

/* A length in the file's unit; 0 for what was not asked. */
static double measure(const struct draft *draft, size_t joint, const char *of_joint)
{
    double mm = 0;
    const char *text = draft_text_of(draft, joint, of_joint);
    if (text == NULL || perpend_length_parse(text, draft_unit(draft), &mm) != PERPEND_OK)
        return 0;
    return draft_unit(draft) == PERPEND_UNIT_INCH ? mm / PERPEND_MM_PER_INCH : mm;
}

static void add_optional(struct buffer *text, const char *name, const char *value)
{
    if (value == NULL || value[0] == '\0' || left_out(value))
        return;
    buffer_addf(text, ", %s: ", name);
    add_value(text, value);
}

static void add_bolts(
    const struct draft *draft, size_t joint, const struct shape *shape, struct buffer *text)
{
    const struct shape_spans spans = {
        .across = measure(draft, joint, "across"),
        .deep = measure(draft, joint, "deep"),
        .high = measure(draft, joint, "high"),
        .above = measure(draft, joint, "above"),
        .behind = measure(draft, joint, "behind"),
    };
    char right[NUMBER_SHOWN], back[NUMBER_SHOWN], up[NUMBER_SHOWN];
    for (const struct shape_bolt *bolt = shape->bolts; bolt->name != NULL; bolt++) {
        struct perpend_point at;
        size_t named = shape_bolt_at(shape, &spans, bolt, &at);
        if (named == 0)
            continue;
        buffer_addf(text, "\n      - {name: %.*s, at: [%s, %s, %s]", (int)named, bolt->name,
            number_digits(right, at.right, 7), number_digits(back, at.back, 7),
            number_digits(up, at.up, 7));
        add_optional(text, "thread", draft_text_of(draft, joint, "thread"));
        add_optional(text, "hole", draft_text_of(draft, joint, "hole"));
        buffer_add(text, "}");
    }
}

/* The joints that were described, each with a name of its own. */
static void add_joints(const struct draft *draft, struct buffer *text)
{
    const struct shape *shape, *before[PERPEND_JOINTS_MOST];
    for (size_t joint = 0;
         joint < PERPEND_JOINTS_MOST && (shape = draft_shape(draft, joint)) != NULL; joint++) {
        size_t same = 1;
        for (size_t i = 0; i < joint; i++)
            same += strcmp(before[i]->joint, shape->joint) == 0;
        before[joint] = shape;
        buffer_addf(text, "\n  - joint: %s", shape->joint);
        if (same > 1)
            buffer_addf(text, " %zu", same);
        buffer_addf(text, "  # %s", shape->comment);
        buffer_addf(
            text, "\n    faces: %s\n    allows: [%s]\n    bolts:", shape->faces, shape->allows);
        add_bolts(draft, joint, shape, text);
    }
}

static void add_leaves(const struct draft *draft, struct buffer *text)
{
    const bool inch = draft_unit(draft) == PERPEND_UNIT_INCH;
    const char *typed;
    struct leaves leaves;
    for (size_t i = 0; (typed = draft_text_of(draft, i, "leaf")) != NULL &&
                       leaves_parse(typed, draft_unit(draft), LEAVES_THICK_FIRST, &leaves);
         i++) {
        char digits[NUMBER_SHOWN];
        buffer_addf(text, "\n  - {thick: %s, count: %u",
            number_digits(digits, inch ? leaves.thick / PERPEND_MM_PER_INCH : leaves.thick, 6),
            leaves.count);
        add_optional(text, "name", leaves.name);
        buffer_add(text, "}");
    }
}

bool draft_keep_lists(struct draft *draft)
{
    struct buffer mount = {0}, stock = {0};
    add_joints(draft, &mount);
    add_leaves(draft, &stock);
    bool kept = !mount.failed && !stock.failed &&
                (mount.length == 0 || draft_keep(draft, "mount", buffer_text(&mount), true)) &&
                (stock.length == 0 || draft_keep(draft, "stock", buffer_text(&stock), true));
    buffer_finish(&mount);
    buffer_finish(&stock);
    return kept;
}

void draft_write(const struct draft *draft, struct buffer *text)
{
    for (size_t i = 0; i < sizeof sections / sizeof *sections; i++)
        add_section(draft, &sections[i], text);
}
