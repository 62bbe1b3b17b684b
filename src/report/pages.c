/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "draw/letters.h"
#include "report/pages.h"

#define SIDE 42.0 /* px, margin left and right: 11 mm */
#define TOP 40.0
#define BOTTOM 38.0
#define GUTTER 32.0 /* between columns */
#define AIR 12.0    /* between rows of columns */
#define CELL_GAP 10.0
#define SECTION_START 130.0 /* px, of a section's heading, sentences and short table */
#define SHRINK 0.985        /* from one try to the next, until the first page fits */
#define SMALLEST 0.3
#define GROUPS_MOST 24 /* in two columns */

static const struct type plain = {.letter = LETTER_PLAIN, .ink = INK_TEXT};
static const struct type soft = {.letter = LETTER_PLAIN, .ink = INK_SOFT};
static const struct type small_soft = {.letter = LETTER_SMALL, .ink = INK_SOFT};

/** Where the setting has got to. */
struct press {
    const struct document *document;
    struct pages *pages;
    struct figure *page;
    const char *tag;      /* of the block that is set; NULL: none */
    bool endless;         /* a page of any length: nothing is turned */
    double left, measure; /* of a line */
    double y;             /* top of what comes next */
};

static void turn_page(struct press *press)
{
    struct pages *pages = press->pages;
    press->y = TOP;
    if (pages->count == PAGES_MOST) {
        pages->failed = true;
        return;
    }
    if (press->tag != NULL) /* a tag cannot reach over a page's end */
        figure_untag(press->page, press->tag);
    press->page = pages->pages[pages->count++] = figure_create(pages->width, pages->height);
    if (press->tag != NULL)
        figure_tag(press->page, press->tag);
}

