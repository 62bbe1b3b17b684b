/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PICTURE_H
#define PICTURE_H

/** Figures as files: one sheet, in the format that the file's ending asks for. */

#include <stdbool.h>
#include <stddef.h>

#include "draw/figure.h"

enum picture_format { PICTURE_SVG, PICTURE_PNG, PICTURE_PDF };

/** The format of a file's ending, in any letter case; false when it is none of the three. */
bool picture_format_of(const char *path, enum picture_format *format);

/**
 * One sheet with a heading and figures one below the other, or in two columns when there are more
 * than two, each with its title above and its description below. The figures are destroyed.
 */
struct figure *picture_sheet(const char *heading, struct figure **figures, size_t count);

/** The sheet in a format, as bytes; NULL only when cairo fails. PNG has 192 dots an inch. */
GByteArray *picture_bytes(const struct figure *sheet, enum picture_format format);

/** cairo's way to hand over bytes, for a GByteArray. */
cairo_status_t picture_take(void *bytes, const unsigned char *data, unsigned length);

/** Close a drawing and write out its surface; both are destroyed. What cairo says of the two. */
cairo_status_t picture_end(cairo_t *cairo, cairo_surface_t *surface);

/** The bytes when the status is a success; else NULL, and the bytes are freed. */
GByteArray *picture_or_nothing(GByteArray *bytes, cairo_status_t status);

#endif
