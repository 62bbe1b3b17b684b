/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef NUMBER_H
#define NUMBER_H

/**
 * Numbers as the files and the messages write them, with a point whatever the locale.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/ridge.h>
#include <perpend/units.h>

#define NUMBER_SHOWN 32
#define LENGTH_SHOWN 48

/** Whether a text reads back to what it was made from. */
typedef bool number_check(const char *text, double original, enum perpend_unit unit);

number_check reads_as_number, reads_as_length, reads_as_degrees;

/**
 * A number as text that reads back exactly, with 15 digits if they will do and else with up to 17;
 * where the reading rounds on its way (degrees to radians, inches to mm), also a neighbour's.
 *
 * Given:    value     as the text is to show it
 *           original  what the check compares to
 * Returned: buffer    NUMBER_SHOWN bytes; 17 digits of the value itself when nothing reads back
 * Value:    whether it does
 */
bool number_exact(
    char *buffer, double value, number_check *check, double original, enum perpend_unit unit);

/** At most so many significant digits; at most six, for messages. Value: buffer (NUMBER_SHOWN bytes). */
char *number_digits(char *buffer, double value, int digits);
char *number_shown(char *buffer, double value);

/** A length in the unit that people see, six significant digits, with its unit. Value: buffer
 *  (LENGTH_SHOWN bytes). */
char *length_shown(char *buffer, double mm, enum perpend_unit unit);

/** A share such as "45%" (a blank may stand before the sign), as a ratio; false when it is none. */
bool share_parse(const char *text, double *share);

/** "0.01 over 150", "0.0005 in over 6 in": one length over another; false when it is not that. */
bool over_parse(const char *text, enum perpend_unit bare, double *slope);

/** A feed: "X", "Y", "both" or a bearing; false when it is none of them. */
bool feed_parse(const char *text, struct perpend_facing *facing);

#endif
