/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "draw/figure_marks.h"

#define FIRST_STRONG_ISOLATE 0x2068
#define POP_ISOLATE 0x2069

struct figure *figure_create(double width, double height)
{
    struct figure *figure = g_new0(struct figure, 1);
    figure->width = width;
    figure->height = height;
    figure->title = g_strdup("");
    figure->description = g_strdup("");
    figure->marks = g_array_new(FALSE, TRUE, sizeof(struct mark));
    figure->kept = g_array_new(FALSE, TRUE, sizeof(struct box));
    figure->context = text_context_create();
    return figure;
}

void figure_destroy(struct figure *figure)
{
    if (figure == NULL)
        return;
    for (guint i = 0; i < figure->marks->len; i++) {
        struct mark *mark = &g_array_index(figure->marks, struct mark, i);
        g_free(mark->spots);
        g_free(mark->text);
    }
    g_array_free(figure->marks, TRUE);
    g_array_free(figure->kept, TRUE);
    g_object_unref(figure->context);
    g_free(figure->title);
    g_free(figure->description);
    g_free(figure);
}

double figure_width(const struct figure *figure)
{
    return figure->width;
}

double figure_height(const struct figure *figure)
{
    return figure->height;
}

void figure_set_height(struct figure *figure, double height)
{
    figure->height = height;
}

void figure_describe(struct figure *figure, const char *title, const char *description)
{
    g_free(figure->title);
    g_free(figure->description);
    figure->title = g_utf8_make_valid(title, -1);
    figure->description = g_utf8_make_valid(description, -1);
}

const char *figure_title(const struct figure *figure)
{
    return figure->title;
}

const char *figure_description(const struct figure *figure)
{
    return figure->description;
}

void mark_add(struct figure *figure, struct mark mark)
{
    g_array_append_val(figure->marks, mark);
}

void figure_path(
    struct figure *figure, struct style style, const struct spot *spots, size_t count, bool closed)
{
    if (count == 0)
        return;
    mark_add(figure, (struct mark){.kind = MARK_PATH,
                         .style = style,
                         .spots = g_memdup2(spots, count * sizeof *spots),
                         .spot_count = count,
                         .closed = closed});
}

void figure_line(struct figure *figure, struct style style, struct spot from, struct spot to)
{
    const struct spot ends[2] = {from, to};
    style.fill = INK_NONE;
    figure_path(figure, style, ends, 2, false);
}

void figure_box(struct figure *figure, struct style style, struct box box)
{
    const struct spot corners[4] = {{box.x, box.y}, {box.x + box.width, box.y},
        {box.x + box.width, box.y + box.height}, {box.x, box.y + box.height}};
    figure_path(figure, style, corners, 4, true);
}

void figure_circle(struct figure *figure, struct style style, struct spot centre, double radius)
{
    mark_add(
        figure, (struct mark){.kind = MARK_CIRCLE, .style = style, .at = centre, .radius = radius});
}

void figure_marker(
    struct figure *figure, enum marker marker, enum ink ink, struct spot centre, double radius)
{
    const double r = radius;
    const double x = centre.x;
    const double y = centre.y;
    const struct style hollow = {.line = ink, .fill = INK_PAPER, .width = 0.42 * radius};
    const struct style solid = {.line = INK_PAPER, .fill = ink, .width = 0.25 * radius};
    const struct style stroke = {.line = ink, .width = 0.5 * radius};
    switch (marker) {
    case MARKER_RING:
        figure_circle(figure, hollow, centre, r);
        break;
    case MARKER_SQUARE:
        figure_box(figure, solid, (struct box){x - 0.9 * r, y - 0.9 * r, 1.8 * r, 1.8 * r});
        break;
    case MARKER_DIAMOND: {
        const struct spot tips[4] = {
            {x, y - 1.25 * r}, {x + 1.25 * r, y}, {x, y + 1.25 * r}, {x - 1.25 * r, y}};
        figure_path(figure, hollow, tips, 4, true);
        break;
    }
    case MARKER_CROSS:
        figure_line(figure, stroke, (struct spot){x - r, y - r}, (struct spot){x + r, y + r});
        figure_line(figure, stroke, (struct spot){x - r, y + r}, (struct spot){x + r, y - r});
        break;
    case MARKER_DOT:
        figure_circle(figure, (struct style){.fill = ink}, centre, r);
        break;
    }
}

void figure_arrow(
    struct figure *figure, struct style style, struct spot from, struct spot to, double head)
{
    const double length = hypot(to.x - from.x, to.y - from.y);
    if (length < 1e-6)
        return;
    const double ux = (to.x - from.x) / length;
    const double uy = (to.y - from.y) / length;
    const double h = fmin(head, 0.7 * length);
    const struct spot neck = {to.x - 0.8 * h * ux, to.y - 0.8 * h * uy};
    figure_line(figure, style, from, neck);
    const struct spot tip[3] = {to, {to.x - h * ux - 0.38 * h * uy, to.y - h * uy + 0.38 * h * ux},
        {to.x - h * ux + 0.38 * h * uy, to.y - h * uy - 0.38 * h * ux}};
    figure_path(figure, (struct style){.fill = style.line}, tip, 3, true);
}

