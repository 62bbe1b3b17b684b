/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>
#include <perpend/units.h>

#include "files/buffer.h"
#include "files/names.h"
#include "cli/options.h"
#include "cli/prompt/screen.h"
#include "text/words.h"

const char *name_meant(const char *word, const char *const *names, size_t count)
{
    size_t length = strlen(word);
    for (size_t i = 0; i < count; i++)
        if (length >= 2 && strncmp(word, names[i], length) == 0)
            return names[i];
    return nearest_name(word, names, count);
}

static const struct option_row *find_row(
    const struct options *options, const char *name, size_t length)
{
    for (size_t i = 0; i < options->row_count; i++) {
        const char *known = options->rows[i].name;
        if (strlen(known) == length && memcmp(known, name, length) == 0)
            return &options->rows[i];
    }
    return NULL;
}

static int no_such_option(const struct options *options, const char *given)
{
    enum { most = 32 };
    const char *names[most];
    char name[64];
    size_t count = 0;
    for (; count < options->row_count && count < most; count++)
        names[count] = options->rows[count].name;
    size_t dashes = strspn(given, "-");
    size_t length = strcspn(given + dashes, "=");
    if (length < sizeof name) {
        memcpy(name, given + dashes, length);
        name[length] = '\0';
        const char *meant = name_meant(name, names, count);
        if (meant)
            return complain(
                2, "%s: unknown option '%s'; did you mean '--%s'?", options->command, given, meant);
    }
    return complain(2, "%s: unknown option '%s'; 'perpend %s --help' lists them", options->command,
        given, options->command);
}

/* One option at argv[i]; returns how many words it took, 0 after a complaint. */
static int take_option(const struct options *options, int argc, char **argv, int i)
{
    const char *name = argv[i] + 2;
    size_t length = strcspn(name, "=");
    const struct option_row *row = find_row(options, name, length);
    if (!row || strncmp(argv[i], "--", 2) != 0) {
        no_such_option(options, argv[i]);
        return 0;
    }
    if (row->flag) {
        *row->flag = true;
        if (name[length] == '\0')
            return 1;
        complain(2, "%s: --%s takes no value; leave '%s' out", options->command, row->name,
            name + length);
        return 0;
    }
    if (name[length] == '=') {
        *row->text = name + length + 1;
        return 1;
    }
    if (i + 1 >= argc) {
        complain(2, "%s: --%s wants a value after it", options->command, row->name);
        return 0;
    }
    *row->text = argv[i + 1];
    return 2;
}

bool options_parse(struct options *options, int argc, char **argv, int *status)
{
    bool ended = false;
    options->operands = argv + 1;
    options->operand_count = 0;
    for (int i = 1; i < argc;) {
        char *word = argv[i];
        if (ended || word[0] != '-' || word[1] == '\0') {
            options->operands[options->operand_count++] = word;
            i++;
        } else if (strcmp(word, "--") == 0) {
            ended = true;
            i++;
        } else if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0) {
            screen_text(options->help);
            *status = 0;
            return false;
        } else {
            int taken = take_option(options, argc, argv, i);
            if (taken == 0) {
                *status = 2;
                return false;
            }
            i += taken;
        }
    }
    return true;
}

static bool bad_value(const struct options *options, const char *name, const char *text,
    const char *wanted, int *status)
{
    *status = complain(2, "%s: --%s '%s' is not %s", options->command, name, text, wanted);
    return false;
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

bool value_length(const struct options *options, const char *name, const char *text,
    enum perpend_unit bare, double *mm, int *status)
{
    if (!text || perpend_length_parse(text, bare, mm) == PERPEND_OK)
        return true;
    return bad_value(options, name, text,
        "a length; write a number, with mm, cm, um, in, \" or thou when it is not in the usual "
        "unit",
        status);
}

bool value_number(
    const struct options *options, const char *name, const char *text, double *value, int *status)
{
    if (!text || perpend_number_parse(text, value) == PERPEND_OK)
        return true;
    return bad_value(options, name, text, "a number; write one like 6.67", status);
}

bool value_count(const struct options *options, const char *name, const char *text, uint64_t least,
    uint64_t most, uint64_t *value, int *status)
{
    if (!text)
        return true;
    uint64_t count = 0;
    bool good = text[0] != '\0';
    for (const char *digit = text; *digit && good; digit++) {
        good = *digit >= '0' && *digit <= '9';
        uint64_t unit = good ? (uint64_t)(*digit - '0') : 0;
        good = good && count <= (most - (unit < most ? unit : most)) / 10;
        count = good ? count * 10 + unit : count;
    }
    if (good && count >= least && count <= most) {
        *value = count;
        return true;
    }
    *status = complain(2, "%s: --%s '%s' is not a whole number from %llu to %llu", options->command,
        name, text, (unsigned long long)least, (unsigned long long)most);
    return false;
}

bool value_bearing(
    const struct options *options, const char *name, const char *text, double *bearing, int *status)
{
    if (!text || perpend_bearing_parse(text, bearing) == PERPEND_OK)
        return true;
    return bad_value(options, name, text,
        "a bearing; write a name (front, back-right), compass letters (S, NE) or degrees", status);
}
