/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FIGURE_MARKS_H
#define FIGURE_MARKS_H

/** What a figure is made of, for the two that replay it. */

#include <pango/pangocairo.h>

#include "draw/figure.h"

enum mark_kind { MARK_PATH, MARK_CIRCLE, MARK_TEXT, MARK_CLIP, MARK_UNCLIP };

struct mark {
    enum mark_kind kind;
    struct style style; /* path, circle */
    struct spot *spots; /* path */
    size_t spot_count;
    bool closed;
    struct spot at; /* circle: centre; text: baseline at the anchor */
    double radius;
    struct box box; /* text: what it covers; clip: the area */
    char *text;
    enum letter letter;
    enum ink ink;
    enum anchor anchor;
    double scale;   /* text: of the letter's size */
    double advance; /* text: width, pt */
    bool rtl;       /* text: its base direction */
    size_t unknown; /* text: letters that no font here has */
};

struct figure {
    double width, height;
    char *title;
    char *description;
    GArray *marks; /* struct mark */
    GArray *kept;  /* struct box */
    PangoContext *context;
};

/** Add a mark to a figure, which owns what it points to from then on. */
void mark_add(struct figure *figure, struct mark mark);

/** A text mark, ready to be added; takes over `text`. */
struct mark mark_of_text(const struct figure *figure, enum letter letter, enum ink ink,
    enum anchor anchor, struct spot at, char *text);

/** Valid UTF-8 on one line. By g_malloc. */
char *mark_one_line(const char *text);

/** Size of a letter, pt, and whether it is bold. */
double letter_size(enum letter letter);
bool letter_bold(enum letter letter);

/** A context that measures in points, the same on every surface. */
PangoContext *text_context_create(void);

/** A layout set for a letter, in the base direction given. Release by g_object_unref before the
 * next one is made from the same context. */
PangoLayout *text_layout_create(
    PangoContext *context, enum letter letter, double scale, const char *text, bool rtl);

/** Lengths of the dashes, pt; `count` 0 for a full line. */
const double *dash_lengths(enum dash dash, int *count);

#endif
