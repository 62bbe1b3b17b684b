/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PICTURE_H
#define PICTURE_H

/** Figures as files, in the format that the file's ending asks for; and on cairo's surfaces. */

#include <stdbool.h>

#include <cairo.h>

#include "draw/figure.h"

enum picture_format { PICTURE_SVG, PICTURE_PNG, PICTURE_PDF };

/** The format of a file's ending, in any letter case; false when it is none of the three. */
bool picture_format_of(const char *path, enum picture_format *format);

/**
 * Append a sheet in a format. PNG has 192 dots an inch, two a px.
 *
 * Returned: out      failed when cairo fails or memory ran out
 *           unknown  letters that no font here has: they show as boxes in PDF and PNG
 */
void picture_add(
    const struct figure *sheet, enum picture_format format, struct buffer *out, size_t *unknown);

/** Call before cairo and pango draw: when they run out of memory they end the program, and then it
 *  says so in one line and leaves with status 3. */
void picture_begin(void);

/** Draw at a surface's present origin and scale, in light colours. Value: letters that no font has. */
size_t picture_draw(const struct figure *figure, cairo_t *cairo);

/** A PDF into a buffer, its pages so large, px; and its end, when all is written out and released. */
cairo_t *picture_pdf(struct buffer *out, double width, double height);
void picture_pdf_end(struct buffer *out, cairo_t *cairo);

#endif
