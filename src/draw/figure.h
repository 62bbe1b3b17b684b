/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FIGURE_H
#define FIGURE_H

/**
 * One picture as a list of marks: lines, shapes and measured texts. It is filled once and then
 * replayed by whoever writes the format: the SVG writer here, cairo (PDF, PNG) in src/report. All
 * therefore show the same picture, and a test can ask where every text stands.
 *
 * Lengths are in px (1/96 in, as CSS has them), x to the right, y down, from the top left corner. When memory
 * runs out the figure turns `failed` and takes no more; check it once, at the end.
 *
 * Texts may be phrases of src/text: their glue becomes a no-break space, and the sign of a negative
 * number a minus, as in print.
 */

#include <stdbool.h>
#include <stddef.h>

#include "draw/letters.h"

/** A place on the sheet, px. */
struct spot {
    double x;
    double y;
};

/** A rectangle on the sheet, px. */
struct box {
    double x;
    double y;
    double width;
    double height;
};

struct style {
    enum ink line;
    enum ink fill;
    double width; /* px */
    bool broken;
};

enum anchor { ANCHOR_START, ANCHOR_MIDDLE, ANCHOR_END };

/** How a text is set: what with, and which of its ends stands at its place. */
struct type {
    enum letter letter;
    enum ink ink;
    enum anchor anchor;
    bool rtl;  /* written from right to left */
    bool halo; /* with a rim of the ground, over lines */
};

/** How much of a text stands before its place, of its width. */
double anchor_share(enum anchor anchor);

/* Short ways to write them. */

static inline struct spot at(double x, double y)
{
    return (struct spot){x, y};
}

static inline struct style pen(enum ink line, double width)
{
    return (struct style){.line = line, .width = width};
}

static inline struct style broken(enum ink line, double width)
{
    return (struct style){.line = line, .width = width, .broken = true};
}

static inline struct style surface(enum ink fill)
{
    return (struct style){.fill = fill};
}

static inline struct style outlined(enum ink line, enum ink fill, double width)
{
    return (struct style){.line = line, .fill = fill, .width = width};
}

static inline struct type starting(enum letter letter, enum ink ink)
{
    return (struct type){.letter = letter, .ink = ink, .anchor = ANCHOR_START};
}

static inline struct type centred(enum letter letter, enum ink ink)
{
    return (struct type){.letter = letter, .ink = ink, .anchor = ANCHOR_MIDDLE};
}

static inline struct type ending(enum letter letter, enum ink ink)
{
    return (struct type){.letter = letter, .ink = ink, .anchor = ANCHOR_END};
}

/** Shapes that stay apart in grey print. */
enum marker { MARKER_RING, MARKER_DIAMOND, MARKER_DOT };

/** A tag says of what is drawn up to its end what it is, for readers who cannot see it ("P", "Table";
 *  ISO 32000-1, 14.8.4); only PDF has them. */
enum mark_kind { MARK_PATH, MARK_CIRCLE, MARK_TEXT, MARK_CLIP, MARK_UNCLIP, MARK_TAG, MARK_UNTAG };

struct mark {
    enum mark_kind kind;
    struct style style; /* path, circle */
    struct spot *spots; /* path */
    size_t spot_count;
    bool closed;
    struct spot at; /* circle: centre; text: baseline at the anchor */
    double radius;
    struct box box; /* text: what it covers at most; clip: the area */
    char *text;     /* also the name of a tag, and of an end */
    struct type type;
    double scale; /* text: of the letter's size */
};

struct figure {
    double width, height;
    struct buffer title, description;
    struct mark *marks;
    size_t mark_count;
    struct box *kept; /* areas that labels keep clear of */
    size_t kept_count;
    bool failed;
};

/** An empty figure; when memory runs out one that has failed already. */
struct figure *figure_create(double width, double height);
void figure_destroy(struct figure *figure);

/** Name and description for readers who cannot see it; both are copied. */
void figure_describe(struct figure *figure, const char *title, const char *description);

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

/** What is drawn up to the end is a part of the document: see MARK_TAG. Ends nest. */
void figure_tag(struct figure *figure, const char *tag);
void figure_untag(struct figure *figure, const char *tag);

/**
 * One line of text with its baseline at `at`. Longer than `most` (px; 0: any length) it is cut
 * between characters and ends in "…".
 */
void figure_text(
    struct figure *figure, struct type type, struct spot at, double most, const char *text);

/**
 * Text broken into lines of at most `most` px, at most `lines` of them; the first baseline is at
 * `at`.
 *
 * Value: how far down the last baseline is from the first, px
 */
double figure_paragraph(struct figure *figure, struct type type, struct spot at, double most,
    size_t lines, const char *text);

/** Copy another figure's marks in, moved and scaled. */
void figure_place(
    struct figure *figure, const struct figure *part, struct spot corner, double scale);

/* figure_room.c */

/** An area that labels keep clear of; so far round a place; along a straight line. */
void figure_keep(struct figure *figure, struct box area);
void figure_keep_round(struct figure *figure, struct spot place, double reach);
void figure_keep_line(struct figure *figure, struct spot from, struct spot to);

/**
 * A short text beside a place, where there is room: clear of the texts and the kept areas so far
 * and within `within`.
 *
 * Value: false when there was no room and nothing was written
 */
bool figure_label(struct figure *figure, struct type type, struct spot place, double distance,
    struct box within, const char *text);

/** A text in the middle of a line that runs through `at`, if there is room. Value: false when there is
 *  none and nothing was written. */
bool figure_text_on(struct figure *figure, struct type type, struct spot at, const char *text);

/* figure_svg.c */

/**
 * Append an <svg> element. `id` prefixes the ids within, so that several can stand on one page.
 * Standing alone it brings its name space and its own style; inside a page the page holds the
 * rules of figure_svg_style.
 */
void figure_svg(const struct figure *figure, const char *id, bool alone, struct buffer *out);

/** Append the style rules: one class an ink, light and dark. */
void figure_svg_style(struct buffer *out);

#endif
