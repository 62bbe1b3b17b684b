/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

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
        snprintf(place, sizeof place, "page=%zu pos=[0 %d]", mark->page + 1,
            (int)fmax(0, 0.75 * mark->y - 12));
        text_isolates(&text, mark->text, "", "");
        const int made =
            cairo_pdf_surface_add_outline(surface, first ? CAIRO_PDF_OUTLINE_ROOT : part,
                buffer_text(&text), place, first ? CAIRO_PDF_OUTLINE_FLAG_OPEN : 0);
        if (first)
            part = made;
        buffer_finish(&text);
    }
}

/** Say in the catalogue that the file is tagged, and its language (ISO 32000-1, 14.7.1, 14.9.2), which
 *  cairo 1.16 leaves out. The catalogue is the last object: only the table of objects behind it moves,
 *  and where that begins is said at the end. A file that looks otherwise stays as it is. */
static void say_tagged(struct buffer *out)
{
    static const char said[] = "   /MarkInfo << /Marked true >>\n   /Lang (en)\n";
    static const char root[] = "   /StructTreeRoot ";
    static const char begun[] = "\nstartxref\n";
    const char *at = NULL;
    const char *end = NULL;
    struct buffer made = {0};
    for (size_t i = out->length; i-- > 0 && at == NULL && !out->failed;) {
        end = end == NULL && strncmp(out->bytes + i, begun, strlen(begun)) == 0 ? out->bytes + i
                                                                                : end;
        at = strncmp(out->bytes + i, root, strlen(root)) == 0 ? out->bytes + i : NULL;
    }
    const char *table = at != NULL ? strstr(at, "endobj\nxref\n") : NULL;
    if (end == NULL || table == NULL || strstr(at, "stream") != NULL)
        return;
    buffer_add_bytes(&made, out->bytes, (size_t)(at - out->bytes));
    buffer_add(&made, said);
    buffer_add_bytes(&made, at, (size_t)(end - at));
    buffer_addf(&made, "%s%zu\n%%%%EOF\n", begun,
        (size_t)(table - out->bytes) + strlen("endobj\n") + strlen(said));
    buffer_finish(out);
    *out = made;
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
    cairo_t *cairo = picture_pdf(out, pages->width, pages->height);
    cairo_surface_t *surface = cairo_get_target(cairo);
    set_metadata(surface, document, made);
    for (size_t i = 0; i < pages->count; i++) {
        *unknown += picture_draw(pages->pages[i], cairo);
        cairo_show_page(cairo);
    }
    set_bookmarks(surface, pages);
    picture_pdf_end(out, cairo);
    say_tagged(out);
    pages_destroy(pages);
}
