/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/escape.h"
#include "draw/figure_marks.h"
#include "text/words.h"

/** Figures as SVG: texts stay texts, colours come from style rules so that dark surroundings get
 *  their own. */

static const char *const ink_names[INK_COUNT] = {
    [INK_NONE] = "none",
    [INK_TEXT] = "text",
    [INK_SOFT] = "soft",
    [INK_GRID] = "grid",
    [INK_FOUND] = "found",
    [INK_LEFT] = "left",
    [INK_GOAL] = "goal",
    [INK_MEETS] = "meets",
    [INK_BAND] = "band",
    [INK_PAPER] = "paper",
};

/* Text for XML, once GLib's buffer has gone from here: escape_markup itself. */
static void escaped(GString *out, const char *text)
{
    struct buffer safe = {0};
    escape_markup(&safe, text);
    g_string_append(out, buffer_text(&safe));
    buffer_finish(&safe);
}

static void number(GString *out, double value)
{
    char text[64];
    g_string_append(out, words_trimmed(text, sizeof text, value, 2));
}

static void attribute(GString *out, const char *name, double value)
{
    g_string_append_printf(out, " %s=\"", name);
    number(out, value);
    g_string_append_c(out, '"');
}

static void paint(GString *out, struct style style)
{
    const bool lined = style.line != INK_NONE && style.width > 0;
    g_string_append_printf(out, " class=\"f-%s", ink_names[style.fill]);
    if (lined)
        g_string_append_printf(out, " s-%s", ink_names[style.line]);
    g_string_append_c(out, '"');
    if (!lined)
        return;
    attribute(out, "stroke-width", style.width);
    int count;
    const double *lengths = dash_lengths(style.dash, &count);
    if (count == 2) {
        g_string_append(out, " stroke-dasharray=\"");
        number(out, lengths[0]);
        g_string_append_c(out, ' ');
        number(out, lengths[1]);
        g_string_append_c(out, '"');
    }
}

static void path(GString *out, const struct mark *mark)
{
    g_string_append(out, "<path");
    paint(out, mark->style);
    g_string_append(out, " d=\"");
    for (size_t i = 0; i < mark->spot_count; i++) {
        g_string_append_c(out, i == 0 ? 'M' : 'L');
        number(out, mark->spots[i].x);
        g_string_append_c(out, ' ');
        number(out, mark->spots[i].y);
    }
    g_string_append(out, mark->closed ? "Z\"/>\n" : "\"/>\n");
}

static void text(GString *out, const struct mark *mark)
{
    static const char *const anchors[] = {[ANCHOR_MIDDLE] = "middle", [ANCHOR_END] = "end"};
    g_string_append_printf(out, "<text class=\"t-%s\"", ink_names[mark->ink]);
    attribute(out, "x", mark->at.x);
    attribute(out, "y", mark->at.y);
    attribute(out, "font-size", letter_size(mark->letter) * mark->scale);
    if (letter_bold(mark->letter))
        g_string_append(out, " font-weight=\"bold\"");
    enum anchor anchor = mark->anchor;
    if (mark->rtl) { /* there a line starts at its right end */
        g_string_append(out, " direction=\"rtl\"");
        anchor = anchor == ANCHOR_START ? ANCHOR_END : anchor == ANCHOR_END ? ANCHOR_START : anchor;
    }
    if (anchor != ANCHOR_START)
        g_string_append_printf(out, " text-anchor=\"%s\"", anchors[anchor]);
    g_string_append_c(out, '>');
    escaped(out, mark->text);
    g_string_append(out, "</text>\n");
}

static void clip(GString *out, const struct mark *mark, const char *id, unsigned count)
{
    g_string_append_printf(out, "<clipPath id=\"%s-clip%u\"><rect", id, count);
    attribute(out, "x", mark->box.x);
    attribute(out, "y", mark->box.y);
    attribute(out, "width", mark->box.width);
    attribute(out, "height", mark->box.height);
    g_string_append_printf(out, "/></clipPath>\n<g clip-path=\"url(#%s-clip%u)\">\n", id, count);
}

void figure_svg_style(GString *out)
{
    char light[8];
    char dark[8];
    g_string_append(out, "svg.perpend{");
    for (int ink = INK_TEXT; ink < INK_COUNT; ink++) {
        figure_ink_colour((enum ink)ink, false, light);
        g_string_append_printf(out, "--p-%s:%s;", ink_names[ink], light);
    }
    g_string_append(out, "font-family:sans-serif;stroke-linejoin:round;stroke-linecap:round}\n"
                         "@media screen and (prefers-color-scheme:dark){svg.perpend{");
    for (int ink = INK_TEXT; ink < INK_COUNT; ink++) {
        figure_ink_colour((enum ink)ink, true, dark);
        g_string_append_printf(out, "--p-%s:%s;", ink_names[ink], dark);
    }
    g_string_append(out, "}}\n.f-none{fill:none}\n");
    for (int ink = INK_TEXT; ink < INK_COUNT; ink++)
        g_string_append_printf(out, ".f-%s,.t-%s{fill:var(--p-%s)}.s-%s{stroke:var(--p-%s)}\n",
            ink_names[ink], ink_names[ink], ink_names[ink], ink_names[ink], ink_names[ink]);
}

static void head(const struct figure *figure, const char *id, bool alone, GString *out)
{
    g_string_append(out, "<svg class=\"perpend\"");
    if (alone) {
        g_string_append(out, " xmlns=\"http://www.w3.org/2000/svg\"");
        attribute(out, "width", figure->width * 4 / 3);
        attribute(out, "height", figure->height * 4 / 3);
    }
    g_string_append(out, " viewBox=\"0 0 ");
    number(out, figure->width);
    g_string_append_c(out, ' ');
    number(out, figure->height);
    g_string_append(out, "\" role=\"img\" aria-label=\"");
    escaped(out, figure->title);
    if (!alone) /* what it shows stands in the page, beside it */
        g_string_append_printf(out, "\" aria-describedby=\"%s-said", id);
    g_string_append(out, "\">\n<title>");
    escaped(out, figure->title);
    g_string_append(out, "</title>\n<desc>");
    escaped(out, figure->description);
    g_string_append(out, "</desc>\n");
    if (alone) {
        g_string_append(out, "<style>\n");
        figure_svg_style(out);
        g_string_append(
            out, "</style>\n<rect class=\"f-paper\" width=\"100%\" height=\"100%\"/>\n");
    }
}

void figure_svg(const struct figure *figure, const char *id, bool alone, GString *out)
{
    unsigned clips = 0;
    head(figure, id, alone, out);
    for (guint i = 0; i < figure->marks->len; i++) {
        const struct mark *mark = &g_array_index(figure->marks, struct mark, i);
        switch (mark->kind) {
        case MARK_PATH:
            path(out, mark);
            break;
        case MARK_CIRCLE:
            g_string_append(out, "<circle");
            paint(out, mark->style);
            attribute(out, "cx", mark->at.x);
            attribute(out, "cy", mark->at.y);
            attribute(out, "r", mark->radius);
            g_string_append(out, "/>\n");
            break;
        case MARK_TEXT:
            text(out, mark);
            break;
        case MARK_CLIP:
            clip(out, mark, id, ++clips);
            break;
        case MARK_UNCLIP:
            g_string_append(out, "</g>\n");
            break;
        }
    }
    g_string_append(out, "</svg>\n");
}
