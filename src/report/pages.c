/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/columns.h"
#include "report/pages.h"

#define SIDE 54.0 /* pt, margin left and right */
#define TOP 54.0
#define BOTTOM 62.0
#define FIGURE_SHARE 0.68 /* of the text's width; the caption stands beside it */
#define FIGURE_GAP 16.0
#define CELL_GAP 12.0
#define SECTION_START 150.0 /* pt, of a section's heading, sentences and short table */
#define FOLD_GAP 28.0       /* between the parts of a folded table */
#define PLATE_COLUMNS 3

/** Where the setting has got to. */
struct press {
    const struct document *document;
    struct pages *pages;
    struct figure *page;
    double y; /* top of what comes next */
};

static double left_edge(void)
{
    return SIDE;
}

static double measure(const struct press *press)
{
    return press->pages->width - 2 * SIDE;
}

static double floor_of(const struct press *press)
{
    return press->pages->height - BOTTOM;
}

static void turn_page(struct press *press)
{
    press->page = figure_create(press->pages->width, press->pages->height);
    g_ptr_array_add(press->pages->pages, press->page);
    press->y = TOP;
}

/** Begin a new page when less than so much is left on this one. */
static bool need(struct press *press, double height)
{
    if (press->y + height <= floor_of(press) || press->y <= TOP)
        return false;
    turn_page(press);
    return true;
}

static void space(struct press *press, double height)
{
    if (press->y > TOP)
        press->y += height;
}

/** One line with its top at y, at the side from which it is read. */
static void set_line(struct press *press, enum letter letter, enum ink ink, double x, double width,
    double y, const char *text, bool rtl)
{
    figure_text_toward(press->page, letter, ink, rtl ? ANCHOR_END : ANCHOR_START,
        (struct spot){rtl ? x + width : x, y + 0.76 * figure_leading(letter)}, text, rtl);
}

static void set_text(
    struct press *press, enum letter letter, enum ink ink, double x, double width, const char *text)
{
    const bool rtl = figure_text_is_rtl(text);
    GPtrArray *lines = figure_lines(press->page, letter, text, width);
    for (guint i = 0; i < lines->len; i++) {
        /* no first or last line of a paragraph alone on a page */
        const guint together = lines->len > 3 && (i == 0 || i + 2 == lines->len) ? 2 : 1;
        need(press, together * figure_leading(letter));
        set_line(press, letter, ink, x, width, press->y, g_ptr_array_index(lines, i), rtl);
        press->y += figure_leading(letter);
    }
    g_ptr_array_free(lines, TRUE);
}

/** A heading keeps to what follows it: a part's to its first lines, or to the heading of its first
 *  section, and a section's to its sentences and a short table. */
static void set_heading(struct press *press, const struct block *block, const struct block *next)
{
    const bool part = block->level == 1;
    const bool section_next = next != NULL && next->kind == BLOCK_HEADING;
    const enum letter letter = part ? LETTER_TITLE : LETTER_STRONG;
    need(press, !part ? SECTION_START : section_next ? SECTION_START + 40 : 130);
    space(press, part ? 24 : 12);
    if (part) {
        figure_line(press->page, (struct style){.line = INK_TEXT, .width = 1.2},
            (struct spot){left_edge(), press->y},
            (struct spot){left_edge() + measure(press), press->y});
        press->y += 6;
    }
    const struct bookmark mark = {.level = block->level,
        .text = block->text,
        .page = press->pages->pages->len - 1,
        .y = press->y};
    g_array_append_val(press->pages->bookmarks, mark);
    set_text(press, letter, INK_TEXT, left_edge(), measure(press), block->text);
    press->y += part ? 4 : 2;
}

static void set_list(struct press *press, const struct block *block)
{
    const double indent = 18;
    for (guint i = 0; i < block->texts->len; i++) {
        char mark[16];
        g_snprintf(mark, sizeof mark, block->ordered ? "%u." : "–", i + 1);
        need(press, figure_leading(LETTER_PLAIN) * 2);
        set_line(press, LETTER_PLAIN, INK_SOFT, left_edge(), indent, press->y, mark, false);
        set_text(press, LETTER_PLAIN, INK_TEXT, left_edge() + indent, measure(press) - indent,
            g_ptr_array_index(block->texts, i));
        press->y += 2;
    }
    press->y += 4;
}

/** Cells side by side; how high the row is. Draws only when told to. */
struct cell {
    const char *text;
    enum letter letter;
    enum ink ink;
    double x, width;
    bool right; /* set against the right edge */
};

