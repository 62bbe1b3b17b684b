/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef OPTIONS_H
#define OPTIONS_H

/**
 * One way to take options for all commands: --flag, --name VALUE, --name=VALUE, "--" ends them, a
 * lone "-" is an operand (standard input), --help and -h print the command's help. getopt_long(3)
 * takes them, and names cut short too while only one begins so.
 */

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <perpend/units.h>

#include "cli/complain.h"

/** An option: a flag that is set, or a text that points to its value. */
struct option_row {
    const char *name; /* without the dashes */
    bool *flag;
    const char **text;
};

struct options {
    const char *command; /* named in messages */
    const char *help;    /* printed for --help */
    const struct option_row *rows;
    size_t row_count;
    /* returned */
    char **operands; /* inside argv, which is put in order for it */
    int operand_count;
};

/**
 * Take the options out of argv (argv[0] is the command's name).
 *
 * Value: true: go on. False: leave with *status, everything is said (help, 0; or an error, 2).
 */
bool options_parse(struct options *options, int argc, char **argv, int *status);

/**
 * Complain of a word that is none of those taken there, with the one that was probably meant and all
 * that there are: "LINE; did you mean 'solve'? There are new, solve and help".
 *
 * Given:    line    "there is no command 'slove'"
 *           dashes  what stands before each name: "--" or ""
 * Value:    2
 */
int complain_unknown(
    const char *line, const char *word, const char *dashes, const char *const *names, size_t count);

/** A job's number, from 1 on, or 0 for "last"; false when it is neither. */
bool job_number(const char *text, int64_t *job);

/** The value of an option. */
struct option_value {
    const char *name, *text; /* NULL text leaves the value as it is */
    enum value_kind { VALUE_NUMBER, VALUE_LENGTH, VALUE_BEARING, VALUE_COUNT } kind;
    double *value;      /* a length in mm, a bearing in rad */
    double least, most; /* of a count: a whole number */
};

/**
 * Read them in their order; on a bad one complain, naming the command and the option, set *status to 2
 * and return false.
 *
 * Given:    bare  unit of a length without one
 */
bool values_take(const struct options *options, const struct option_value *values, size_t count,
    enum perpend_unit bare, int *status);

#endif
