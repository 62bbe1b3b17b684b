/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LETTERS_H
#define LETTERS_H

/**
 * Letters and colours: how every figure and page looks, and how much room a text takes.
 *
 * Widths are those of the widest of the usual sans faces, so that a text never takes more room than
 * was measured, whichever of them the reader's machine has.
 */

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "files/buffer.h"

/** What a line or shape is drawn with; each has a colour for light and for dark surroundings. What
 *  is over the goal is open or hatched, what is within it filled: never colour alone. */
enum ink {
    INK_NONE,
    INK_TEXT,   /* words, axes, the goal */
    INK_SOFT,   /* secondary words, ticks */
    INK_GRID,   /* lines to read values by */
    INK_OVER,   /* over the goal */
    INK_WITHIN, /* within the goal */
    INK_MEETS,  /* surface of what meets the goal */
    INK_BAND,   /* surface of a scatter to be expected */
    INK_PAPER,  /* the ground */
    INK_COUNT
};

enum letter {
    LETTER_SMALL,        /* 12 px: the least that a telephone shows well, 9 pt on paper */
    LETTER_SMALL_STRONG, /* 12 px bold */
    LETTER_PLAIN,        /* 13 px */
    LETTER_STRONG,       /* 13 px bold */
    LETTER_TITLE,        /* 16 px bold */
    LETTER_HEAD,         /* 26 px bold */
    LETTER_COUNT
};

/** The faces, for CSS and for pango: the first that is there. */
#define LETTER_FACES                                                                               \
    "Noto Sans,Segoe UI,Roboto,Helvetica Neue,Arial,Liberation Sans,DejaVu Sans,sans-serif"

/** Size of a letter, px, whether it is bold, and the distance between baselines, px. */
double letter_size(enum letter letter);
bool letter_bold(enum letter letter);
double letter_leading(enum letter letter);

/** How wide a text is at most, px. */
double text_width(enum letter letter, const char *text);

/**
 * Where the first line of a text ends that is broken into lines of at most `most` px: between
 * words, between the characters of scripts that put no blanks between words, and else between
 * characters. A line end in the text ends the line.
 *
 * Returned: next  bytes from the text's start to the start of the next line; 0 bytes only at its end
 * Value:    bytes of the line, without the blanks at its end
 */
size_t text_line(enum letter letter, const char *text, double most, size_t *next);

/** Append the longest beginning of a text that fits with "…" behind it; all of it when it fits. */
void text_cut(enum letter letter, const char *text, double most, struct buffer *out);

/** Whether a text is written from right to left, by its first letter that says so and does not
 *  stand between isolate marks (Unicode Standard Annex 9, rules P2 and P3). */
bool text_is_rtl(const char *text);

/** Append a phrase as it is printed: valid UTF-8 on one line (with `lines`: its line ends stay),
 *  glue turned to no-break spaces, and the sign of negative numbers to a minus. */
void text_print(const char *text, bool lines, struct buffer *out);

/** A colour as #rrggbb. */
void ink_colour(enum ink ink, bool dark, char colour[8]);

/** Lengths of a broken line's dashes and of what is between them, px. */
#define DASH 4.0
#define DASH_GAP 3.0

#endif