static double set_row(struct press *press, const struct cell *cells, size_t count, bool draw)
{
    double height = 0;
    for (size_t i = 0; i < count; i++) {
        const struct cell *cell = &cells[i];
        const double leading = figure_leading(cell->letter);
        GPtrArray *lines = figure_lines(press->page, cell->letter, cell->text, cell->width + 0.5);
        const bool rtl = figure_text_is_rtl(cell->text);
        for (guint j = 0; j < lines->len && draw; j++) {
            const char *text = g_ptr_array_index(lines, j);
            const double y = press->y + j * leading + 0.76 * leading;
            const enum anchor anchor = cell->right ? ANCHOR_END : ANCHOR_START;
            figure_text_toward(press->page, cell->letter, cell->ink, anchor,
                (struct spot){cell->right ? cell->x + cell->width : cell->x, y}, text, rtl);
        }
        height = fmax(height, lines->len * leading);
        g_ptr_array_free(lines, TRUE);
    }
    return height;
}

static void set_facts(struct press *press, const GPtrArray *texts)
{
    double widest = 0;
    for (guint i = 0; i + 1 < texts->len; i += 2)
        widest =
            fmax(widest, figure_measure(press->page, LETTER_PLAIN, g_ptr_array_index(texts, i)));
    const double name = fmin(widest, 0.4 * measure(press));
    for (guint i = 0; i + 1 < texts->len; i += 2) {
        const struct cell cells[2] = {
            {g_ptr_array_index(texts, i), LETTER_PLAIN, INK_SOFT, left_edge(), name, false},
            {g_ptr_array_index(texts, i + 1), LETTER_PLAIN, INK_TEXT, left_edge() + name + CELL_GAP,
                measure(press) - name - CELL_GAP, false}};
        const double height = set_row(press, cells, 2, false);
        need(press, height);
        set_row(press, cells, 2, true);
        press->y += height + 1.5;
    }
    press->y += 5;
}

/** A table laid out: its parts side by side when it is long and narrow. */
struct layout {
    const struct block *table;
    double left;
    double *widths;     /* of the columns */
    double width;       /* of one part */
    size_t folds, rows; /* parts, rows in each */
    struct cell *cells;
};

/** The cells of one row of one part; row −1 is the head. */
static void layout_cells(const struct layout *layout, size_t fold, long row)
{
    const struct block *table = layout->table;
    double x = layout->left + (double)fold * (layout->width + FOLD_GAP);
    for (size_t i = 0; i < table->columns; i++) {
        layout->cells[i] = (struct cell){
            .text = row < 0 ? table_head(table, i) : table_cell(table, (size_t)row, i),
            .letter = row < 0 ? LETTER_SMALL_STRONG : LETTER_SMALL,
            .ink = INK_TEXT,
            .x = x,
            .width = layout->widths[i],
            .right = table->numeric >> i & 1};
        x += layout->widths[i] + CELL_GAP;
    }
}

static void layout_init(
    const struct press *press, struct layout *layout, const struct block *table, double left)
{
    const double room = left_edge() + measure(press) - left;
    *layout = (struct layout){.table = table,
        .left = left,
        .widths = g_new0(double, table->columns),
        .cells = g_new0(struct cell, table->columns)};
    for (size_t i = 0; i < table->columns; i++) {
        double *width = &layout->widths[i];
        *width = figure_measure(press->page, LETTER_SMALL_STRONG, table_head(table, i));
        for (size_t row = 0; row < table_rows(table); row++)
            *width =
                fmax(*width, figure_measure(press->page, LETTER_SMALL, table_cell(table, row, i)));
    }
    const double gaps = CELL_GAP * (double)(table->columns - 1);
    columns_fit(layout->widths, table->columns, measure(press) - gaps - 1);
    layout->width = gaps;
    for (size_t i = 0; i < table->columns; i++)
        layout->width += layout->widths[i];
    layout->folds = table_folds(table, layout->width, FOLD_GAP, room);
    layout->rows = (table_rows(table) + layout->folds - 1) / layout->folds;
}

static void layout_finish(struct layout *layout)
{
    g_free(layout->widths);
    g_free(layout->cells);
}

/** One row across all parts. Value: its height. */
static double layout_row(struct press *press, const struct layout *layout, long row, bool draw)
{
    double height = 0;
    for (size_t fold = 0; fold < layout->folds && row < (long)layout->rows; fold++) {
        const long at = row < 0 ? row : row + (long)(fold * layout->rows);
        if (at >= (long)table_rows(layout->table))
            break;
        layout_cells(layout, fold, at);
        height = fmax(height, set_row(press, layout->cells, layout->table->columns, draw));
    }
    return height;
}

