/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef WORDS_H
#define WORDS_H

/**
 * Plain text for people: quantities in the machine's unit with digits that mean something, and
 * paragraphs wrapped to a width, in UTF-8 or in ASCII.
 *
 * Phrases are put together in a struct buffer, in UTF-8, then set as a paragraph or line, which is
 * where they are turned to ASCII when the reader's screen has no UTF-8. What must not be torn apart
 * by a line's end, a number and its unit, is joined by WORDS_GLUE.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/ridge.h>
#include <perpend/units.h>
#include <perpend/verdict.h>

#include "files/buffer.h"

#define WORDS_GLUE "\037"
#define WORDS_LEAST_WIDTH 60u
#define WORDS_USUAL_WIDTH 80u
#define WORDS_LABEL 48 /* bytes that words_bearing_label wants */

struct words {
    enum perpend_unit unit; /* that people see */
    unsigned width;         /* columns, ≥ WORDS_LEAST_WIDTH */
    bool utf8;
    bool bold;         /* the screen has bold letters, and they are wanted */
    struct buffer out; /* zeroed to begin with; release with buffer_finish */
};

/** What a number is of: small lengths are mm or thou, large ones mm or in, slopes mm/m or thou/ft.
 *  Values are handed over in mm, slopes as plain ratios. */
enum words_kind { WORDS_SMALL, WORDS_LARGE, WORDS_SLOPE };

/** From the library's unit to the one people see, and its name. */
double words_shown(const struct words *words, enum words_kind kind, double value);
const char *words_unit_name(const struct words *words, enum words_kind kind);

/**
 * Decimals at which an uncertainty has two significant digits when the first is 1, 2 or 3, else
 * one: "at most two" (JCGM 100:2008, 7.2.6), and estimates are rounded to match. 0 to 6.
 */
int words_decimals(double uncertainty);

/** A plain number with at most so many decimals and no idle zeros behind the point, which it has
 *  whatever the locale. Value: buffer. */
char *words_trimmed(char *buffer, size_t size, double value, int most);

/** Half width of a 95 % interval from a variance: two standard uncertainties. */
double words_expanded(double variance);

/** "6.67 ± 0.28 mm/m": `expanded` is the 95 % half width, in the same unit as value. */
void words_plus_minus(const struct words *words, struct buffer *phrase, enum words_kind kind,
    double value, double expanded);

/** The same without the unit: "6.67 ± 0.28". */
void words_plus_minus_bare(const struct words *words, struct buffer *phrase, enum words_kind kind,
    double value, double expanded);

/** "0.067 mm": rounded to a 95 % half width. With `expanded` 0 or NAN: three significant digits, at
 *  least two decimals of a small length. */
void words_rounded(const struct words *words, struct buffer *phrase, enum words_kind kind,
    double value, double expanded);

/** Decimals of a ridge: a thousandth of a millimetre; a tenth of a thou, below one a hundredth.
 *  What is finer is the cutter's, not the lean's. */
int words_ridge_decimals(const struct words *words, double height);

/** "0.008 mm", "under 0.001 mm", "0.32 thou": a ridge that was predicted, to so many decimals;
 *  "standing stripes" for an infinite one. */
void words_ridge(const struct words *words, struct buffer *phrase, double height);

/** "0.067 mm (0.061 to 0.069)": the same with its interval, no finer than words_ridge. */
void words_ridge_range(
    const struct words *words, struct buffer *phrase, double height, double low, double high);

/** "0.02 mm": a number somebody stated, all its digits, none that are not its; "3.94 thou" of 0.1 mm:
 *  three digits where it was stated in the other unit. */
void words_stated(
    const struct words *words, struct buffer *phrase, enum words_kind kind, double value);

/** A shim, to 0.01 mm, thin ones to 0.001 mm: what hands can sort out. A 0 that says no more is left out:
 *  0.05 stands beside 0.15. */
void words_thickness(const struct words *words, struct buffer *phrase, double thickness);

/** "1.00": a reading as the gauge shows it, in the machine's unit (mm or in), with the decimals of
 *  the gauge's step. */
void words_reading(const struct words *words, struct buffer *phrase, double value, double step);

/** "less than 1 chance in 100", "about 80 chances in 100". */
void words_chance(struct buffer *phrase, double chance);

/** A chance in words: 0 almost surely, 1 likely, 2 about even, 3 unlikely, 4 almost surely not; at 95, 65,
 *  35 and 5 in 100. */
int words_odds(double chance);

/** "the back", "the front-right", "37° (near the back-right)" to half a degree. */
void words_bearing(struct buffer *phrase, double bearing);

/** "back", or "37.5°" to a hundredth of a degree where it has no name. Value: buffer. */
char *words_bearing_label(char *buffer, size_t size, double bearing);

/** A feed direction: "X", "Y" or "bearing 37°". */
void words_feed(struct buffer *phrase, double along);

/** How a facing feeds: "along X", "along X or Y, whichever is worse". */
void words_facing(struct buffer *phrase, const struct perpend_facing *facing);

/** The largest of 1, 2, 5 and their tens and tenths that is no larger: what gauges and axes have; and
 *  the decimals that show it. */
double nice_below(double value);
int nice_decimals(double step);

/** "0.02 mm": a gauge that one can have: the largest nice step, mm or thou, that is no larger. */
void words_gauge_step(const struct words *words, struct buffer *phrase, double step);

/** "115 mm": an arm that one can make: rounded up to 5 mm or a quarter of an inch. */
void words_arm(const struct words *words, struct buffer *phrase, double length);

/** A displacement: "0.25 mm right and 0.03 up"; "not at all" for none. For hands it is rounded, and
 *  parts under a twentieth of the largest are left out; else it is told to the last digit. */
void words_displacement(const struct words *words, struct buffer *phrase,
    struct perpend_point displacement, bool to_the_last_digit);

/** What is good enough: "0.02 mm", "a lean of 0.07 mm/m", "0.02 mm and a lean of 0.07 mm/m". */
void words_goal(const struct words *words, struct buffer *phrase, const struct perpend_goal *goal);

/** A name that people gave: control characters and broken UTF-8 become '?'. NULL is "". */
void words_name(struct buffer *phrase, const char *name);

/** "a", "a and b", "a, b and c": call with the place in the list before each item. */
void words_list_mark(struct buffer *phrase, size_t place, size_t count);

/** Columns a UTF-8 text takes on a screen, with wide characters counted twice. */
size_t words_columns(const char *text);

/** Add a phrase to `out` as this screen can show it: as it is, or in ASCII. */
void words_encode(const struct words *words, struct buffer *out, const char *phrase);

/**
 * Add a paragraph to words->out: `lead` ("1. ", blanks) opens its first line, as many blanks the
 * further ones. A "\n" in the text begins a new line.
 */
void words_paragraph(struct words *words, const char *lead, const char *text);

/** A paragraph in bold letters where the screen has them. */
void words_strong(struct words *words, const char *text);

/** As above into any buffer, at any width. */
void words_wrap(const struct words *words, struct buffer *out, unsigned width, const char *lead,
    const char *text);

/** Add an empty line, unless nothing was said yet or the last line is empty. */
void words_gap(struct words *words);

#endif
