/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <getopt.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>
#include <perpend/units.h>

#include "cli/complain.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"
#include "files/buffer.h"
#include "files/names.h"

#define ROWS_MOST 32 /* options of one command */

/* One that begins with the word, or the nearest to it; NULL when none is near. */
static const char *name_meant(const char *word, const char *const *names, size_t count)
{
    size_t length = strlen(word);
    for (size_t i = 0; i < count; i++)
        if (length >= 2 && strncmp(word, names[i], length) == 0)
            return names[i];
    return nearest_name(word, names, count);
}

int complain_unknown(
    const char *line, const char *word, const char *dashes, const char *const *names, size_t count)
{
    struct buffer list = {0};
    const char *meant = name_meant(word, names, count);
    if (meant != NULL)
        buffer_addf(&list, "did you mean '%s%s'? ", dashes, meant);
    for (size_t i = 0; i < count; i++)
        buffer_addf(&list, "%s%s%s",
            i == 0           ? meant != NULL ? "There are " : "there are "
            : i + 1 == count ? " and "
                             : ", ",
            dashes, names[i]);
    int status = complain(2, "%s; %s", line, buffer_text(&list));
    buffer_finish(&list);
    return status;
}

static int no_such_option(const struct options *options, const char *given)
{
    const char *names[ROWS_MOST + 1];
    char name[64];
    struct buffer line = {0};
    for (size_t i = 0; i < options->row_count; i++)
        names[i] = options->rows[i].name;
    names[options->row_count] = "help";
    snprintf(name, sizeof name, "%s", given + strspn(given, "-"));
    name[strcspn(name, "=")] = '\0';
    buffer_addf(&line, "%s: unknown option '%s'", options->command, given);
    int status = complain_unknown(buffer_text(&line), name, "--", names, options->row_count + 1);
    buffer_finish(&line);
    return status;
}

/* What getopt stumbled over: a row's number, a letter behind one dash, or 0 for a name unknown. */
static int bad_option(const struct options *options, const char *word, int code, int stumbled)
{
    const char letter[] = {'-', (char)stumbled, '\0'};
    if (stumbled == 0 || (size_t)stumbled > options->row_count)
        return no_such_option(options, stumbled == 0 ? word : letter);
    const char *name = options->rows[stumbled - 1].name;
    if (code == ':')
        return complain(2, "%s: --%s wants a value after it", options->command, name);
    return complain(
        2, "%s: --%s takes no value; leave '%s' out", options->command, name, strchr(word, '='));
}

bool options_parse(struct options *options, int argc, char **argv, int *status)
{
    struct option known[ROWS_MOST + 2] = {{"help", no_argument, NULL, 'h'}};
    int code;
    for (size_t i = 0; i < options->row_count; i++)
        known[i + 1] = (struct option){options->rows[i].name,
            options->rows[i].flag ? no_argument : required_argument, NULL, (int)i + 1};
    opterr = 0;
    optind = 1;
    while ((code = getopt_long(argc, argv, ":h", known, NULL)) != -1) {
        if (code == 'h') {
            screen_text(options->help);
            *status = 0;
            return false;
        }
        if (code == '?' || code == ':') {
            *status = bad_option(options, argv[optind - 1], code, optopt);
            return false;
        }
        const struct option_row *row = &options->rows[code - 1];
        if (row->flag)
            *row->flag = true;
        else
            *row->text = optarg;
    }
    options->operands = argv + optind;
    options->operand_count = argc - optind;
    return true;
}

bool job_number(const char *text, int64_t *job)
{
    int64_t number = 0;
    size_t digits = strspn(text, "0123456789");
    if (same_word(text, "last")) {
        *job = 0;
        return true;
    }
    for (size_t i = 0; i < digits; i++) /* one too large is no job's either */
        number = number > INT64_MAX / 10 - 10 ? INT64_MAX : number * 10 + (text[i] - '0');
    if (number == 0 || text[digits] != '\0')
        return false;
    *job = number;
    return true;
}

/* Whether a text was read; else what it should have been is in `wanted`. */
static bool read_value(
    const struct option_value *value, enum perpend_unit bare, char *wanted, size_t size)
{
    static const char *const kinds[] = {[VALUE_NUMBER] = "a number; write one like 6.67",
        [VALUE_LENGTH] = "a length; write a number, with mm, cm, um, in, \" or thou where needed",
        [VALUE_BEARING] =
            "a bearing; write a name (front, back-right), compass letters (S, NE) or degrees"};
    double read = 0.0;
    enum perpend_status status =
        value->kind == VALUE_LENGTH    ? perpend_length_parse(value->text, bare, &read)
        : value->kind == VALUE_BEARING ? perpend_bearing_parse(value->text, &read)
                                       : perpend_number_parse(value->text, &read);
    bool whole = read == floor(read) && read >= value->least && read <= value->most;
    if (status == PERPEND_OK && (value->kind != VALUE_COUNT || whole))
        *value->value = read;
    else if (status == PERPEND_ERR_COMMA)
        snprintf(
            wanted, size, "clear: decimals or thousands? Write a point, or leave the comma out");
    else if (value->kind == VALUE_COUNT)
        snprintf(wanted, size, "a whole number from %.0f to %.0f", value->least, value->most);
    else
        snprintf(wanted, size, "%s", kinds[value->kind]);
    return wanted[0] == '\0';
}

bool values_take(const struct options *options, const struct option_value *values, size_t count,
    enum perpend_unit bare, int *status)
{
    char wanted[128] = "";
    for (size_t i = 0; i < count; i++) {
        if (!values[i].text || read_value(&values[i], bare, wanted, sizeof wanted))
            continue;
        *status = complain(
            2, "%s: --%s '%s' is not %s", options->command, values[i].name, values[i].text, wanted);
        return false;
    }
    return true;
}