void figure_clip(struct figure *figure, struct box box)
{
    mark_add(figure, (struct mark){.kind = MARK_CLIP, .box = box});
}

void figure_unclip(struct figure *figure)
{
    mark_add(figure, (struct mark){.kind = MARK_UNCLIP});
}

/** Valid UTF-8 on one line. */
char *mark_one_line(const char *text)
{
    char *clean = g_utf8_make_valid(text, -1);
    for (char *c = clean; *c != '\0'; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7f)
            *c = ' ';
    return clean;
}

/** Width of a text and what it covers with the pen at the left of the baseline. */
static struct box extent(const struct figure *figure, enum letter letter, const char *text,
    double *advance, size_t *unknown)
{
    PangoLayout *layout = text_layout_create(figure->context, letter, 1, text, false);
    PangoRectangle ink;
    PangoRectangle logical;
    pango_layout_line_get_extents(pango_layout_get_line_readonly(layout, 0), &ink, &logical);
    *unknown = (size_t)pango_layout_get_unknown_glyphs_count(layout);
    g_object_unref(layout);
    const double scale = 1.0 / PANGO_SCALE;
    *advance = logical.width * scale;
    const double left = fmin(ink.x, logical.x) * scale;
    const double right = fmax(ink.x + ink.width, logical.x + logical.width) * scale;
    return (struct box){left, ink.y * scale, right - left, ink.height * scale};
}

double figure_measure(const struct figure *figure, enum letter letter, const char *text)
{
    double advance;
    size_t unknown;
    char *clean = mark_one_line(text);
    extent(figure, letter, clean, &advance, &unknown);
    g_free(clean);
    return advance;
}

/** The longest beginning of a text that fits with "…" behind it; the text itself when it fits. */
static char *cut_to(const struct figure *figure, enum letter letter, const char *text, double most)
{
    if (most <= 0 || figure_measure(figure, letter, text) <= most)
        return g_strdup(text);
    PangoLayout *layout = text_layout_create(figure->context, letter, 1, text, false);
    int count;
    const PangoLogAttr *attributes = pango_layout_get_log_attrs_readonly(layout, &count);
    long low = 0;
    long high = count - 1;
    char *best = g_strdup("…");
    while (low < high) {
        const long middle = (low + high + 1) / 2;
        long stop = middle;
        while (stop > 0 && !attributes[stop].is_cursor_position)
            stop--;
        char *head = g_utf8_substring(text, 0, stop);
        char *trial = g_strconcat(g_strchomp(head), "…", NULL);
        g_free(head);
        if (figure_measure(figure, letter, trial) <= most) {
            g_free(best);
            best = trial;
            low = middle;
        } else {
            g_free(trial);
            high = middle - 1;
        }
    }
    g_object_unref(layout);
    return best;
}

static double anchor_shift(enum anchor anchor, double advance)
{
    switch (anchor) {
    case ANCHOR_MIDDLE:
        return -advance / 2;
    case ANCHOR_END:
        return -advance;
    case ANCHOR_START:
    default:
        return 0;
    }
}

/** A text mark, ready but for being added; takes over `text`. */
struct mark mark_of_text(const struct figure *figure, enum letter letter, enum ink ink,
    enum anchor anchor, struct spot at, char *text)
{
    struct mark mark = {.kind = MARK_TEXT,
        .letter = letter,
        .ink = ink,
        .anchor = anchor,
        .at = at,
        .text = text,
        .scale = 1};
    const struct box box = extent(figure, letter, text, &mark.advance, &mark.unknown);
    mark.box = (struct box){
        at.x + anchor_shift(anchor, mark.advance) + box.x, at.y + box.y, box.width, box.height};
    return mark;
}

void figure_text(struct figure *figure, enum letter letter, enum ink ink, enum anchor anchor,
    struct spot at, double most, const char *text)
{
    char *clean = mark_one_line(text);
    char *fits = cut_to(figure, letter, clean, most);
    g_free(clean);
    if (*fits == '\0') {
        g_free(fits);
        return;
    }
    mark_add(figure, mark_of_text(figure, letter, ink, anchor, at, fits));
}

double figure_leading(enum letter letter)
{
    return 1.4 * letter_size(letter);
}

void figure_text_toward(struct figure *figure, enum letter letter, enum ink ink, enum anchor anchor,
    struct spot at, const char *text, bool rtl)
{
    char *clean = mark_one_line(text);
    if (*clean == '\0') {
        g_free(clean);
        return;
    }
    struct mark mark = mark_of_text(figure, letter, ink, anchor, at, clean);
    mark.rtl = rtl;
    mark_add(figure, mark);
}

