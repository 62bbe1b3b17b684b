/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdarg.h>

#include "draw/figure.h"
#include "text/escape.h"
#include "text/words.h"

/** Figures as SVG: texts stay texts, colours come from style rules so that dark surroundings get
 *  their own. */

static const char *const ink_names[INK_COUNT] = {
    [INK_NONE] = "none",
    [INK_TEXT] = "text",
    [INK_SOFT] = "soft",
    [INK_GRID] = "grid",
    [INK_OVER] = "over",
    [INK_WITHIN] = "within",
    [INK_MEETS] = "meets",
    [INK_BAND] = "band",
    [INK_PAPER] = "paper",
};

/** Add a text in which each # is one of the numbers, in turn. */
static void numbers(struct buffer *out, const char *text, ...)
{
    va_list values;
    char number[64];
    va_start(values, text);
    for (; *text != '\0'; text++)
        if (*text == '#')
            buffer_add(out, words_trimmed(number, sizeof number, va_arg(values, double), 2));
        else
            buffer_add_bytes(out, text, 1);
    va_end(values);
}

static void paint(struct buffer *out, struct style style)
{
    const bool lined = style.line != INK_NONE && style.width > 0;
    buffer_addf(out, " class=\"f-%s", ink_names[style.fill]);
    if (lined)
        buffer_addf(out, " s-%s", ink_names[style.line]);
    buffer_add(out, "\"");
    if (lined)
        numbers(out, " stroke-width=\"#\"", style.width);
    if (lined && style.broken)
        numbers(out, " stroke-dasharray=\"# #\"", DASH, DASH_GAP);
}

static void path(struct buffer *out, const struct mark *mark)
{
    buffer_add(out, "<path");
    paint(out, mark->style);
    buffer_add(out, " d=\"");
    for (size_t i = 0; i < mark->spot_count; i++)
        numbers(out, i == 0 ? "M# #" : "L# #", mark->spots[i].x, mark->spots[i].y);
    buffer_add(out, mark->closed ? "Z\"/>\n" : "\"/>\n");
}

static void circle(struct buffer *out, const struct mark *mark)
{
    buffer_add(out, "<circle");
    paint(out, mark->style);
    numbers(out, " cx=\"#\" cy=\"#\" r=\"#\"/>\n", mark->at.x, mark->at.y, mark->radius);
}

static void text(struct buffer *out, const struct mark *mark)
{
    static const char *const anchors[] = {"", " text-anchor=\"middle\"", " text-anchor=\"end\""};
    const struct type *type = &mark->type;
    buffer_addf(out, "<text class=\"t-%s\"", ink_names[type->ink]);
    numbers(out, " x=\"#\" y=\"#\" font-size=\"#\"", mark->at.x, mark->at.y,
        letter_size(type->letter) * mark->scale);
    if (letter_bold(type->letter))
        buffer_add(out, " font-weight=\"bold\"");
    if (type->halo)
        buffer_add(out, " style=\"stroke:var(--p-paper);stroke-width:3px;paint-order:stroke\"");
    if (type->rtl) /* there a line starts at its right end */
        buffer_add(out, " direction=\"rtl\"");
    buffer_addf(out, "%s>", anchors[type->rtl ? ANCHOR_END - type->anchor : type->anchor]);
    escape_markup(out, mark->text);
    buffer_add(out, "</text>\n");
}

static void clip(struct buffer *out, const struct mark *mark, const char *id, size_t number)
{
    buffer_addf(out, "<clipPath id=\"%s-clip%zu\"><rect", id, number);
    numbers(out, " x=\"#\" y=\"#\" width=\"#\" height=\"#\"", mark->box.x, mark->box.y,
        mark->box.width, mark->box.height);
    buffer_addf(out, "/></clipPath>\n<g clip-path=\"url(#%s-clip%zu)\">\n", id, number);
}

void figure_svg_style(struct buffer *out)
{
    char colour[8];
    buffer_add(out, "svg.perpend{");
    for (int dark = 0; dark < 2; dark++) {
        for (int ink = INK_TEXT; ink < INK_COUNT; ink++) {
            ink_colour((enum ink)ink, dark == 1, colour);
            buffer_addf(out, "--p-%s:%s;", ink_names[ink], colour);
        }
        buffer_add(out, dark ? "}}\n.f-none{fill:none}\n"
                             : "font-family:" LETTER_FACES
                               ";stroke-linejoin:round;stroke-linecap:round}\n"
                               "@media screen and (prefers-color-scheme:dark){svg.perpend{");
    }
    for (int ink = INK_TEXT; ink < INK_COUNT; ink++) {
        const char *name = ink_names[ink];
        buffer_addf(out, ".f-%s,.t-%s{fill:var(--p-%s)}.s-%s{stroke:var(--p-%s)}\n", name, name,
            name, name, name);
    }
}

/** What it shows stands in its label, once. */
static void head(const struct figure *figure, bool alone, struct buffer *out)
{
    buffer_add(out, "<svg class=\"perpend\"");
    if (alone)
        numbers(out, " xmlns=\"http://www.w3.org/2000/svg\" width=\"#\" height=\"#\"",
            figure->width, figure->height);
    numbers(out, " viewBox=\"0 0 # #\" role=\"img\" aria-label=\"", figure->width, figure->height);
    escape_markup(out, buffer_text(&figure->title));
    buffer_add(out, ". ");
    escape_markup(out, buffer_text(&figure->description));
    buffer_add(out, "\">\n");
    if (alone) {
        buffer_add(out, "<style>\n");
        figure_svg_style(out);
        buffer_add(out, "</style>\n<rect class=\"f-paper\" width=\"100%\" height=\"100%\"/>\n");
    }
}

void figure_svg(const struct figure *figure, const char *id, bool alone, struct buffer *out)
{
    size_t clips = 0;
    if (figure->failed) {
        out->failed = true;
        return;
    }
    head(figure, alone, out);
    for (size_t i = 0; i < figure->mark_count; i++) {
        const struct mark *mark = &figure->marks[i];
        switch (mark->kind) {
        case MARK_PATH:
            path(out, mark);
            break;
        case MARK_CIRCLE:
            circle(out, mark);
            break;
        case MARK_TEXT:
            text(out, mark);
            break;
        case MARK_CLIP:
            clip(out, mark, id, ++clips);
            break;
        case MARK_UNCLIP:
            buffer_add(out, "</g>\n");
            break;
        case MARK_TAG:
        case MARK_UNTAG:
            break;
        }
    }
    buffer_add(out, "</svg>\n");
}
