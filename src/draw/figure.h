/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FIGURE_H
#define FIGURE_H

/**
 * One picture as a list of marks: lines, shapes and measured texts. It is filled once and then
 * replayed by whoever writes the format: cairo (PDF, PNG) or the SVG writer. Both therefore show
 * the same picture, and a test can ask where every text stands.
 *
 * Lengths are in points (1/72 in), x to the right, y down, from the top left corner. Memory is
 * GLib's, as pango's is: it ends the program when there is none left.
 */

#include <stdbool.h>
#include <stddef.h>

#include <cairo.h>
#include <glib.h>

struct figure;

/** A place on the sheet, pt. */
struct spot {
    double x;
    double y;
};

/** A rectangle on the sheet, pt. */
struct box {
    double x;
    double y;
    double width;
    double height;
};

/** What a line or shape is drawn with; each has a colour for light and for dark surroundings. */
enum ink {
    INK_NONE,
    INK_TEXT,  /* words and axes */
    INK_SOFT,  /* secondary words, ticks */
    INK_GRID,  /* lines to read values by */
    INK_FOUND, /* as found */
    INK_LEFT,  /* as left */
    INK_GOAL,  /* outline of what meets the goal */
    INK_MEETS, /* surface of what meets the goal */
    INK_BAND,  /* surface of a scatter to be expected */
    INK_PAPER, /* the ground */
    INK_COUNT
};

enum dash { DASH_NONE, DASH_LONG, DASH_SHORT, DASH_DOTS };

struct style {
    enum ink line;
    enum ink fill;
    double width; /* pt */
    enum dash dash;
};

enum anchor { ANCHOR_START, ANCHOR_MIDDLE, ANCHOR_END };

enum letter {
    LETTER_SMALL,        /* 9 pt */
    LETTER_SMALL_STRONG, /* 9 pt bold */
    LETTER_PLAIN,        /* 10 pt */
    LETTER_STRONG,       /* 10 pt bold */
    LETTER_TITLE,        /* 13 pt bold */
    LETTER_HEAD,         /* 19 pt bold */
    LETTER_COUNT
};

/** Shapes that stay apart in grey print. */
enum marker { MARKER_RING, MARKER_SQUARE, MARKER_DIAMOND, MARKER_CROSS, MARKER_DOT };

/** An empty figure. Never NULL. */
struct figure *figure_create(double width, double height);
void figure_destroy(struct figure *figure);

double figure_width(const struct figure *figure);
double figure_height(const struct figure *figure);
void figure_set_height(struct figure *figure, double height);

/** Name and description for readers who cannot see it; both are copied. */
void figure_describe(struct figure *figure, const char *title, const char *description);
const char *figure_title(const struct figure *figure);
const char *figure_description(const struct figure *figure);

/** Shapes. `closed` joins the last spot to the first; a fill needs no closing. */
void figure_line(struct figure *figure, struct style style, struct spot from, struct spot to);
void figure_path(
    struct figure *figure, struct style style, const struct spot *spots, size_t count, bool closed);
void figure_box(struct figure *figure, struct style style, struct box box);
void figure_circle(struct figure *figure, struct style style, struct spot centre, double radius);
void figure_marker(
    struct figure *figure, enum marker marker, enum ink ink, struct spot centre, double radius);
void figure_arrow(
    struct figure *figure, struct style style, struct spot from, struct spot to, double head);

/** Everything drawn between the two stays inside the box; texts are not cut. */
void figure_clip(struct figure *figure, struct box box);
void figure_unclip(struct figure *figure);

/** How wide a text is, pt. */
double figure_measure(const struct figure *figure, enum letter letter, const char *text);

/**
 * One line of text with its baseline at `at`. Longer than `most` (pt; 0: any length) it is cut
 * between characters and ends in "…".
 */
void figure_text(struct figure *figure, enum letter letter, enum ink ink, enum anchor anchor,
    struct spot at, double most, const char *text);

/** As above, one line that is not cut, in a base direction of its own. */
void figure_text_toward(struct figure *figure, enum letter letter, enum ink ink, enum anchor anchor,
    struct spot at, const char *text, bool rtl);

/** Whether a text is written from right to left, by its first letter that says so. */
bool figure_text_is_rtl(const char *text);

/** A text broken into lines of at most `most` pt; a line end in it begins a new one. */
GPtrArray *figure_lines(
    const struct figure *figure, enum letter letter, const char *text, double most);

/**
 * Text broken into lines of at most `most` pt, at most `lines` of them; the first baseline is at
 * `at`.
 *
 * Value: how far down the last baseline is from the first, pt
 */
double figure_paragraph(struct figure *figure, enum letter letter, enum ink ink, enum anchor anchor,
    struct spot at, double most, size_t lines, const char *text);

/** Distance between baselines, pt. */
double figure_leading(enum letter letter);

/**
 * A short text beside a place, where there is room: clear of the texts and the kept areas so far
 * and within `within`. A strong one goes over kept areas rather than be left out.
 *
 * Value: false when there was no room and nothing was written
 */
bool figure_label(struct figure *figure, enum letter letter, enum ink ink, struct spot place,
    double distance, struct box within, const char *text);

/** A text in the middle of a line that runs through `at`, on a patch of the ground there, if that
 *  is clear. Value: false when it is not and nothing was written. */
bool figure_text_on(struct figure *figure, enum letter letter, enum ink ink, enum ink ground,
    struct spot at, const char *text);

/** An area that labels keep clear of. */
void figure_keep(struct figure *figure, struct box area);

/** Copy another figure's marks in, moved and scaled. */
void figure_place(struct figure *figure, const struct figure *part, struct spot at, double scale);

/** How many letters of its texts no font here has; they show as boxes in PDF and PNG. */
size_t figure_unknown(const struct figure *figure);

/* What stands where, for tests. */
size_t figure_text_count(const struct figure *figure);
const char *figure_text_at(const struct figure *figure, size_t index, struct box *box);

/**
 * Two texts that overlap, or one that leaves the sheet (then `second` equals `first`).
 *
 * Value: true when there is such a pair
 */
bool figure_overlap(const struct figure *figure, size_t *first, size_t *second);

/* The two ways out. */

/** Draw on a cairo surface at its present origin, in pt. */
void figure_draw(const struct figure *figure, cairo_t *cairo);

/**
 * Append an <svg> element. `id` prefixes the ids within, so that several can stand on one page.
 * Standing alone it brings its name space and its own style; inside a page the page holds the
 * rules of figure_svg_style.
 */
void figure_svg(const struct figure *figure, const char *id, bool alone, GString *out);

/** Append the style rules: one class an ink, light and dark. */
void figure_svg_style(GString *out);

/** Append a colour as #rrggbb. */
void figure_ink_colour(enum ink ink, bool dark, char colour[8]);

#endif
