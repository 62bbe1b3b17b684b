/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "draw/letters.h"
#include "report/pages.h"
#include "text/columns.h"

#define SIDE 54.0 /* pt, margin left and right */
#define TOP 54.0
#define BOTTOM 62.0
#define FIGURE_SHARE 0.68 /* of the text's width; the caption stands beside it */
#define FIGURE_GAP 16.0
#define CELL_GAP 12.0
#define SECTION_START 150.0 /* pt, of a section's heading, sentences and short table */
#define FOLD_GAP 28.0       /* between the parts of a folded table */
#define PLATE_COLUMNS 3
#define COLUMNS_MOST 8 /* of a table */

static const struct type plain = {.letter = LETTER_PLAIN, .ink = INK_TEXT};
static const struct type plain_soft = {.letter = LETTER_PLAIN, .ink = INK_SOFT};
static const struct type small = {.letter = LETTER_SMALL, .ink = INK_TEXT};
static const struct type small_soft = {.letter = LETTER_SMALL, .ink = INK_SOFT};
static const struct type small_strong = {.letter = LETTER_SMALL_STRONG, .ink = INK_TEXT};

/** Where the setting has got to. */
struct press {
    const struct document *document;
    struct pages *pages;
    struct figure *page;
    double measure; /* of a line */
    double y;       /* top of what comes next */
};

static void turn_page(struct press *press)
{
    struct pages *pages = press->pages;
    press->y = TOP;
    if (pages->count == PAGES_MOST) {
        pages->failed = true;
        return;
    }
    press->page = pages->pages[pages->count++] = figure_create(pages->width, pages->height);
}

/** Begin a new page when less than so much is left on this one. */
static bool need(struct press *press, double height)
{
    if (press->y + height <= press->pages->height - BOTTOM || press->y <= TOP)
        return false;
    turn_page(press);
    return true;
}

static void space(struct press *press, double height)
{
    if (press->y > TOP)
        press->y += height;
}

/** So many bytes of a text as one line with its top at y. */
static void set_line(
    struct press *press, struct type type, double x, double y, const char *text, size_t length)
{
    struct buffer line = {0};
    buffer_add_bytes(&line, text, length);
    figure_text(press->page, type, (struct spot){x, y + 0.76 * letter_leading(type.letter)}, 0,
        buffer_text(&line));
    buffer_finish(&line);
}

/** Lines of a text from here on, over pages where need be, from the side from which they are read. */
static void set_text(
    struct press *press, struct type type, double x, double width, const char *text)
{
    const double leading = letter_leading(type.letter);
    size_t next;
    type.rtl = text_is_rtl(text);
    type.anchor = type.rtl ? ANCHOR_END : ANCHOR_START;
    for (int i = 0; *text != '\0'; text += next, i++) {
        size_t after;
        const size_t length = text_line(type.letter, text, width, &next);
        const char *following = text + next;
        (void)text_line(type.letter, following, width, &after);
        /* no first or last line of a paragraph alone on a page */
        const bool together = *following != '\0' && (i == 0 || following[after] == '\0');
        need(press, (together ? 2 : 1) * leading);
        set_line(press, type, type.rtl ? x + width : x, press->y, text, length);
        press->y += leading;
    }
}

/** A heading keeps to what follows it: a part's to its first lines, or to the heading of its first
 *  section, and a section's to its sentences and a short table. */
static void set_heading(struct press *press, const struct block *block, const struct block *next)
{
    struct pages *pages = press->pages;
    const bool part = block->level == 1;
    const bool section_next = next != NULL && next->kind == BLOCK_HEADING;
    need(press, !part ? SECTION_START : section_next ? SECTION_START + 40 : 130);
    space(press, part ? 24 : 12);
    if (part) {
        figure_line(press->page, (struct style){.line = INK_TEXT, .width = 1.2},
            (struct spot){SIDE, press->y}, (struct spot){SIDE + press->measure, press->y});
        press->y += 6;
    }
    if (pages->bookmark_count < BOOKMARKS_MOST)
        pages->bookmarks[pages->bookmark_count++] =
            (struct bookmark){block->level, block->text, pages->count - 1, press->y};
    set_text(press, (struct type){.letter = part ? LETTER_TITLE : LETTER_STRONG, .ink = INK_TEXT},
        SIDE, press->measure, block->text);
    press->y += part ? 4 : 2;
}