/** A rule under a row, in the parts that have it. */
static void layout_rule(
    struct press *press, const struct layout *layout, long row, enum ink ink, double width)
{
    for (size_t fold = 0; fold < layout->folds && row < (long)layout->rows; fold++) {
        const double x = layout->left + (double)fold * (layout->width + FOLD_GAP);
        if (row >= 0 && (size_t)row + fold * layout->rows >= table_rows(layout->table))
            break;
        figure_line(press->page, (struct style){.line = ink, .width = width},
            (struct spot){x, press->y}, (struct spot){x + layout->width, press->y});
    }
}

/** A row of tables that stand side by side, and the rule under it. */
static double row_height(struct press *press, const struct layout *layouts, size_t count, long row)
{
    double height = 0;
    for (size_t i = 0; i < count; i++)
        height = fmax(height, layout_row(press, &layouts[i], row, false));
    return height;
}

static void draw_row(struct press *press, const struct layout *layouts, size_t count, long row)
{
    const bool head = row < 0;
    const double height = row_height(press, layouts, count, row);
    for (size_t i = 0; i < count; i++)
        layout_row(press, &layouts[i], row, true);
    press->y += height + (head ? 2 : 1.5);
    for (size_t i = 0; i < count; i++)
        layout_rule(press, &layouts[i], row, head ? INK_SOFT : INK_GRID, head ? 0.8 : 0.5);
    press->y += head ? 2.5 : 2;
}

/** A table, and beside it the one that follows at once where both are narrow. Value: how many. */
static size_t set_tables(struct press *press, const struct block *table, const struct block *next)
{
    struct layout layouts[2];
    size_t count = 1;
    layout_init(press, &layouts[0], table, left_edge());
    if (next && table->text[0] == '\0' && next->text[0] == '\0' && layouts[0].folds == 1) {
        const double left = left_edge() + layouts[0].width + FOLD_GAP;
        layout_init(press, &layouts[1], next, left);
        count += left + layouts[1].width <= left_edge() + measure(press);
        if (count == 1)
            layout_finish(&layouts[1]);
    }
    const size_t rows = count > 1 ? MAX(layouts[0].rows, layouts[1].rows) : layouts[0].rows;
    need(press, 80);
    space(press, 4);
    if (table->text[0] != '\0') {
        set_text(press, LETTER_SMALL, INK_SOFT, left_edge(), measure(press), table->text);
        press->y += 2;
    }
    draw_row(press, layouts, count, -1);
    for (size_t row = 0; row < rows; row++) {
        if (need(press, row_height(press, layouts, count, (long)row) + 4))
            draw_row(press, layouts, count, -1);
        draw_row(press, layouts, count, (long)row);
    }
    press->y += 8;
    for (size_t i = 0; i < count; i++)
        layout_finish(&layouts[i]);
    return count;
}

static void set_figure(struct press *press, const struct block *block)
{
    const struct figure *figure = block->figure;
    const double page = floor_of(press) - TOP;
    const double scale =
        fmin(FIGURE_SHARE * measure(press) / figure_width(figure), page / figure_height(figure));
    const double height = figure_height(figure) * scale;
    const double x = left_edge() + FIGURE_SHARE * measure(press) + FIGURE_GAP;
    const double width = left_edge() + measure(press) - x;
    char *title = g_strdup_printf("%u. %s", block->number, figure_title(figure));
    const struct cell name = {title, LETTER_SMALL_STRONG, INK_TEXT, x, width, false};
    const struct cell said = {figure_description(figure), LETTER_SMALL, INK_SOFT, x, width, false};
    space(press, 8);
    const double name_height = set_row(press, &name, 1, false);
    const double said_height = set_row(press, &said, 1, false);
    need(press, fmin(fmax(height, name_height + said_height), page));
    figure_place(press->page, figure, (struct spot){left_edge(), press->y}, scale);
    const double top = press->y;
    set_row(press, &name, 1, true);
    press->y += name_height + 2;
    set_row(press, &said, 1, true);
    press->y = fmax(top + height, press->y + said_height) + 14;
    g_free(title);
}

