/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef NUMBER_H
#define NUMBER_H

/**
 * Numbers as the files and the messages write them, with a point whatever the locale.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/units.h>

#define NUMBER_SHOWN 32
#define LENGTH_SHOWN 48

/** The shortest text that perpend_number_parse reads back to the same number, at most 17 digits.
 *  Value: buffer (NUMBER_SHOWN bytes). */
char *number_exact(char *buffer, double value);

/** At most six significant digits. Value: buffer (NUMBER_SHOWN bytes). */
char *number_shown(char *buffer, double value);

/** A length in the unit that people see, six significant digits, with its unit. Value: buffer
 *  (LENGTH_SHOWN bytes). */
char *length_shown(char *buffer, double mm, enum perpend_unit unit);

/** Equal but for letter case; a blank, a hyphen and an underscore are the same. */
bool same_word(const char *a, const char *b);

#endif