static void set_list(struct press *press, const struct block *block)
{
    const double indent = 18;
    for (size_t i = 0; i < block->text_count; i++) {
        char mark[24] = "–";
        if (block->ordered)
            snprintf(mark, sizeof mark, "%zu.", i + 1);
        need(press, letter_leading(LETTER_PLAIN) * 2);
        set_line(press, plain_soft, SIDE, press->y, mark, sizeof mark);
        set_text(press, plain, SIDE + indent, press->measure - indent, block->texts[i]);
        press->y += 2;
    }
    press->y += 4;
}

/** Cells side by side; how high the row is. Draws only when told to. */
struct cell {
    const char *text;
    struct type type;
    double x, width;
    bool right; /* set against the right edge */
};

static double set_row(struct press *press, const struct cell *cells, size_t count, bool draw)
{
    double height = 0;
    for (size_t i = 0; i < count; i++) {
        const struct cell *cell = &cells[i];
        const double leading = letter_leading(cell->type.letter);
        const double x = cell->right ? cell->x + cell->width : cell->x;
        struct type type = cell->type;
        double down = 0;
        size_t next;
        type.rtl = text_is_rtl(cell->text);
        type.anchor = cell->right ? ANCHOR_END : ANCHOR_START;
        for (const char *text = cell->text; *text != '\0'; text += next, down += leading) {
            const size_t length = text_line(type.letter, text, cell->width + 0.5, &next);
            if (draw)
                set_line(press, type, x, press->y + down, text, length);
        }
        height = fmax(height, fmax(down, leading));
    }
    return height;
}

