/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

#include "draw/figure.h"
#include "report/picture.h"

#define DOTS_PER_PX 2.0
#define POINTS_PER_PX 0.75

/* GLib, and pango with it, ends the program when memory or threads cannot be had. Their lesser
   complaints are about fonts; letters that no font has are told of otherwise. */
static GLogWriterOutput last_words(
    GLogLevelFlags level, const GLogField *fields, gsize count, void *context)
{
    static const char line[] =
        "perpend: not enough memory to draw with; close other programs and try again\n";
    (void)fields;
    (void)count;
    (void)context;
    if (level & G_LOG_LEVEL_ERROR) {
        (void)!write(STDERR_FILENO, line, sizeof line - 1);
        _exit(3);
    }
    return G_LOG_WRITER_HANDLED;
}

void picture_begin(void)
{
    static bool begun = false;
    if (!begun)
        g_log_set_writer_func(last_words, NULL, NULL);
    begun = true;
}

bool picture_format_of(const char *path, enum picture_format *format)
{
    static const char *const endings[] = {
        [PICTURE_SVG] = ".svg", [PICTURE_PNG] = ".png", [PICTURE_PDF] = ".pdf"};
    const size_t length = strlen(path);
    for (size_t i = 0; i < sizeof endings / sizeof *endings; i++)
        if (length > 4 && strcasecmp(path + length - 4, endings[i]) == 0) {
            *format = (enum picture_format)i;
            return true;
        }
    return false;
}

static void set_ink(cairo_t *cairo, enum ink ink)
{
    char colour[8];
    ink_colour(ink, false, colour);
    const unsigned long rgb = strtoul(colour + 1, NULL, 16);
    cairo_set_source_rgb(cairo, (double)(rgb >> 16 & 0xff) / 255, (double)(rgb >> 8 & 0xff) / 255,
        (double)(rgb & 0xff) / 255);
}

static void paint(cairo_t *cairo, struct style style)
{
    if (style.fill != INK_NONE) {
        set_ink(cairo, style.fill);
        cairo_fill_preserve(cairo);
    }
    if (style.line != INK_NONE && style.width > 0) {
        static const double lengths[] = {DASH, DASH_GAP};
        set_ink(cairo, style.line);
        cairo_set_line_width(cairo, style.width);
        cairo_set_dash(cairo, lengths, style.broken ? 2 : 0, 0);
        cairo_stroke_preserve(cairo);
    }
    cairo_new_path(cairo);
}

/** A context that measures in points, the same on every surface. */
static PangoContext *context_create(void)
{
    PangoContext *context = pango_font_map_create_context(pango_cairo_font_map_get_default());
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_resolution(context, 72); /* a unit of cairo is one of pango */
    pango_cairo_context_set_font_options(context, options);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_context_set_language(context, pango_language_from_string("en"));
    cairo_font_options_destroy(options);
    return context;
}

/** Set at its anchor, and narrowed where a font takes more room than was measured. Value: letters
 *  that no font here has. */
static size_t draw_text(cairo_t *cairo, PangoContext *context, const struct mark *mark)
{
    const struct type *type = &mark->type;
    pango_context_set_base_dir(context, type->rtl ? PANGO_DIRECTION_RTL : PANGO_DIRECTION_LTR);
    PangoLayout *layout = pango_layout_new(context);
    PangoFontDescription *font = pango_font_description_new();
    PangoRectangle extent;
    pango_font_description_set_family(font, LETTER_FACES);
    pango_font_description_set_absolute_size(
        font, letter_size(type->letter) * mark->scale * PANGO_SCALE);
    if (letter_bold(type->letter))
        pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
    pango_layout_set_font_description(layout, font);
    pango_layout_set_auto_dir(layout, FALSE);
    pango_layout_set_text(layout, mark->text, -1);
    pango_layout_get_extents(layout, NULL, &extent);
    const double width = (double)extent.width / PANGO_SCALE;
    const double narrowed = width > mark->box.width ? mark->box.width / width : 1;
    const double share = anchor_share(type->anchor);
    cairo_save(cairo);
    cairo_translate(cairo, mark->at.x - share * width * narrowed, mark->at.y);
    cairo_scale(cairo, narrowed, 1);
    cairo_move_to(cairo, 0, 0);
    if (type->halo) {
        pango_cairo_layout_line_path(cairo, pango_layout_get_line_readonly(layout, 0));
        set_ink(cairo, INK_PAPER);
        cairo_set_line_width(cairo, 3);
        cairo_set_dash(cairo, NULL, 0, 0);
        cairo_stroke(cairo);
        cairo_move_to(cairo, 0, 0);
    }
    set_ink(cairo, type->ink);
    pango_cairo_show_layout_line(cairo, pango_layout_get_line_readonly(layout, 0));
    cairo_new_path(cairo);
    cairo_restore(cairo);
    const int unknown = pango_layout_get_unknown_glyphs_count(layout);
    pango_font_description_free(font);
    g_object_unref(layout);
    return (size_t)unknown;
}

