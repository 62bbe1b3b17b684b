/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "draw/figure_marks.h"

/** Figures on cairo surfaces: PDF pages and PNG pictures, always in their light colours. */

static void set_ink(cairo_t *cairo, enum ink ink)
{
    char colour[8];
    figure_ink_colour(ink, false, colour);
    const guint64 rgb = g_ascii_strtoull(colour + 1, NULL, 16);
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
        int count;
        const double *lengths = dash_lengths(style.dash, &count);
        set_ink(cairo, style.line);
        cairo_set_line_width(cairo, style.width);
        cairo_set_dash(cairo, lengths, count, 0);
        cairo_stroke_preserve(cairo);
    }
    cairo_new_path(cairo);
}

static void draw_text(cairo_t *cairo, const struct figure *figure, const struct mark *mark)
{
    PangoLayout *layout =
        text_layout_create(figure->context, mark->letter, mark->scale, mark->text, mark->rtl);
    PangoLayoutLine *line = pango_layout_get_line_readonly(layout, 0);
    const double shift = mark->anchor == ANCHOR_END      ? -mark->advance
                         : mark->anchor == ANCHOR_MIDDLE ? -mark->advance / 2
                                                         : 0;
    cairo_move_to(cairo, mark->at.x + shift, mark->at.y);
    set_ink(cairo, mark->ink);
    pango_cairo_show_layout_line(cairo, line);
    cairo_new_path(cairo);
    g_object_unref(layout);
}

void figure_draw(const struct figure *figure, cairo_t *cairo)
{
    cairo_save(cairo);
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
    cairo_set_line_cap(cairo, CAIRO_LINE_CAP_ROUND);
    for (guint i = 0; i < figure->marks->len; i++) {
        const struct mark *mark = &g_array_index(figure->marks, struct mark, i);
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
            draw_text(cairo, figure, mark);
            break;
        case MARK_CLIP:
            cairo_save(cairo);
            cairo_rectangle(cairo, mark->box.x, mark->box.y, mark->box.width, mark->box.height);
            cairo_clip(cairo);
            break;
        case MARK_UNCLIP:
            cairo_restore(cairo);
            break;
        }
    }
    cairo_restore(cairo);
}
