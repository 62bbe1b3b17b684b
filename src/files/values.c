/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "files/keys.h"
#include "files/names.h"
#include "files/number.h"

#define COMMA_DOUBT "may be decimals or thousands; write it with a point, or without the comma"

const struct range anywhere = {-LENGTH_MOST, LENGTH_MOST};

bool read_nothing(const struct value *value, void *at)
{
    (void)value, (void)at;
    return true;
}

static bool fail_length(const struct value *value, enum perpend_status status)
{
    switch (status) {
    case PERPEND_ERR_EMPTY:
        return value_fail(
            value, "%s has no value; write a length such as 0.05 or 1/4 in", value->name);
    case PERPEND_ERR_UNIT:
        return value_wrong(value, "has an unknown unit; use mm, cm, um, in, \" or thou");
    case PERPEND_ERR_RANGE:
        return value_wrong(value, "is too large; check it");
    case PERPEND_ERR_COMMA:
        return value_wrong(value, COMMA_DOUBT);
    default:
        return value_wrong(
            value, "is not a length; write a number such as 0.05, 0.05 mm, 2 thou or 1/4 in");
    }
}

bool read_length(const struct value *value, void *at)
{
    const struct range *range = value->detail;
    enum perpend_unit unit = value->reader->unit;
    char bound[LENGTH_SHOWN];
    double length = 0.0;
    if (!value_is_text(value))
        return false;
    enum perpend_status status = perpend_length_parse(value->text, unit, &length);
    if (status != PERPEND_OK)
        return fail_length(value, status);
    if (length < range->least && range->least >= 0.0 && range->least <= LENGTH_LEAST)
        return value_wrong(
            value, "must be %s; check it", range->least == 0.0 ? "0 or more" : "more than 0");
    if (length < range->least || length > range->most)
        return value_wrong(value, "is %s %s; check the number and its unit",
            length < range->least ? "under" : "over",
            length_shown(bound, length < range->least ? range->least : range->most, unit));
    *(double *)at = length;
    return true;
}

bool read_point(const struct value *value, void *at)
{
    static const char *const parts[] = {"right", "back", "up"};
    struct perpend_point *point = at;
    double *const into[] = {&point->right, &point->back, &point->up};
    size_t count = entry_count(value);
    if (value->node->type != YAML_SEQUENCE_NODE)
        return value_fail(
            value, "%s must be three lengths in brackets, [right, back, up]", value->name);
    if (count != 3)
        return value_fail(value, "%s must be three lengths, [right, back, up]; it has %zu%s",
            value->name, count,
            count > 3 ? " (a decimal comma splits a number here; write a point)" : "");
    for (size_t i = 0; i < 3; i++) {
        char name[48];
        struct value part = entry_of(value, i);
        snprintf(name, sizeof name, "%s, %s,", value->name, parts[i]);
        part.name = name;
        part.detail = &anywhere;
        if (!read_length(&part, into[i]))
            return false;
    }
    return true;
}

bool read_name(const struct value *value, void *at)
{
    if (!value_is_text(value))
        return false;
    if (strlen(value->text) > NAME_MOST)
        return value_fail(value, "%s is %zu bytes long; at most %d are taken", value->name,
            strlen(value->text), NAME_MOST);
    if (!text_is_printable(value->text, strlen(value->text)))
        return value_fail(value,
            "%s has a line break or a control character; write it on one line, in plain letters",
            value->name);
    if (text_is_blank(value->text))
        return value_fail(value, "%s has nothing but blanks; write a name", value->name);
    char *copy = strdup(value->text);
    *(char **)at = copy;
    return copy != NULL || reader_memory(value->reader);
}

bool read_choice(const struct value *value, void *at)
{
    const char *names[KEYS_MOST];
    char words[WORDS];
    size_t count = 0;
    if (!value_is_text(value))
        return false;
    for (const struct choice *choice = value->detail; choice->word != NULL; choice++) {
        if (same_word(choice->word, value->text)) {
            *(int *)at = choice->value;
            return true;
        }
        names[count++] = choice->word;
    }
    return value_wrong(value, "is unknown; use %s", words_or(words, names, count));
}

bool read_unit(const struct value *value, void *at)
{
    static const struct choice units[] = {{"mm", PERPEND_UNIT_MM}, {"in", PERPEND_UNIT_INCH}, {0}};
    const struct value choice = value_with(value, units);
    bool done = read_choice(&choice, at);
    value->reader->unit = *(enum perpend_unit *)at;
    return done;
}

bool read_flag(const struct value *value, void *at)
{
    int chosen = 0;
    bool done = read_choice(value, &chosen);
    *(bool *)at = chosen != 0;
    return done;
}

bool read_bearing(const struct value *value, void *at)
{
    if (!value_is_text(value))
        return false;
    switch (perpend_bearing_parse(value->text, at)) {
    case PERPEND_OK:
        return true;
    case PERPEND_ERR_EMPTY:
        return value_fail(
            value, "%s has no value; write a bearing such as front, NE or 45", value->name);
    case PERPEND_ERR_RANGE:
        return value_wrong(value, "is beyond a full turn; use -360 to 360 degrees");
    default:
        return value_wrong(value,
            "is not a bearing; use front, back, left, right, back-right …, N, NE … or degrees");
    }
}

/* `bare` is the text less its unit; `unit` follows the bounds in the message. */
static bool number_within(
    const struct value *value, const char *bare, const char *unit, double *number)
{
    char low[NUMBER_SHOWN], high[NUMBER_SHOWN];
    const struct range *range = value->detail;
    enum perpend_status status = perpend_number_parse(bare, number);
    if (status == PERPEND_OK && *number >= range->least && *number <= range->most)
        return true;
    if (status == PERPEND_ERR_COMMA)
        return value_wrong(value, COMMA_DOUBT);
    return value_wrong(value, "%s; use %s to %s%s",
        status == PERPEND_OK ? "is out of range" : "is not a number",
        number_shown(low, range->least), number_shown(high, range->most), unit);
}

bool read_number(const struct value *value, void *at)
{
    return value_is_text(value) && number_within(value, value->text, "", at);
}

/* "15", "15°", "15 deg" or "15 degrees" */
bool read_degrees(const struct value *value, void *at)
{
    static const char *const units[] = {"°", "degrees", "deg"};
    char bare[QUOTED];
    double degrees = 0.0;
    if (!value_is_text(value))
        return false;
    snprintf(bare, sizeof bare, "%s", value->text);
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        char *unit = strstr(bare, units[i]);
        if (unit != NULL && strcmp(unit, units[i]) == 0)
            *unit = '\0';
    }
    if (!number_within(value, bare, " degrees", &degrees))
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
    if (isnan(bearing))
        return 0;
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
