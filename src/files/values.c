/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "files/names.h"
#include "files/number.h"
#include "files/reader.h"

bool read_nothing(struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    (void)reader, (void)key, (void)node, (void)at;
    return true;
}

static bool fail_length(const struct reader *reader, size_t line, const char *name,
    const char *quoted, enum perpend_status status)
{
    switch (status) {
    case PERPEND_ERR_EMPTY:
        return reader_fail(
            reader, line, "%s has no value; write a length such as 0.05 or 1/4 in", name);
    case PERPEND_ERR_UNIT:
        return reader_fail(reader, line,
            "%s %s has an unknown unit; use mm, cm, um, in, \" or thou", name, quoted);
    case PERPEND_ERR_RANGE:
        return reader_fail(reader, line, "%s %s is too large; check it", name, quoted);
    default:
        return reader_fail(reader, line,
            "%s %s is not a length; write a number such as 0.05, 0.05 mm, 2 thou or 1/4 in", name,
            quoted);
    }
}

bool length_text(struct reader *reader, size_t line, const char *name, const char *text,
    const struct length_range *range, double *mm)
{
    char quoted[QUOTED], bound[LENGTH_SHOWN];
    double length = 0.0;
    quote(quoted, text, strlen(text));
    enum perpend_status status = perpend_length_parse(text, reader->unit, &length);
    if (status != PERPEND_OK)
        return fail_length(reader, line, name, quoted, status);
    if (length < range->least && range->least >= 0.0 && range->least <= LENGTH_LEAST)
        return reader_fail(reader, line, "%s %s must be %s; check it", name, quoted,
            range->least == 0.0 ? "0 or more" : "more than 0");
    if (length < range->least)
        return reader_fail(reader, line, "%s %s is under %s; check the number and its unit", name,
            quoted, length_shown(bound, range->least, reader->unit));
    if (length > range->most)
        return reader_fail(reader, line, "%s %s is over %s; check the number and its unit", name,
            quoted, length_shown(bound, range->most, reader->unit));
    *mm = length;
    return true;
}

bool read_length(struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    const char *text = node_text(reader, key->name, node);
    return text != NULL && length_text(reader, node->line, key->name, text, key->detail, at);
}

bool read_point(struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    static const struct length_range anywhere = {-LENGTH_MOST, LENGTH_MOST};
    static const char *const parts[] = {"right", "back", "up"};
    double value[3];
    if (node->kind != NODE_LIST)
        return reader_fail(reader, node->line,
            "%s must be three lengths in brackets, [right, back, up]", key->name);
    if (node->count != 3)
        return reader_fail(reader, node->line,
            "%s must be three lengths, [right, back, up]; it has %zu%s", key->name, node->count,
            node->count > 3 ? " (a decimal comma splits a number here; write a point)" : "");
    const struct node *child = node->first;
    for (size_t i = 0; i < 3; i++, child = child->next) {
        char name[48];
        snprintf(name, sizeof name, "%s, %s,", key->name, parts[i]);
        const char *text = node_text(reader, name, child);
        if (text == NULL || !length_text(reader, child->line, name, text, &anywhere, &value[i]))
            return false;
    }
    *(struct perpend_point *)at =
        (struct perpend_point){.right = value[0], .back = value[1], .up = value[2]};
    return true;
}

bool read_name(struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    const char *text = node_text(reader, key->name, node);
    if (text == NULL)
        return false;
    if (node->length > NAME_MOST)
        return reader_fail(reader, node->line, "%s is %zu bytes long; at most %d are taken",
            key->name, node->length, NAME_MOST);
    if (!text_is_printable(text, node->length))
        return reader_fail(reader, node->line,
            "%s has a line break or a control character; write it on one line, in plain letters",
            key->name);
    char *copy = malloc(node->length + 1);
    if (copy == NULL)
        return reader_memory(reader);
    memcpy(copy, text, node->length + 1);
    *(char **)at = copy;
    return true;
}