static void set_facts(struct press *press, const struct block *block)
{
    double name = 0;
    for (size_t i = 0; i + 1 < block->text_count; i += 2)
        name = fmax(name, text_width(LETTER_PLAIN, block->texts[i]));
    name = fmin(name, 0.4 * press->measure);
    for (size_t i = 0; i + 1 < block->text_count; i += 2) {
        const double x = SIDE + name + CELL_GAP;
        const struct cell cells[2] = {{block->texts[i], plain_soft, SIDE, name, false},
            {block->texts[i + 1], plain, x, SIDE + press->measure - x, false}};
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
    double widths[COLUMNS_MOST];
    double width;       /* of one part */
    size_t folds, rows; /* parts, rows in each */
};

static struct layout layout_of(const struct press *press, const struct block *table, double left)
{
    const double gaps = CELL_GAP * (double)(table->columns - 1);
    struct layout layout = {.table = table, .left = left, .width = gaps};
    for (size_t i = 0; i < table->columns; i++)
        for (long row = -1; row < (long)table_rows(table); row++)
            layout.widths[i] =
                fmax(layout.widths[i], text_width(row < 0 ? LETTER_SMALL_STRONG : LETTER_SMALL,
                                           table_cell(table, row, i)));
    columns_fit(layout.widths, table->columns, press->measure - gaps - 1);
    for (size_t i = 0; i < table->columns; i++)
        layout.width += layout.widths[i];
    layout.folds = table_folds(table, layout.width, FOLD_GAP, SIDE + press->measure - left);
    layout.rows = (table_rows(table) + layout.folds - 1) / layout.folds;
    return layout;
}

/** One row across all parts; row −1 is the head. Its cells when drawn, else the rule under it.
 *  Value: its height. */
enum row_part { ROW_MEASURE, ROW_CELLS, ROW_RULE };

static double layout_row(
    struct press *press, const struct layout *layout, long row, enum row_part part)
{
    const struct block *table = layout->table;
    const struct style rule = {.line = row < 0 ? INK_SOFT : INK_GRID, .width = row < 0 ? 0.8 : 0.5};
    double height = 0;
    for (size_t fold = 0; fold < layout->folds && row < (long)layout->rows; fold++) {
        const long at = row < 0 ? row : row + (long)(fold * layout->rows);
        const double left = layout->left + (double)fold * (layout->width + FOLD_GAP);
        struct cell cells[COLUMNS_MOST];
        double x = left;
        if (at >= (long)table_rows(table))
            break;
        for (size_t i = 0; i < table->columns; x += layout->widths[i++] + CELL_GAP)
            cells[i] = (struct cell){table_cell(table, at, i), row < 0 ? small_strong : small, x,
                layout->widths[i], table->numeric >> i & 1};
        if (part == ROW_RULE)
            figure_line(press->page, rule, (struct spot){left, press->y},
                (struct spot){left + layout->width, press->y});
        else
            height = fmax(height, set_row(press, cells, table->columns, part == ROW_CELLS));
    }
    return height;
}

/** A row of tables that stand side by side. Value: its height. */
static double rows_beside(
    struct press *press, const struct layout *layouts, size_t count, long row, enum row_part part)
{
    double height = 0;
    for (size_t i = 0; i < count; i++)
        height = fmax(height, layout_row(press, &layouts[i], row, part));
    return height;
}

static void draw_row(struct press *press, const struct layout *layouts, size_t count, long row)
{
    press->y += rows_beside(press, layouts, count, row, ROW_CELLS) + (row < 0 ? 2 : 1.5);
    rows_beside(press, layouts, count, row, ROW_RULE);
    press->y += row < 0 ? 2.5 : 2;
}

/** A table, and beside it the one that follows at once where both are narrow. Value: how many. */
static size_t set_tables(struct press *press, const struct block *table, const struct block *next)
{
    struct layout layouts[2] = {layout_of(press, table, SIDE)};
    const double left = SIDE + layouts[0].width + FOLD_GAP;
    size_t count = 1;
    size_t rows = layouts[0].rows;
    if (next && next->kind == BLOCK_TABLE && table->text[0] == '\0' && next->text[0] == '\0' &&
        layouts[0].folds == 1) {
        layouts[1] = layout_of(press, next, left);
        count += left + layouts[1].width <= SIDE + press->measure;
    }
    if (count > 1 && layouts[1].rows > rows)
        rows = layouts[1].rows;
    need(press, 80);
    space(press, 4);
    if (table->text[0] != '\0') {
        set_text(press, small_soft, SIDE, press->measure, table->text);
        press->y += 2;
    }
    draw_row(press, layouts, count, -1);
    for (long row = 0; row < (long)rows; row++) {
        if (need(press, rows_beside(press, layouts, count, row, ROW_MEASURE) + 4))
            draw_row(press, layouts, count, -1);
        draw_row(press, layouts, count, row);
    }
    press->y += 8;
    return count;
}

static void set_figure(struct press *press, const struct block *block)
{
    const struct figure *figure = block->figure;
    const double page = press->pages->height - BOTTOM - TOP;
    const double wide = FIGURE_SHARE * press->measure;
    const double scale = fmin(wide / figure->width, page / figure->height);
    const double height = figure->height * scale;
    const double x = SIDE + wide + FIGURE_GAP;
    struct buffer title = {0};
    buffer_addf(&title, "%u. ", block->number);
    buffer_add(&title, buffer_text(&figure->title));
    const struct cell name = {
        buffer_text(&title), small_strong, x, press->measure - wide - FIGURE_GAP, false};
    const struct cell said = {buffer_text(&figure->description), small_soft, x, name.width, false};
    space(press, 8);
    const double name_height = set_row(press, &name, 1, false);
    const double said_height = set_row(press, &said, 1, false);
    need(press, fmin(fmax(height, name_height + said_height), page));
    figure_place(press->page, figure, (struct spot){SIDE, press->y}, scale);
    const double top = press->y;
    set_row(press, &name, 1, true);
    press->y += name_height + 2;
    set_row(press, &said, 1, true);
    press->y = fmax(top + height, press->y + said_height) + 14;
    buffer_finish(&title);
}

/** The title block: boxes of a name and a value, as on a workshop drawing. */
static void set_plate(struct press *press, const struct block *plate)
{
    const struct style frame = {.line = INK_SOFT, .width = 0.7};
    const double width = press->measure / PLATE_COLUMNS;
    for (size_t i = 0; i + 1 < plate->text_count; i += 2 * PLATE_COLUMNS) {
        struct cell names[PLATE_COLUMNS];
        struct cell values[PLATE_COLUMNS];
        size_t count = 0;
        for (; count < PLATE_COLUMNS && i + 2 * count + 1 < plate->text_count; count++) {
            const double x = SIDE + (double)count * width + 7;
            char **texts = plate->texts + i + 2 * count;
            names[count] = (struct cell){texts[0], small_soft, x, width - 14, false};
            values[count] = (struct cell){texts[1], plain, x, width - 14, false};
        }
        const double height = set_row(press, values, count, false) + 20;
        need(press, height);
        for (size_t j = 0; j < count; j++)
            figure_box(press->page, frame,
                (struct box){SIDE + (double)j * width, press->y, width, height});
        press->y += 3;
        set_row(press, names, count, true);
        press->y += 12;
        set_row(press, values, count, true);
        press->y += height - 15;
    }
    press->y += 12;
}

/** Value: how many blocks were set. */
static size_t set_block(struct press *press, const struct block *block, const struct block *next)
{
    switch (block->kind) {
    case BLOCK_HEADING:
        set_heading(press, block, next);
        break;
    case BLOCK_PARAGRAPH:
    case BLOCK_FREE_TEXT:
        set_text(press, plain, SIDE, press->measure, block->text);
        press->y += 5;
        break;
    case BLOCK_VERDICT:
        set_text(press, (struct type){.letter = LETTER_TITLE, .ink = INK_TEXT}, SIDE,
            press->measure, block->text);
        press->y += 10;
        break;
    case BLOCK_LIST:
        set_list(press, block);
        break;
    case BLOCK_FACTS:
        set_facts(press, block);
        break;
    case BLOCK_FIGURE:
        set_figure(press, block);
        break;
    case BLOCK_TABLE:
        return set_tables(press, block, next);
    case BLOCK_KINDS:
        break;
    }
    return 1;
}

static void set_feet(const struct press *press)
{
    const struct pages *pages = press->pages;
    const double y = pages->height - 34;
    for (size_t i = 0; i < pages->count; i++) {
        const struct type right = {LETTER_SMALL, INK_SOFT, ANCHOR_END, false};
        char number[64];
        snprintf(number, sizeof number, "page %zu of %zu", i + 1, pages->count);
        figure_text(pages->pages[i], small_soft, (struct spot){SIDE, y},
            press->measure - text_width(LETTER_SMALL, number) - 20,
            buffer_text(&press->document->foot));
        figure_text(pages->pages[i], right, (struct spot){SIDE + press->measure, y}, 0, number);
    }
}

struct pages *pages_create(const struct document *document, enum paper paper)
{
    struct pages *pages = document->failed ? NULL : calloc(1, sizeof *pages);
    if (pages == NULL)
        return NULL;
    pages->width = paper == PAPER_A4 ? 210 * 72 / 25.4 : 8.5 * 72;
    pages->height = paper == PAPER_A4 ? 297 * 72 / 25.4 : 11.0 * 72;
    struct press press = {.document = document, .pages = pages, .measure = pages->width - 2 * SIDE};
    turn_page(&press);
    set_text(&press, (struct type){.letter = LETTER_HEAD, .ink = INK_TEXT}, SIDE, press.measure,
        buffer_text(&document->title));
    press.y += 8;
    set_plate(&press, &document->plate);
    for (size_t i = 0; i < document->block_count;)
        i += set_block(&press, &document->blocks[i],
            i + 1 < document->block_count ? &document->blocks[i + 1] : NULL);
    set_feet(&press);
    for (size_t i = 0; i < pages->count; i++)
        pages->failed = pages->failed || pages->pages[i] == NULL || pages->pages[i]->failed;
    return pages;
}

void pages_destroy(struct pages *pages)
{
    for (size_t i = 0; pages != NULL && i < pages->count; i++)
        figure_destroy(pages->pages[i]);
    free(pages);
}