/** The title block: boxes of a name and a value, as on a workshop drawing. */
static void set_plate(struct press *press)
{
    const GPtrArray *texts = press->document->plate;
    const struct style frame = {.line = INK_SOFT, .width = 0.7};
    const double width = measure(press) / PLATE_COLUMNS;
    for (guint i = 0; i + 1 < texts->len; i += 2 * PLATE_COLUMNS) {
        struct cell cells[PLATE_COLUMNS];
        const guint count = MIN((texts->len - i) / 2, PLATE_COLUMNS);
        for (guint j = 0; j < count; j++)
            cells[j] = (struct cell){g_ptr_array_index(texts, i + 2 * j + 1), LETTER_PLAIN,
                INK_TEXT, left_edge() + j * width + 7, width - 14, false};
        const double height = set_row(press, cells, count, false) + 20;
        need(press, height);
        for (guint j = 0; j < PLATE_COLUMNS; j++)
            figure_box(
                press->page, frame, (struct box){left_edge() + j * width, press->y, width, height});
        for (guint j = 0; j < count; j++)
            set_line(press, LETTER_SMALL, INK_SOFT, cells[j].x, cells[j].width, press->y + 3,
                g_ptr_array_index(texts, i + 2 * j), false);
        press->y += 15;
        set_row(press, cells, count, true);
        press->y += height - 15;
    }
    press->y += 12;
}

static void set_block(struct press *press, const struct block *block, const struct block *next)
{
    switch (block->kind) {
    case BLOCK_HEADING:
        set_heading(press, block, next);
        break;
    case BLOCK_PARAGRAPH:
    case BLOCK_FREE_TEXT:
        set_text(press, LETTER_PLAIN, INK_TEXT, left_edge(), measure(press), block->text);
        press->y += 5;
        break;
    case BLOCK_VERDICT:
        set_text(press, LETTER_TITLE, INK_TEXT, left_edge(), measure(press), block->text);
        press->y += 10;
        break;
    case BLOCK_LIST:
        set_list(press, block);
        break;
    case BLOCK_FACTS:
        set_facts(press, block->texts);
        break;
    case BLOCK_FIGURE:
        set_figure(press, block);
        break;
    case BLOCK_TABLE: /* by set_tables */
    case BLOCK_KINDS:
        break;
    }
}

static void set_blocks(struct press *press, const GPtrArray *blocks)
{
    for (guint i = 0; i < blocks->len;) {
        const struct block *block = g_ptr_array_index(blocks, i);
        const struct block *next = i + 1 < blocks->len ? g_ptr_array_index(blocks, i + 1) : NULL;
        if (block->kind == BLOCK_TABLE) {
            i += (guint)set_tables(press, block, next && next->kind == BLOCK_TABLE ? next : NULL);
        } else {
            set_block(press, block, next);
            i++;
        }
    }
}

static void set_foot(struct press *press)
{
    const size_t count = press->pages->pages->len;
    for (size_t i = 0; i < count; i++) {
        struct figure *page = g_ptr_array_index(press->pages->pages, i);
        char number[48];
        g_snprintf(number, sizeof number, "page %zu of %zu", i + 1, count);
        const double y = press->pages->height - 34;
        const double wide = figure_measure(page, LETTER_SMALL, number);
        figure_text(page, LETTER_SMALL, INK_SOFT, ANCHOR_START, (struct spot){left_edge(), y},
            measure(press) - wide - 20, press->document->foot);
        figure_text(page, LETTER_SMALL, INK_SOFT, ANCHOR_END,
            (struct spot){left_edge() + measure(press), y}, 0, number);
    }
}

struct pages *pages_create(const struct document *document, enum paper paper)
{
    struct pages *pages = g_new0(struct pages, 1);
    pages->pages = g_ptr_array_new();
    pages->bookmarks = g_array_new(FALSE, FALSE, sizeof(struct bookmark));
    pages->width = paper == PAPER_A4 ? 210 * 72 / 25.4 : 8.5 * 72;
    pages->height = paper == PAPER_A4 ? 297 * 72 / 25.4 : 11.0 * 72;
    struct press press = {.document = document, .pages = pages};
    turn_page(&press);
    set_text(&press, LETTER_HEAD, INK_TEXT, left_edge(), measure(&press), document->title);
    press.y += 8;
    set_plate(&press);
    set_blocks(&press, document->blocks);
    set_foot(&press);
    return pages;
}

void pages_destroy(struct pages *pages)
{
    if (pages == NULL)
        return;
    for (guint i = 0; i < pages->pages->len; i++)
        figure_destroy(g_ptr_array_index(pages->pages, i));
    g_ptr_array_free(pages->pages, TRUE);
    g_array_free(pages->bookmarks, TRUE);
    g_free(pages);
}