/** Begin a new page when less than so much is left on this one. */
static bool need(struct press *press, double height)
{
    if (press->endless || press->y <= TOP || press->y + height <= press->pages->height - BOTTOM)
        return false;
    turn_page(press);
    return true;
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

static void set_rule(struct press *press, struct style style)
{
    figure_line(
        press->page, style, at(press->left, press->y), at(press->left + press->measure, press->y));
}

static void set_title(struct press *press, const struct block *block)
{
    const char *kind = block->text_count > 0 ? block->texts[0] : "";
    const double wide = text_width(LETTER_PLAIN, kind);
    figure_text(press->page, ending(LETTER_PLAIN, INK_SOFT),
        at(press->left + press->measure, press->y + 0.76 * letter_leading(LETTER_HEAD)), 0, kind);
    set_text(press, starting(LETTER_HEAD, INK_TEXT), press->left,
        fmax(press->measure - wide - GUTTER, 0.5 * press->measure), block->text);
    press->y += 5;
    set_rule(press, pen(INK_TEXT, 3));
    press->y += 8;
}

/** A heading keeps to what follows it. */
static void set_heading(struct press *press, const struct block *block)
{
    struct pages *pages = press->pages;
    const bool part = block->kind == BLOCK_PART;
    need(press, SECTION_START);
    if (!block->begins && press->y > TOP)
        press->y += part ? 20 : AIR;
    set_rule(press, pen(INK_TEXT, part ? 2.4 : 1.6));
    press->y += 4;
    if (pages->bookmark_count < BOOKMARKS_MOST && !press->endless)
        pages->bookmarks[pages->bookmark_count++] =
            (struct bookmark){part ? 1 : 2, block->text, pages->count - 1, press->y};
    set_text(press, starting(part ? LETTER_TITLE : LETTER_STRONG, INK_TEXT), press->left,
        press->measure, block->text);
    press->y += part ? 4 : 2;
}

static void set_paragraph(struct press *press, const struct block *block)
{
    const bool fine = block->kind == BLOCK_SMALL;
    if (fine) {
        press->y += AIR / 2;
        set_rule(press, pen(INK_GRID, 1));
        press->y += 4;
    }
    set_text(press, fine ? small_soft : plain, press->left, press->measure, block->text);
    press->y += 4;
}

static void set_verdict(struct press *press, const struct block *block)
{
    const double inset = 20;
    const double top = press->y + 4;
    press->y = top;
    set_text(press, starting(LETTER_HEAD, INK_TEXT), press->left + inset, press->measure - inset,
        block->text);
    for (size_t i = 0; i < block->text_count; i++)
        set_text(press, plain, press->left + inset, press->measure - inset, block->texts[i]);
    figure_box(press->page, surface(INK_TEXT), (struct box){press->left, top, 8, press->y - top});
    press->y += 6;
}

static void set_list(struct press *press, const struct block *block)
{
    const double indent = 20;
    for (size_t i = 0; i < block->text_count; i++) {
        char mark[24] = "–";
        if (block->kind == BLOCK_STEPS)
            snprintf(mark, sizeof mark, "%zu.", i + 1);
        need(press, letter_leading(LETTER_PLAIN) * 2);
        set_line(press, soft, press->left, press->y, mark, sizeof mark);
        set_text(press, plain, press->left + indent, press->measure - indent, block->texts[i]);
        press->y += 2;
    }
    press->y += 3;
}

/** Cells side by side; how high the row is. Draws only when told to. */
struct cell {
    const char *text;
    struct type type;
    double x, width;
    bool right; /* set against the right edge */
    const char *tag;
};

static double set_row(struct press *press, const struct cell *cells, size_t count, bool draw)
{
    double height = 0;
    for (size_t i = 0; i < count; i++) {
        const struct cell *cell = &cells[i];
        const double leading = letter_leading(cell->type.letter);
        struct type type = cell->type;
        double down = 0;
        size_t next;
        type.rtl = text_is_rtl(cell->text);
        const bool right = cell->right || type.rtl;
        type.anchor = right ? ANCHOR_END : ANCHOR_START;
        if (draw)
            figure_tag(press->page, cell->tag);
        for (const char *text = cell->text; *text != '\0'; text += next, down += leading) {
            const size_t length = text_line(type.letter, text, cell->width, &next);
            if (draw)
                set_line(press, type, right ? cell->x + cell->width : cell->x, press->y + down,
                    text, length);
        }
        if (draw)
            figure_untag(press->page, cell->tag);
        height = fmax(height, fmax(down, leading));
    }
    return height;
}

/** A name and its value, or a line to write it on; in two columns where the page is wide. */
static void set_facts(struct press *press, const struct block *block)
{
    const size_t columns = press->measure > 500 && press->endless ? 2 : 1;
    const double wide = (press->measure - GUTTER * (double)(columns - 1)) / (double)columns;
    double name = 0;
    for (size_t i = 0; i + 1 < block->text_count; i += 2)
        name = fmax(name, text_width(LETTER_PLAIN, block->texts[i]));
    name = fmin(name, 0.5 * wide);
    for (size_t i = 0; i + 1 < block->text_count; i += 2 * columns) {
        struct cell cells[4] = {{0}};
        size_t count = 0;
        bool open = false; /* something is to be filled in */
        for (size_t k = i; k < i + 2 * columns && k + 1 < block->text_count; k += 2) {
            const size_t column = count / 2;
            const double x = press->left + (double)column * (wide + GUTTER);
            const double value = x + name + CELL_GAP;
            open = open || block->texts[k + 1][0] == '\0';
            cells[count++] = (struct cell){block->texts[k], soft, x, name, false, "P"};
            cells[count++] =
                (struct cell){block->texts[k + 1], plain, value, x + wide - value, false, "P"};
        }
        const double height = set_row(press, cells, count, false);
        need(press, height + 4);
        press->y += open ? 5 : 0;
        set_row(press, cells, count, true);
        for (size_t k = 1; k < count; k += 2)
            if (cells[k].text[0] == '\0')
                figure_line(press->page, pen(INK_TEXT, 1), at(cells[k].x, press->y + height - 2),
                    at(cells[k].x + cells[k].width, press->y + height - 2));
        press->y += height + 1.5;
    }
    press->y += 4;
}

static double printed_width(const char *text)
{
    return text_width(LETTER_SMALL, text);
}

/** A row, −1 being the heads; on a new page below the heads again. */
static void set_table_row(
    struct press *press, const struct block *table, const double *widths, long row)
{
    const bool head = row < 0;
    const struct type type = {LETTER_SMALL, head ? INK_SOFT : INK_TEXT, ANCHOR_START, false, false};
    struct cell cells[TABLE_COLUMNS_MOST] = {{0}};
    double x = press->left;
    for (size_t i = 0; i < table->columns; x += widths[i++] + CELL_GAP)
        cells[i] = (struct cell){table_cell(table, row, i), type, x, widths[i],
            table->numeric >> i & 1, head ? "TH" : "TD"};
    const double height = set_row(press, cells, table->columns, false);
    if (need(press, height + 4) && !head)
        set_table_row(press, table, widths, -1);
    figure_tag(press->page, "TR");
    set_row(press, cells, table->columns, true);
    figure_untag(press->page, "TR");
    press->y += height + 2.5;
    figure_line(
        press->page, pen(INK_GRID, 1), at(press->left, press->y), at(x - CELL_GAP, press->y));
    press->y += 2.5;
}

static void set_table(struct press *press, const struct block *table)
{
    double widths[TABLE_COLUMNS_MOST];
    double wide = 0;
    table_widths(table, printed_width, CELL_GAP, press->measure, widths);
    for (size_t i = 0; i < table->columns; i++)
        wide += widths[i] + CELL_GAP;
    need(press, 80);
    if (table->text[0] != '\0')
        set_text(press, small_soft, press->left, press->measure, table->text);
    press->y += 2;
    figure_line(press->page, pen(INK_TEXT, 1.6), at(press->left, press->y),
        at(press->left + wide - CELL_GAP, press->y));
    press->y += 3;
    for (long row = -1; row < (long)table_rows(table); row++)
        set_table_row(press, table, widths, row);
    press->y += 6;
}

static void set_figure(struct press *press, const struct block *block)
{
    const struct figure *figure = block->figure;
    const struct type title = starting(LETTER_STRONG, INK_TEXT);
    need(press, figure->height + 75); /* and a title of up to three lines */
    if (!block->begins || !block->aside)
        press->y += AIR;
    if (figure->height > 90) { /* a small one explains itself */
        set_rule(press, pen(INK_TEXT, 1.6));
        press->y += 4;
        set_text(press, title, press->left, press->measure, buffer_text(&figure->title));
        press->y += 2;
    }
    figure_place(press->page, figure, at(press->left, press->y), 1);
    press->y += figure->height + 4;
}

/** How a block is set, and what it is for those who cannot see it. */
static const struct {
    void (*set)(struct press *press, const struct block *block);
    const char *tag;
} setters[BLOCK_KINDS] = {
    [BLOCK_TITLE] = {set_title, "H1"},
    [BLOCK_PART] = {set_heading, "H2"},
    [BLOCK_SECTION] = {set_heading, "H3"},
    [BLOCK_PARAGRAPH] = {set_paragraph, "P"},
    [BLOCK_FREE_TEXT] = {set_paragraph, "P"},
    [BLOCK_SMALL] = {set_paragraph, "P"},
    [BLOCK_VERDICT] = {set_verdict, "P"},
    [BLOCK_LIST] = {set_list, "Sect"},
    [BLOCK_STEPS] = {set_list, "Sect"},
    [BLOCK_FACTS] = {set_facts, "Sect"},
    [BLOCK_TABLE] = {set_table, "Table"},
    [BLOCK_FIGURE] = {set_figure, "Figure"},
};

static void set_block(struct press *press, const struct block *block)
{
    const bool over = block->kind == BLOCK_SECTION && press->endless; /* no part stands over it */
    figure_tag(press->page, press->tag = over ? "H2" : setters[block->kind].tag);
    setters[block->kind].set(press, block);
    figure_untag(press->page, press->tag);
    press->tag = NULL;
}

/** After how many of them the first column ends, so that both together are as short as can be. */
static size_t column_end(struct figure *const *groups, size_t count)
{
    double total = 0;
    double first = 0;
    double least = INFINITY;
    size_t end = count;
    for (size_t i = 0; i < count; i++)
        total += groups[i]->height;
    for (size_t i = 0; i < count; i++) {
        first += groups[i]->height;
        if (fmax(first, total - first) < least) {
            least = fmax(first, total - first);
            end = i + 1;
        }
    }
    return end;
}

/** Blocks from one on that stand in two columns. Value: the block behind them. */
static size_t set_aside(struct press *press, size_t first)
{
    const struct document *document = press->document;
    const struct press across = *press;
    struct figure *groups[GROUPS_MOST];
    size_t count = 0;
    size_t i = first;
    press->left = 0;
    press->measure = (across.measure - GUTTER) / 2;
    for (; i < document->block_count && document->blocks[i].aside; i++) {
        if (i == first || (document->blocks[i].begins && count < GROUPS_MOST)) {
            press->page = groups[count++] = figure_create(press->measure, 0);
            press->y = 0;
        }
        set_block(press, &document->blocks[i]);
        if (!groups[count - 1]->failed)
            groups[count - 1]->height = press->y + AIR;
    }
    const size_t end = column_end(groups, count);
    double ends[2] = {across.y, across.y};
    *press = across;
    for (size_t k = 0; k < count; k++) {
        const size_t column = k >= end;
        const double x = press->left + (double)column * (press->measure + GUTTER) / 2;
        figure_place(press->page, groups[k], at(x, ends[column]), 1);
        ends[column] += groups[k]->height;
        figure_destroy(groups[k]);
    }
    press->y = fmax(ends[0], ends[1]) - AIR / 2;
    return i;
}

static void set_blocks(struct press *press, size_t from, size_t to)
{
    for (size_t i = from; i < to;) {
        if (press->document->blocks[i].aside && press->endless)
            i = set_aside(press, i);
        else
            set_block(press, &press->document->blocks[i++]);
    }
}

static void size_pages(struct pages *pages, enum paper paper)
{
    pages->width = paper == PAPER_A4 ? 210 / 25.4 * 96 : 8.5 * 96;
    pages->height = paper == PAPER_A4 ? 297 / 25.4 * 96 : 11.0 * 96;
}

/** The blocks of the first page, set on one as long as they need, wider the smaller it will be. */
static struct figure *first_page(
    const struct document *document, struct pages *pages, double scale, double *end)
{
    struct press press = {.document = document,
        .pages = pages,
        .page = figure_create(pages->width, pages->height),
        .endless = true,
        .left = SIDE / scale,
        .measure = (pages->width - 2 * SIDE) / scale,
        .y = TOP / scale};
    set_blocks(&press, 0, document_first_page(document));
    *end = press.y * scale;
    return press.page;
}

/** The first page as large as it fits. */
static void fit_first(const struct document *document, struct pages *pages)
{
    struct figure *page;
    double end;
    pages->scale = 1;
    while (page = first_page(document, pages, pages->scale, &end),
        end > pages->height - BOTTOM && pages->scale >= SMALLEST) {
        figure_destroy(page);
        pages->scale *= SHRINK;
    }
    pages->pages[pages->count++] = figure_create(pages->width, pages->height);
    figure_place(pages->pages[0], page, at(0, 0), pages->scale);
    figure_destroy(page);
}

struct figure *pages_sheet(const struct document *document)
{
    struct pages pages = {0};
    struct buffer said = {0};
    double end;
    size_pages(&pages, PAPER_A4);
    struct figure *sheet = first_page(document, &pages, 1, &end);
    sheet->height = end + BOTTOM / 2;
    sheet->failed = sheet->failed || document->failed;
    for (size_t i = 0; i < document->block_count; i++)
        if (document->blocks[i].figure != NULL) {
            const struct figure *part = document->blocks[i].figure;
            buffer_add(&said, buffer_text(&part->title));
            buffer_add(&said, ". ");
            buffer_add(&said, buffer_text(&part->description));
            buffer_add(&said, " ");
        }
    figure_describe(sheet, buffer_text(&document->title), buffer_text(&said));
    buffer_finish(&said);
    return sheet;
}

static void set_feet(const struct press *press)
{
    const struct pages *pages = press->pages;
    const double y = pages->height - 23;
    for (size_t i = 1; i < pages->count; i++) {
        char number[64];
        snprintf(number, sizeof number, "page %zu of %zu", i + 1, pages->count);
        figure_text(pages->pages[i], small_soft, at(SIDE, y),
            press->measure - text_width(LETTER_SMALL, number) - 20,
            buffer_text(&press->document->foot));
        figure_text(pages->pages[i], ending(LETTER_SMALL, INK_SOFT), at(SIDE + press->measure, y),
            0, number);
    }
}

struct pages *pages_create(const struct document *document, enum paper paper)
{
    struct pages *pages = document->failed ? NULL : calloc(1, sizeof *pages);
    const size_t first = document_first_page(document);
    if (pages == NULL)
        return NULL;
    size_pages(pages, paper);
    fit_first(document, pages);
    struct press press = {
        .document = document, .pages = pages, .left = SIDE, .measure = pages->width - 2 * SIDE};
    if (first < document->block_count)
        turn_page(&press);
    set_blocks(&press, first, document->block_count);
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
