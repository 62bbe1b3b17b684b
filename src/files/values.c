/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "files/keys.h"
#include "files/names.h"
#include "files/number.h"

const struct range anywhere = {-LENGTH_MOST, LENGTH_MOST};

bool read_nothing(struct reader *reader, const struct key *key, const yaml_node_t *node, void *at)
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
    const struct range *range, double *mm)
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

bool read_length(struct reader *reader, const struct key *key, const yaml_node_t *node, void *at)
{
    const char *text = node_text(reader, key->name, node);
    return text != NULL && length_text(reader, node_line(node), key->name, text, key->detail, at);
}

bool read_point(struct reader *reader, const struct key *key, const yaml_node_t *node, void *at)
{
    static const char *const parts[] = {"right", "back", "up"};
    double value[3];
    if (node->type != YAML_SEQUENCE_NODE)
        return reader_fail(reader, node_line(node),
            "%s must be three lengths in brackets, [right, back, up]", key->name);
    const yaml_node_item_t *items = node->data.sequence.items.start;
    size_t count = (size_t)(node->data.sequence.items.top - items);
    if (count != 3)
        return reader_fail(reader, node_line(node),
            "%s must be three lengths, [right, back, up]; it has %zu%s", key->name, count,
            count > 3 ? " (a decimal comma splits a number here; write a point)" : "");
    for (size_t i = 0; i < 3; i++) {
        char name[48];
        snprintf(name, sizeof name, "%s, %s,", key->name, parts[i]);
        const struct key part = {.name = name, .detail = &anywhere};
        if (!read_length(
                reader, &part, yaml_document_get_node(&reader->document, items[i]), &value[i]))
            return false;
    }
    *(struct perpend_point *)at =
        (struct perpend_point){.right = value[0], .back = value[1], .up = value[2]};
    return true;
}

bool read_name(struct reader *reader, const struct key *key, const yaml_node_t *node, void *at)
{
    const char *text = node_text(reader, key->name, node);
    size_t length = text == NULL ? 0 : strlen(text);
    if (text == NULL)
        return false;
    if (length > NAME_MOST)
        return reader_fail(reader, node_line(node), "%s is %zu bytes long; at most %d are taken",
            key->name, length, NAME_MOST);
    if (!text_is_printable(text, length))
        return reader_fail(reader, node_line(node),
            "%s has a line break or a control character; write it on one line, in plain letters",
            key->name);
    char *copy = strdup(text);
    *(char **)at = copy;
    return copy != NULL || reader_memory(reader);
}

bool read_choice(struct reader *reader, const struct key *key, const yaml_node_t *node, void *at)
{
    const char *names[KEYS_MOST];
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
    return reader_fail(reader, node_line(node), "%s %s is unknown; use %s", key->name,
        quote(quoted, text, strlen(text)), words_or(words, names, count));
}

bool read_flag(struct reader *reader, const struct key *key, const yaml_node_t *node, void *at)
{
    int value = 0;
    bool done = read_choice(reader, key, node, &value);
    *(bool *)at = value != 0;
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

bool read_bearing(struct reader *reader, const struct key *key, const yaml_node_t *node, void *at)
{
    const char *text = node_text(reader, key->name, node);
    return text != NULL && bearing_text(reader, node_line(node), key->name, text, at);
}

/* `text` is what stands there, less its unit; `unit` follows the bounds in the message. */
static bool number_within(struct reader *reader, const struct key *key, const yaml_node_t *node,
    const char *text, const char *unit, double *value)
{
    char quoted[QUOTED], low[NUMBER_SHOWN], high[NUMBER_SHOWN];
    const struct range *range = key->detail;
    double number = 0.0;
    enum perpend_status status = perpend_number_parse(text, &number);
    if (status == PERPEND_OK && number >= range->least && number <= range->most) {
        *value = number;
        return true;
    }
    quote(quoted, (const char *)node->data.scalar.value, node->data.scalar.length);
    return reader_fail(reader, node_line(node), "%s %s %s; use %s to %s%s", key->name, quoted,
        status == PERPEND_OK ? "is out of range" : "is not a number",
        number_shown(low, range->least), number_shown(high, range->most), unit);
}

bool read_number(struct reader *reader, const struct key *key, const yaml_node_t *node, void *at)
{
    const char *text = node_text(reader, key->name, node);
    return text != NULL && number_within(reader, key, node, text, "", at);
}

/* "15", "15°", "15 deg" or "15 degrees" */
bool read_degrees(struct reader *reader, const struct key *key, const yaml_node_t *node, void *at)
{
    static const char *const units[] = {"°", "degrees", "deg"};
    char bare[QUOTED];
    double degrees = 0.0;
    const char *text = node_text(reader, key->name, node);
    if (text == NULL)
        return false;
    snprintf(bare, sizeof bare, "%s", text);
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        char *unit = strstr(bare, units[i]);
        if (unit != NULL && strcmp(unit, units[i]) == 0)
            *unit = '\0';
    }
    if (!number_within(reader, key, node, bare, " degrees", &degrees))
        return false;
    *(double *)at = perpend_radians(degrees);
    return true;
}

/* ---- and back ---- */

/* In the file's unit when that reads back to the same length, else in mm. */
int write_length(struct writer *writer, const struct key *key, const void *at)
{
    char number[NUMBER_SHOWN], text[LENGTH_SHOWN];
    const double mm = *(const double *)at;
    bool inch = writer->unit == PERPEND_UNIT_INCH;
    (void)key;
    if (isnan(mm))
        return 0;
    if (number_exact(
            number, inch ? mm / PERPEND_MM_PER_INCH : mm, reads_as_length, mm, writer->unit))
        return write_word(writer, number);
    number_exact(number, mm, reads_as_length, mm, PERPEND_UNIT_MM);
    snprintf(text, sizeof text, "%s mm", number);
    return write_word(writer, text);
}

int write_number(struct writer *writer, const struct key *key, const void *at)
{
    char text[NUMBER_SHOWN];
    const double number = *(const double *)at;
    (void)key;
    if (isnan(number))
        return 0;
    number_exact(text, number, reads_as_number, number, writer->unit);
    return write_word(writer, text);
}

/* By its name when that is exactly the bearing, else in degrees. Every bearing that was read from a
   text has degrees that read back to it; others come as near as degrees can. */
int write_bearing(struct writer *writer, const struct key *key, const void *at)
{
    char text[NUMBER_SHOWN];
    const double bearing = *(const double *)at;
    const char *name = perpend_bearing_name(bearing);
    (void)key;
    if (name != NULL && reads_as_degrees(name, bearing, writer->unit))
        return write_word(writer, name);
    number_exact(text, perpend_degrees(bearing), reads_as_degrees, bearing, writer->unit);
    return write_word(writer, text);
}

int write_point(struct writer *writer, const struct key *key, const void *at)
{
    const struct perpend_point *point = at;
    if (isnan(point->right))
        return 0;
    int list = write_start_list(writer, true);
    write_entry(writer, list, write_length(writer, key, &point->right));
    write_entry(writer, list, write_length(writer, key, &point->back));
    write_entry(writer, list, write_length(writer, key, &point->up));
    return list;
}

int write_name(struct writer *writer, const struct key *key, const void *at)
{
    const char *name = *(const char *const *)at;
    (void)key;
    return name == NULL ? 0 : write_text(writer, name);
}
