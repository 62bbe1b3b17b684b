/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <cairo-pdf.h>

#include "report/pages.h"
#include "draw/picture.h"

/** A document as PDF: the pages drawn one after the other, with bookmarks and metadata. */

static void set_metadata(
    cairo_surface_t *surface, const struct document *document, const char *made)
{
    char *title = document_bare(document->title);
    char *author = document_bare(document->author);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
    if (author[0] != '\0')
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR, author);
    cairo_pdf_surface_set_metadata(
        surface, CAIRO_PDF_METADATA_SUBJECT, "Record of a spindle tram job");
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_KEYWORDS, document->identity);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "perpend");
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, made);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, made);
    g_free(title);
    g_free(author);
}

static void set_bookmarks(cairo_surface_t *surface, const struct pages *pages)
{
    int part = CAIRO_PDF_OUTLINE_ROOT;
    for (guint i = 0; i < pages->bookmarks->len; i++) {
        const struct bookmark *mark = &g_array_index(pages->bookmarks, struct bookmark, i);
        char place[64];
        g_snprintf(
            place, sizeof place, "page=%zu pos=[0 %d]", mark->page + 1, MAX(0, (int)mark->y - 12));
        char *text = document_bare(mark->text);
        const int made =
            cairo_pdf_surface_add_outline(surface, mark->level == 1 ? CAIRO_PDF_OUTLINE_ROOT : part,
                text, place, mark->level == 1 ? CAIRO_PDF_OUTLINE_FLAG_OPEN : 0);
        if (mark->level == 1)
            part = made;
        g_free(text);
    }
}

GByteArray *document_pdf(
    const struct document *document, enum paper paper, const char *made, size_t *unknown)
{
    GByteArray *bytes = g_byte_array_new();
    struct pages *pages = pages_create(document, paper);
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(picture_take, bytes, pages->width, pages->height);
    cairo_t *cairo = cairo_create(surface);
    set_metadata(surface, document, made);
    *unknown = 0;
    for (guint i = 0; i < pages->pages->len; i++) {
        *unknown += figure_unknown(g_ptr_array_index(pages->pages, i));
        figure_draw(g_ptr_array_index(pages->pages, i), cairo);
        cairo_show_page(cairo);
    }
    set_bookmarks(surface, pages);
    const cairo_status_t status = picture_end(cairo, surface);
    pages_destroy(pages);
    return picture_or_nothing(bytes, status);
}
