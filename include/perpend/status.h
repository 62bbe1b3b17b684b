/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_STATUS_H
#define PERPEND_STATUS_H

/**
 * What a function that can fail returns: PERPEND_OK, or one of the negative codes.
 * A function that fails leaves its results untouched unless its comment says otherwise.
 */

#ifdef __cplusplus
extern "C" {
#endif

enum perpend_status {
    PERPEND_OK = 0,
    PERPEND_ERR_VALUE = -1,        /* an argument is outside the range its comment states */
    PERPEND_ERR_MEMORY = -2,       /* memory could not be had */
    PERPEND_ERR_UNDETERMINED = -3, /* the readings cannot determine what is asked */
    PERPEND_ERR_STEPOVER = -4,     /* the stepover is wider than the disc cuts: stripes stand */
    PERPEND_ERR_CONVERGE = -5,     /* an iteration did not settle */
    PERPEND_ERR_EMPTY = -6,        /* text: nothing there */
    PERPEND_ERR_NUMBER = -7,       /* text: not a number */
    PERPEND_ERR_UNIT = -8,         /* text: a number with an unknown unit behind it */
    PERPEND_ERR_RANGE = -9,        /* text: a number too large to hold */
    PERPEND_ERR_NAME = -10,        /* text: a name that is not known */
    PERPEND_ERR_FILE = -11,        /* a file that is not there or not as it must be */
    PERPEND_ERR_SYSTEM = -12,      /* a file that the system does not give, or its memory */
    PERPEND_ERR_COMMA = -13        /* text: "1,000", whose comma may part decimals or thousands */
};

/**
 * The meaning of a status in a few words of plain English, for messages.
 *
 * Given:    status  one of enum perpend_status (any value is safe)
 * Returned: a static string, never NULL
 */
const char *perpend_status_text(enum perpend_status status);

#ifdef __cplusplus
}
#endif

#endif
