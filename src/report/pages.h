/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PAGES_H
#define PAGES_H

/** A document set on pages: each page a figure, and where its headings stand. The blocks before the
 *  first part make one page, whatever they are: it is set smaller until they fit. */

#include "report/document.h"

struct bookmark {
    int level;
    const char *text; /* belongs to the document */
    size_t page;      /* 0 … */
    double y;         /* px from the top */
};

#define PAGES_MOST 400
#define BOOKMARKS_MOST 1000

struct pages {
    struct figure *pages[PAGES_MOST];
    size_t count;
    struct bookmark bookmarks[BOOKMARKS_MOST];
    size_t bookmark_count;
    double width, height; /* px */
    double scale;         /* of the first page, of its usual size */
    bool failed;          /* no memory, or more pages than one can want */
};

/** NULL when memory ran out. */
struct pages *pages_create(const struct document *document, enum paper paper);
void pages_destroy(struct pages *pages);

/** The blocks of the first page as a sheet of their own, as long as they need. */
struct figure *pages_sheet(const struct document *document);

#endif
