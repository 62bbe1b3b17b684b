/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_UNITS_H
#define PERPEND_UNITS_H

/**
 * Lengths, numbers and bearings as people write them.
 *
 * Inside the library every length is in millimetres, every angle in radians, every slope a plain
 * ratio. These functions are the only place where what people wrote becomes a number; they read and
 * print the same under any LC_NUMERIC.
 */

#include <stddef.h>

#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

enum perpend_unit { PERPEND_UNIT_MM, PERPEND_UNIT_INCH };

#define PERPEND_PI 3.14159265358979323846
#define PERPEND_MM_PER_INCH 25.4 /* exact; international inch of 1959 */

/* A slope times one of these is what people see: mm/m, thousandths of an inch per foot. */
#define PERPEND_MM_PER_METRE 1000.0
#define PERPEND_THOU_PER_FOOT 12000.0

/**
 * Read one plain number: sign (also U+2212), up to 100 digits, a decimal point or comma, an
 * exponent; or a fraction ("1/4") or a mixed fraction ("1 1/2"), nine digits a part. Blanks and
 * tabs around it are ignored. Decimals are rounded correctly; too small a number is 0.
 *
 * Given:    text    NUL-terminated
 * Returned: value   the number
 * Errors:   PERPEND_ERR_EMPTY, PERPEND_ERR_NUMBER ("1.2.3", "nan", "1/0"), PERPEND_ERR_RANGE
 */
enum perpend_status perpend_number_parse(const char *text, double *value);

/**
 * Read a length: a number as above and, optionally, one of mm, cm, um, µm (either code point), in,
 * ", ″ (U+2033), thou (thousandths of an inch). A bare number is in `bare`.
 *
 * Given:    text    NUL-terminated
 *           bare    unit of a number without a suffix
 * Returned: mm      the length, mm
 * Errors:   as perpend_number_parse, and PERPEND_ERR_UNIT
 */
enum perpend_status perpend_length_parse(const char *text, enum perpend_unit bare, double *mm);

/**
 * Read a bearing: a name (back, back-right, right …; a blank or underscore may stand for the
 * hyphen), compass letters (N, NE …) or degrees (optionally followed by ° or "deg"), letter case
 * ignored. Degrees from -360 to 360 are taken and reduced to [0, 360).
 *
 * Given:    text     NUL-terminated
 * Returned: bearing  radians in [0, 2π), clockwise from the back seen from above
 * Errors:   PERPEND_ERR_EMPTY, PERPEND_ERR_NAME, PERPEND_ERR_RANGE (degrees outside ±360)
 */
enum perpend_status perpend_bearing_parse(const char *text, double *bearing);

/**
 * The name of a bearing that is one of the eight named ones (to within 1e-6 rad), else NULL.
 * perpend_bearing_nearest gives the nearest of the eight whatever the bearing.
 */
const char *perpend_bearing_name(double bearing);
const char *perpend_bearing_nearest(double bearing);

/**
 * Print a number with a fixed count of decimals and a point whatever the locale; a result that
 * rounds to zero is printed without a sign.
 *
 * Given:    value     finite
 *           decimals  0 to 17
 * Returned: buffer    NUL-terminated, cut to `size`
 * Value:    buffer, so that calls can stand inside an argument list
 */
char *perpend_number_format(char *buffer, size_t size, double value, int decimals);

/** Radians to degrees and back. */
double perpend_degrees(double radians);
double perpend_radians(double degrees);

#ifdef __cplusplus
}
#endif

#endif