bool figure_text_is_rtl(const char *text)
{
    static const GUnicodeScript scripts[] = {G_UNICODE_SCRIPT_ARABIC, G_UNICODE_SCRIPT_HEBREW,
        G_UNICODE_SCRIPT_SYRIAC, G_UNICODE_SCRIPT_THAANA, G_UNICODE_SCRIPT_NKO,
        G_UNICODE_SCRIPT_ADLAM, G_UNICODE_SCRIPT_SAMARITAN, G_UNICODE_SCRIPT_MANDAIC,
        G_UNICODE_SCRIPT_HANIFI_ROHINGYA};
    int isolated = 0; /* what stands isolated has no say (Unicode Standard Annex 9, rule P2) */
    for (const char *at = text; *at != '\0'; at = g_utf8_next_char(at)) {
        const gunichar c = g_utf8_get_char(at);
        if (c == FIRST_STRONG_ISOLATE)
            isolated++;
        if (c == POP_ISOLATE && isolated > 0)
            isolated--;
        if (isolated > 0 || !g_unichar_isalpha(c))
            continue;
        for (size_t i = 0; i < G_N_ELEMENTS(scripts); i++)
            if (g_unichar_get_script(c) == scripts[i])
                return true;
        return false;
    }
    return false;
}

GPtrArray *figure_lines(
    const struct figure *figure, enum letter letter, const char *text, double most)
{
    GPtrArray *lines = g_ptr_array_new_with_free_func(g_free);
    char *clean = g_utf8_make_valid(text, -1);
    PangoLayout *layout =
        text_layout_create(figure->context, letter, 1, clean, figure_text_is_rtl(clean));
    pango_layout_set_width(layout, (int)(most * PANGO_SCALE));
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    for (int i = 0; i < pango_layout_get_line_count(layout); i++) {
        const PangoLayoutLine *line = pango_layout_get_line_readonly(layout, i);
        g_ptr_array_add(
            lines, g_strchomp(g_strndup(clean + line->start_index, (gsize)line->length)));
    }
    g_object_unref(layout);
    g_free(clean);
    return lines;
}

double figure_paragraph(struct figure *figure, enum letter letter, enum ink ink, enum anchor anchor,
    struct spot at, double most, size_t lines, const char *text)
{
    char *clean = mark_one_line(text);
    GPtrArray *found = figure_lines(figure, letter, clean, most);
    double down = 0;
    for (size_t i = 0; i < MIN(found->len, lines); i++) {
        down = (double)i * figure_leading(letter);
        GString *part = g_string_new(g_ptr_array_index(found, i));
        for (size_t j = i + 1; i + 1 == lines && j < found->len; j++) /* to be cut */
            g_string_append_printf(part, " %s", (char *)g_ptr_array_index(found, j));
        figure_text(figure, letter, ink, anchor, (struct spot){at.x, at.y + down}, most, part->str);
        g_string_free(part, TRUE);
    }
    g_ptr_array_free(found, TRUE);
    g_free(clean);
    return down;
}

void figure_place(struct figure *figure, const struct figure *part, struct spot at, double scale)
{
    for (guint i = 0; i < part->marks->len; i++) {
        struct mark mark = g_array_index(part->marks, struct mark, i);
        mark.text = g_strdup(mark.text);
        if (mark.spots != NULL)
            mark.spots = g_memdup2(mark.spots, mark.spot_count * sizeof *mark.spots);
        for (size_t j = 0; j < mark.spot_count; j++)
            mark.spots[j] =
                (struct spot){at.x + scale * mark.spots[j].x, at.y + scale * mark.spots[j].y};
        mark.at = (struct spot){at.x + scale * mark.at.x, at.y + scale * mark.at.y};
        mark.box = (struct box){at.x + scale * mark.box.x, at.y + scale * mark.box.y,
            scale * mark.box.width, scale * mark.box.height};
        mark.radius *= scale;
        mark.style.width *= scale;
        mark.scale *= scale;
        mark.advance *= scale;
        mark_add(figure, mark);
    }
}

size_t figure_unknown(const struct figure *figure)
{
    size_t unknown = 0;
    for (guint i = 0; i < figure->marks->len; i++)
        unknown += g_array_index(figure->marks, struct mark, i).unknown;
    return unknown;
}

size_t figure_text_count(const struct figure *figure)
{
    size_t count = 0;
    for (guint i = 0; i < figure->marks->len; i++)
        count += g_array_index(figure->marks, struct mark, i).kind == MARK_TEXT;
    return count;
}

const char *figure_text_at(const struct figure *figure, size_t index, struct box *box)
{
    for (guint i = 0; i < figure->marks->len; i++) {
        const struct mark *mark = &g_array_index(figure->marks, struct mark, i);
        if (mark->kind == MARK_TEXT && index-- == 0) {
            *box = mark->box;
            return mark->text;
        }
    }
    return NULL;
}