bool read_choice(struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    const char *names[TREE_KEYS_MOST];
    char quoted[QUOTED], words[WORDS];
    size_t count = 0;
    const char *text = node_text(reader, key->name, node);
    if (text == NULL)
        return false;
    for (const struct choice *choice = key->detail; choice->word != NULL; choice++) {
        if (same_word(choice->word, text)) {
            *(int *)at = choice->value;
            return true;
        }
        names[count++] = choice->word;
    }
    return reader_fail(reader, node->line, "%s %s is unknown; use %s", key->name,
        quote(quoted, text, node->length), words_or(words, names, count));
}

/* A mapping under a key of its own. */
bool read_section(struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    const struct mapping *mapping = key->detail;
    if (node->kind != NODE_MAP)
        return read_map(reader, mapping, node, at); /* says what it should be */
    size_t mark = reader_enter(reader, "%s: ", key->name);
    bool done = read_map(reader, mapping, node, at);
    reader_leave(reader, mark);
    return done;
}

bool bearing_text(
    struct reader *reader, size_t line, const char *name, const char *text, double *bearing)
{
    char quoted[QUOTED];
    quote(quoted, text, strlen(text));
    switch (perpend_bearing_parse(text, bearing)) {
    case PERPEND_OK:
        return true;
    case PERPEND_ERR_EMPTY:
        return reader_fail(
            reader, line, "%s has no value; write a bearing such as front, NE or 45", name);
    case PERPEND_ERR_RANGE:
        return reader_fail(
            reader, line, "%s %s is beyond a full turn; use -360 to 360 degrees", name, quoted);
    default:
        return reader_fail(reader, line,
            "%s %s is not a bearing; use front, back, left, right, back-right …, N, NE … or "
            "degrees",
            name, quoted);
    }
}

bool read_bearing(struct reader *reader, const struct key *key, const struct node *node, void *at)
{
    const char *text = node_text(reader, key->name, node);
    return text != NULL && bearing_text(reader, node->line, key->name, text, at);
}

/* Shared by plain numbers and degrees: `unit` follows the bounds in the message. */
static bool number_within(struct reader *reader, const char *name, const struct node *node,
    const char *text, const char *unit, const double bounds[2], double *value)
{
    char quoted[QUOTED], low[NUMBER_SHOWN], high[NUMBER_SHOWN];
    double number = 0.0;
    enum perpend_status status = perpend_number_parse(text, &number);
    quote(quoted, node->text, node->length);
    if (status == PERPEND_OK && number >= bounds[0] && number <= bounds[1]) {
        *value = number;
        return true;
    }
    return reader_fail(reader, node->line, "%s %s %s; use %s to %s%s", name, quoted,
        status == PERPEND_OK ? "is out of range" : "is not a number", number_shown(low, bounds[0]),
        number_shown(high, bounds[1]), unit);
}

bool read_number(struct reader *reader, const char *name, const struct node *node, double least,
    double most, double *value)
{
    const char *text = node_text(reader, name, node);
    return text != NULL &&
           number_within(reader, name, node, text, "", (const double[]){least, most}, value);
}

bool read_degrees(struct reader *reader, const char *name, const struct node *node, double least,
    double most, double *degrees)
{
    static const char *const units[] = {"°", "deg", "degrees"};
    char bare[QUOTED];
    const char *text = node_text(reader, name, node);
    if (text == NULL)
        return false;
    size_t length = node->length;
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        size_t unit_length = strlen(units[i]);
        if (length > unit_length && strcmp(text + length - unit_length, units[i]) == 0) {
            length -= unit_length;
            break;
        }
    }
    snprintf(bare, sizeof bare, "%.*s", (int)(length < QUOTED ? length : QUOTED - 1), text);
    return number_within(
        reader, name, node, bare, " degrees", (const double[]){least, most}, degrees);
}
