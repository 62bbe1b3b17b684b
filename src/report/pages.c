/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "draw/letters.h"
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

static const struct type plain = {.letter = LETTER_PLAIN, .ink = INK_TEXT};
static const struct type plain_soft = {.letter = LETTER_PLAIN, .ink = INK_SOFT};
static const struct type small = {.letter = LETTER_SMALL, .ink = INK_TEXT};
static const struct type small_soft = {.letter = LETTER_SMALL, .ink = INK_SOFT};
static const struct type small_strong = {.letter = LETTER_SMALL_STRONG, .ink = INK_TEXT};

/** Where the setting has got to. */
struct press {
    const struct document *document;
    size_t taken; /* blocks of it */
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

/** The block that comes next; NULL when there is none. */
static const struct block *next_block(const struct press *press)
{
    const struct document *document = press->document;
    return press->taken < document->block_count ? &document->blocks[press->taken] : NULL;
}

/** So many bytes of a text as one line with its top at y. */
static void set_line(
    struct press *press, struct type type, double x, double y, const char *text, size_t length)
{
    struct buffer line = {0};
    buffer_add_bytes(&line, text, length);
    figure_text(
        press->page, type, at(x, y + 0.76 * letter_leading(type.letter)), 0, buffer_text(&line));
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
static void set_heading(struct press *press, const struct block *block)
{
    struct pages *pages = press->pages;
    const bool part = block->kind == BLOCK_PART;
    const struct block *next = next_block(press);
    const bool section_next = next != NULL && next->kind == BLOCK_SECTION;
    need(press, !part ? SECTION_START : section_next ? SECTION_START + 40 : 130);
    space(press, part ? 24 : 12);
    if (part) {
        figure_line(press->page, pen(INK_TEXT, 1.2), at(SIDE, press->y),
            at(SIDE + press->measure, press->y));
        press->y += 6;
    }
    if (pages->bookmark_count < BOOKMARKS_MOST)
        pages->bookmarks[pages->bookmark_count++] =
            (struct bookmark){part ? 1 : 2, block->text, pages->count - 1, press->y};
    set_text(press, starting(part ? LETTER_TITLE : LETTER_STRONG, INK_TEXT), SIDE, press->measure,
        block->text);
    press->y += part ? 4 : 2;
}

static void set_paragraph(struct press *press, const struct block *block)
{
    set_text(press, plain, SIDE, press->measure, block->text);
    press->y += 5;
}

static void set_verdict(struct press *press, const struct block *block)
{
    set_text(press, starting(LETTER_TITLE, INK_TEXT), SIDE, press->measure, block->text);
    press->y += 10;
}

static void set_list(struct press *press, const struct block *block)
{
    const double indent = 18;
    for (size_t i = 0; i < block->text_count; i++) {
        char mark[24] = "–";
        if (block->kind == BLOCK_STEPS)
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

static double printed_width(const char *text, bool head)
{
    return text_width(head ? LETTER_SMALL_STRONG : LETTER_SMALL, text);
}

/** Tables side by side, each with its left edge. */
struct beside {
    struct table_layout layout;
    double left;
};

static struct beside lay_out(const struct press *press, const struct block *table, double left)
{
    return (struct beside){
        .layout = table_lay_out(table, &(struct table_room){printed_width, CELL_GAP, FOLD_GAP,
                                           press->measure - 1, SIDE + press->measure - left}),
        .left = left};
}

/** A row across all parts of all tables, −1 being the heads; on a new page below the heads again. */
static void set_table_row(struct press *press, const struct beside *tables, size_t count, long row)
{
    const struct type type = row < 0 ? small_strong : small;
    const struct style rule = pen(row < 0 ? INK_SOFT : INK_GRID, row < 0 ? 0.8 : 0.5);
    struct cell cells[2 * TABLE_FOLDS_MOST * TABLE_COLUMNS_MOST] = {0};
    double lines[2 * TABLE_FOLDS_MOST][2]; /* where the rule below begins and ends */
    size_t cell_count = 0;
    size_t line_count = 0;
    for (size_t i = 0; i < count; i++) {
        const struct table_layout *layout = &tables[i].layout;
        long at;
        for (size_t fold = 0; fold < layout->folds; fold++) {
            double x = tables[i].left + (double)fold * (layout->width + FOLD_GAP);
            if (!table_row_at(layout, row, fold, &at))
                break;
            lines[line_count][0] = x;
            lines[line_count++][1] = x + layout->width;
            for (size_t k = 0; k < layout->table->columns; x += layout->widths[k++] + CELL_GAP)
                cells[cell_count++] = (struct cell){table_cell(layout->table, at, k), type, x,
                    layout->widths[k], layout->table->numeric >> k & 1};
        }
    }
    const double height = set_row(press, cells, cell_count, false);
    if (row >= 0 && need(press, height + 4))
        set_table_row(press, tables, count, -1);
    set_row(press, cells, cell_count, true);
    press->y += height + (row < 0 ? 2 : 1.5);
    for (size_t i = 0; i < line_count; i++)
        figure_line(press->page, rule, at(lines[i][0], press->y), at(lines[i][1], press->y));
    press->y += row < 0 ? 2.5 : 2;
}

/** A table, and beside it the one that follows at once where both are narrow. */
static void set_tables(struct press *press, const struct block *table)
{
    const struct block *next = next_block(press);
    struct beside tables[2] = {lay_out(press, table, SIDE)};
    const double left = SIDE + tables[0].layout.width + FOLD_GAP;
    size_t count = 1;
    size_t rows = tables[0].layout.rows;
    if (next != NULL && next->kind == BLOCK_TABLE && table->text[0] == '\0' &&
        next->text[0] == '\0' && tables[0].layout.folds == 1) {
        tables[1] = lay_out(press, next, left);
        count += left + tables[1].layout.width <= SIDE + press->measure;
        press->taken += count - 1;
    }
    if (count > 1 && tables[1].layout.rows > rows)
        rows = tables[1].layout.rows;
    need(press, 80);
    space(press, 4);
    if (table->text[0] != '\0') {
        set_text(press, small_soft, SIDE, press->measure, table->text);
        press->y += 2;
    }
    for (long row = -1; row < (long)rows; row++)
        set_table_row(press, tables, count, row);
    press->y += 8;
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
    figure_place(press->page, figure, at(SIDE, press->y), scale);
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
    const struct style frame = pen(INK_SOFT, 0.7);
    const double width = press->measure / PLATE_COLUMNS;
    for (size_t i = 0; i + 1 < plate->text_count; i += (size_t)2 * PLATE_COLUMNS) {
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

static void (*const setters[BLOCK_KINDS])(struct press *press, const struct block *block) = {
    [BLOCK_PLATE] = set_plate,
    [BLOCK_PART] = set_heading,
    [BLOCK_SECTION] = set_heading,
    [BLOCK_PARAGRAPH] = set_paragraph,
    [BLOCK_FREE_TEXT] = set_paragraph,
    [BLOCK_VERDICT] = set_verdict,
    [BLOCK_LIST] = set_list,
    [BLOCK_STEPS] = set_list,
    [BLOCK_FACTS] = set_facts,
    [BLOCK_TABLE] = set_tables,
    [BLOCK_FIGURE] = set_figure,
};

static void set_feet(const struct press *press)
{
    const struct pages *pages = press->pages;
    const double y = pages->height - 34;
    for (size_t i = 0; i < pages->count; i++) {
        const struct type right = ending(LETTER_SMALL, INK_SOFT);
        char number[64];
        snprintf(number, sizeof number, "page %zu of %zu", i + 1, pages->count);
        figure_text(pages->pages[i], small_soft, at(SIDE, y),
            press->measure - text_width(LETTER_SMALL, number) - 20,
            buffer_text(&press->document->foot));
        figure_text(pages->pages[i], right, at(SIDE + press->measure, y), 0, number);
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
    set_text(&press, starting(LETTER_HEAD, INK_TEXT), SIDE, press.measure,
        buffer_text(&document->title));
    press.y += 8;
    for (const struct block *block; (block = next_block(&press)) != NULL;) {
        press.taken++;
        setters[block->kind](&press, block);
    }
    set_feet(&press);
    for (size_t i = 0; i < pages->count; i++)
        pages->failed = pages->failed || pages->pages[i]->failed;
    return pages;
}

void pages_destroy(struct pages *pages)
{
    for (size_t i = 0; pages != NULL && i < pages->count; i++)
        figure_destroy(pages->pages[i]);
    free(pages);
}
