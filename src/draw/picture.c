/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <strings.h>
#include <string.h>

#include <cairo-pdf.h>

#include "draw/picture.h"

#define MARGIN 24.0
#define GAP 28.0
#define DOTS_PER_POINT (192.0 / 72.0)
#define SHEET_LINES 12 /* of a description */

bool picture_format_of(const char *path, enum picture_format *format)
{
    static const struct {
        const char *ending;
        enum picture_format format;
    } endings[] = {{".svg", PICTURE_SVG}, {".png", PICTURE_PNG}, {".pdf", PICTURE_PDF}};
    const size_t length = strlen(path);
    for (size_t i = 0; i < G_N_ELEMENTS(endings); i++)
        if (length > 4 && strcasecmp(path + length - 4, endings[i].ending) == 0) {
            *format = endings[i].format;
            return true;
        }
    return false;
}

/** Title, figure, description; how far down it went. */
static double place_one(struct figure *sheet, const struct figure *figure, double x, double y)
{
    const double wide = figure_width(figure);
    figure_text(sheet, LETTER_STRONG, INK_TEXT, ANCHOR_START, (struct spot){x, y + 10}, wide,
        figure_title(figure));
    figure_place(sheet, figure, (struct spot){x, y + 22}, 1);
    const double below = y + 22 + figure_height(figure) + 13;
    return below +
           figure_paragraph(sheet, LETTER_SMALL, INK_SOFT, ANCHOR_START, (struct spot){x, below},
               wide, SHEET_LINES, figure_description(figure)) +
           4;
}

struct figure *picture_sheet(const char *heading, struct figure **figures, size_t count)
{
    double wide = 0;
    for (size_t i = 0; i < count; i++)
        wide = fmax(wide, figure_width(figures[i]));
    const size_t columns = count > 2 ? 2 : 1;
    const double across = (double)columns * (wide + GAP) - GAP;
    struct figure *sheet = figure_create(across + 2 * MARGIN, 0);
    const double down = figure_paragraph(sheet, LETTER_TITLE, INK_TEXT, ANCHOR_START,
        (struct spot){MARGIN, MARGIN + 10}, across, 3, heading);
    double ends[2] = {MARGIN + 28 + down, MARGIN + 28 + down};
    GString *said = g_string_new(NULL);
    for (size_t i = 0; i < count; i++) {
        const size_t column = columns == 2 && ends[1] < ends[0] ? 1 : 0; /* the shorter one */
        ends[column] =
            place_one(sheet, figures[i], MARGIN + (double)column * (wide + GAP), ends[column]) +
            GAP;
        g_string_append_printf(said, "%s%s. %s", i > 0 ? " " : "", figure_title(figures[i]),
            figure_description(figures[i]));
        figure_destroy(figures[i]);
    }
    figure_set_height(sheet, fmax(ends[0], columns == 2 ? ends[1] : 0) - GAP + MARGIN);
    figure_describe(sheet, heading, said->str);
    g_string_free(said, TRUE);
    return sheet;
}

cairo_status_t picture_take(void *bytes, const unsigned char *data, unsigned length)
{
    g_byte_array_append(bytes, data, length);
    return CAIRO_STATUS_SUCCESS;
}

cairo_status_t picture_end(cairo_t *cairo, cairo_surface_t *surface)
{
    cairo_status_t status = cairo_status(cairo);
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    return status;
}

GByteArray *picture_or_nothing(GByteArray *bytes, cairo_status_t status)
{
    if (status == CAIRO_STATUS_SUCCESS)
        return bytes;
    g_byte_array_free(bytes, TRUE);
    return NULL;
}

static cairo_status_t draw_png(const struct figure *sheet, GByteArray *bytes)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24,
        (int)ceil(figure_width(sheet) * DOTS_PER_POINT),
        (int)ceil(figure_height(sheet) * DOTS_PER_POINT));
    cairo_t *cairo = cairo_create(surface);
    cairo_set_source_rgb(cairo, 1, 1, 1);
    cairo_paint(cairo);
    cairo_scale(cairo, DOTS_PER_POINT, DOTS_PER_POINT);
    figure_draw(sheet, cairo);
    cairo_status_t status = cairo_status(cairo);
    cairo_destroy(cairo);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_write_to_png_stream(surface, picture_take, bytes);
    cairo_surface_destroy(surface);
    return status;
}

static cairo_status_t draw_pdf(const struct figure *sheet, GByteArray *bytes)
{
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(
        picture_take, bytes, figure_width(sheet), figure_height(sheet));
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, figure_title(sheet));
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, figure_description(sheet));
    cairo_t *cairo = cairo_create(surface);
    figure_draw(sheet, cairo);
    cairo_show_page(cairo);
    return picture_end(cairo, surface);
}

GByteArray *picture_bytes(const struct figure *sheet, enum picture_format format)
{
    GByteArray *bytes = g_byte_array_new();
    cairo_status_t status = CAIRO_STATUS_SUCCESS;
    if (format == PICTURE_PNG)
        status = draw_png(sheet, bytes);
    else if (format == PICTURE_PDF)
        status = draw_pdf(sheet, bytes);
    else {
        GString *svg = g_string_new("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        figure_svg(sheet, "perpend", true, svg);
        g_byte_array_append(bytes, (const guint8 *)svg->str, (guint)svg->len);
        g_string_free(svg, TRUE);
    }
    return picture_or_nothing(bytes, status);
}
