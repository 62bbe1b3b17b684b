/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "draw/figure_marks.h"

/** Letters and colours: how every figure and page looks. */

double letter_size(enum letter letter)
{
    static const double sizes[LETTER_COUNT] = {[LETTER_SMALL] = 9,
        [LETTER_SMALL_STRONG] = 9,
        [LETTER_PLAIN] = 10,
        [LETTER_STRONG] = 10,
        [LETTER_TITLE] = 13,
        [LETTER_HEAD] = 19};
    return sizes[letter];
}

bool letter_bold(enum letter letter)
{
    return letter != LETTER_SMALL && letter != LETTER_PLAIN;
}

PangoContext *text_context_create(void)
{
    PangoContext *context = pango_font_map_create_context(pango_cairo_font_map_get_default());
    pango_cairo_context_set_resolution(context, 72); /* a point is a point */
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context, options);
    cairo_font_options_destroy(options);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_context_set_language(context, pango_language_from_string("en"));
    return context;
}

PangoLayout *text_layout_create(
    PangoContext *context, enum letter letter, double scale, const char *text, bool rtl)
{
    pango_context_set_base_dir(context, rtl ? PANGO_DIRECTION_RTL : PANGO_DIRECTION_LTR);
    PangoLayout *layout = pango_layout_new(context);
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family(font, "sans-serif");
    pango_font_description_set_absolute_size(font, letter_size(letter) * scale * PANGO_SCALE);
    if (letter_bold(letter))
        pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
    pango_layout_set_auto_dir(layout, FALSE);
    pango_layout_set_text(layout, text, -1);
    return layout;
}

const double *dash_lengths(enum dash dash, int *count)
{
    static const double lengths[][2] = {
        [DASH_LONG] = {5, 3}, [DASH_SHORT] = {2.5, 2}, [DASH_DOTS] = {0.1, 2.6}};
    *count = dash == DASH_NONE ? 0 : 2;
    return dash == DASH_NONE ? NULL : lengths[dash];
}

/* Found and left differ in lightness as well as in hue, so grey print and most colour-blind eyes
   keep them apart; markers and dashes differ besides. */
void figure_ink_colour(enum ink ink, bool dark, char colour[8])
{
    static const char *const colours[INK_COUNT][2] = {
        [INK_NONE] = {"#000000", "#000000"},
        [INK_TEXT] = {"#1b1d21", "#e9e7e2"},
        [INK_SOFT] = {"#565d66", "#abb0b6"},
        [INK_GRID] = {"#dcdfe2", "#3a3f46"},
        [INK_FOUND] = {"#a84a08", "#e08a3a"},
        [INK_LEFT] = {"#0b3a5a", "#b5dff7"},
        [INK_GOAL] = {"#3f6b3c", "#a3c99e"},
        [INK_MEETS] = {"#e3eddf", "#26352a"},
        [INK_BAND] = {"#eceae5", "#2b2d31"},
        [INK_PAPER] = {"#ffffff", "#16181b"},
    };
    g_strlcpy(colour, colours[ink][dark], 8);
}