size_t picture_draw(const struct figure *figure, cairo_t *cairo)
{
    PangoContext *context = context_create();
    size_t unknown = 0;
    cairo_save(cairo);
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
    cairo_set_line_cap(cairo, CAIRO_LINE_CAP_ROUND);
    for (size_t i = 0; i < figure->mark_count; i++) {
        const struct mark *mark = &figure->marks[i];
        switch (mark->kind) {
        case MARK_PATH:
            for (size_t j = 0; j < mark->spot_count; j++)
                cairo_line_to(cairo, mark->spots[j].x, mark->spots[j].y);
            if (mark->closed)
                cairo_close_path(cairo);
            paint(cairo, mark->style);
            break;
        case MARK_CIRCLE:
            cairo_new_sub_path(cairo);
            cairo_arc(cairo, mark->at.x, mark->at.y, mark->radius, 0, 2 * G_PI);
            cairo_close_path(cairo);
            paint(cairo, mark->style);
            break;
        case MARK_TEXT:
            unknown += draw_text(cairo, context, mark);
            break;
        case MARK_CLIP:
            cairo_save(cairo);
            cairo_rectangle(cairo, mark->box.x, mark->box.y, mark->box.width, mark->box.height);
            cairo_clip(cairo);
            break;
        case MARK_UNCLIP:
            cairo_restore(cairo);
            break;
        case MARK_TAG:
            cairo_tag_begin(cairo, mark->text, NULL);
            break;
        case MARK_UNTAG:
            cairo_tag_end(cairo, mark->text);
            break;
        }
    }
    cairo_restore(cairo);
    g_object_unref(context);
    return unknown;
}

static cairo_status_t take(void *out, const unsigned char *data, unsigned length)
{
    buffer_add_bytes(out, (const char *)data, length);
    return ((struct buffer *)out)->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

cairo_t *picture_pdf(struct buffer *out, double width, double height)
{
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(
        take, out, width * POINTS_PER_PX, height * POINTS_PER_PX);
    cairo_t *cairo = cairo_create(surface);
    cairo_surface_destroy(surface); /* the context holds it */
    cairo_scale(cairo, POINTS_PER_PX, POINTS_PER_PX);
    return cairo;
}

void picture_pdf_end(struct buffer *out, cairo_t *cairo)
{
    cairo_surface_t *surface = cairo_surface_reference(cairo_get_target(cairo));
    const bool drawn = cairo_status(cairo) == CAIRO_STATUS_SUCCESS;
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    if (!drawn || cairo_surface_status(surface) != CAIRO_STATUS_SUCCESS)
        out->failed = true;
    cairo_surface_destroy(surface);
}

static size_t add_png(const struct figure *sheet, struct buffer *out)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24,
        (int)ceil(sheet->width * DOTS_PER_PX), (int)ceil(sheet->height * DOTS_PER_PX));
    cairo_t *cairo = cairo_create(surface);
    cairo_set_source_rgb(cairo, 1, 1, 1);
    cairo_paint(cairo);
    cairo_scale(cairo, DOTS_PER_PX, DOTS_PER_PX);
    const size_t unknown = picture_draw(sheet, cairo);
    if (cairo_status(cairo) != CAIRO_STATUS_SUCCESS ||
        cairo_surface_write_to_png_stream(surface, take, out) != CAIRO_STATUS_SUCCESS)
        out->failed = true;
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    return unknown;
}

static size_t add_pdf(const struct figure *sheet, struct buffer *out)
{
    cairo_t *cairo = picture_pdf(out, sheet->width, sheet->height);
    cairo_surface_t *surface = cairo_get_target(cairo);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, buffer_text(&sheet->title));
    cairo_pdf_surface_set_metadata(
        surface, CAIRO_PDF_METADATA_SUBJECT, buffer_text(&sheet->description));
    const size_t unknown = picture_draw(sheet, cairo);
    cairo_show_page(cairo);
    picture_pdf_end(out, cairo);
    return unknown;
}

void picture_add(
    const struct figure *sheet, enum picture_format format, struct buffer *out, size_t *unknown)
{
    *unknown = 0;
    if (sheet->failed) {
        out->failed = true;
    } else if (format == PICTURE_SVG) {
        buffer_add(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        figure_svg(sheet, "perpend", true, out);
    } else {
        *unknown = format == PICTURE_PNG ? add_png(sheet, out) : add_pdf(sheet, out);
    }
}
