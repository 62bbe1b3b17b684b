/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>

#include <cairo-pdf.h>

#include "report/pages.h"
#include "report/picture.h"

/** A document as PDF: the pages drawn one after the other, with bookmarks and metadata. */

static void set_metadata(
    cairo_surface_t *surface, const struct document *document, const char *made)
{
    struct buffer title = {0};
    struct buffer author = {0};
    text_isolates(&title, buffer_text(&document->title), "", "");
    text_isolates(&author, buffer_text(&document->author), "", "");
    const struct {
        cairo_pdf_metadata_t kind;
        const char *text;
    } rows[] = {
        {CAIRO_PDF_METADATA_TITLE, buffer_text(&title)},
        {CAIRO_PDF_METADATA_AUTHOR, buffer_text(&author)},
        {CAIRO_PDF_METADATA_SUBJECT, "Record of a spindle tram job"},
        {CAIRO_PDF_METADATA_KEYWORDS, buffer_text(&document->identity)},
        {CAIRO_PDF_METADATA_CREATOR, "perpend"},
        {CAIRO_PDF_METADATA_CREATE_DATE, made},
        {CAIRO_PDF_METADATA_MOD_DATE, made},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].text[0] != '\0')
            cairo_pdf_surface_set_metadata(surface, rows[i].kind, rows[i].text);
    buffer_finish(&title);
    buffer_finish(&author);
}

static void set_bookmarks(cairo_surface_t *surface, const struct pages *pages)
{
    int part = CAIRO_PDF_OUTLINE_ROOT;
    for (size_t i = 0; i < pages->bookmark_count; i++) {
        const struct bookmark *mark = &pages->bookmarks[i];
        const bool first = mark->level == 1;
        struct buffer text = {0};
        char place[64];
        snprintf(
            place, sizeof place, "page=%zu pos=[0 %d]", mark->page + 1, (int)fmax(0, mark->y - 12));
        text_isolates(&text, mark->text, "", "");
        const int made =
            cairo_pdf_surface_add_outline(surface, first ? CAIRO_PDF_OUTLINE_ROOT : part,
                buffer_text(&text), place, first ? CAIRO_PDF_OUTLINE_FLAG_OPEN : 0);
        if (first)
            part = made;
        buffer_finish(&text);
    }
}

void document_pdf(const struct document *document, enum paper paper, const char *made,
    struct buffer *out, size_t *unknown)
{
    struct pages *pages = pages_create(document, paper);
    *unknown = 0;
    if (pages == NULL || pages->failed) {
        out->failed = true;
        pages_destroy(pages);
        return;
    }
    cairo_surface_t *surface = picture_pdf(out, pages->width, pages->height);
    cairo_t *cairo = cairo_create(surface);
    set_metadata(surface, document, made);
    for (size_t i = 0; i < pages->count; i++) {
        *unknown += picture_draw(pages->pages[i], cairo);
        cairo_show_page(cairo);
    }
    set_bookmarks(surface, pages);
    picture_pdf_end(out, cairo, surface);
    pages_destroy(pages);
}
