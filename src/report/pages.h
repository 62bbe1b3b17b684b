/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PAGES_H
#define PAGES_H

/** A document set on pages: each page a figure, and where its headings stand. */

#include "report/document.h"

struct bookmark {
    int level;
    const char *text; /* belongs to the document */
    size_t page;      /* 0 … */
    double y;         /* pt from the top */
};

struct pages {
    GPtrArray *pages; /* struct figure * */
    GArray *bookmarks;
    double width, height;
};

struct pages *pages_create(const struct document *document, enum paper paper);
void pages_destroy(struct pages *pages);

#endif
