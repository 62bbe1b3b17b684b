/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "report/document.h"
#include "text/columns.h"
#include "text/words.h"

/** A document as plain text in 80 columns. */

#define WIDTH 80u
#define COLUMN_GAP 2u
#define COLUMNS_MOST 24 /* of a table with its folded parts */

/** As the wrapper takes it: names without isolate marks, no-break spaces as glue. */
static void ready(struct buffer *out, const char *text)
{
    struct buffer bare = {0};
    text_isolates(&bare, text, "", "");
    const char *rest = buffer_text(&bare);
    for (const char *at; (at = strstr(rest, "\xc2\xa0")) != NULL; rest = at + 2) {
        buffer_add_bytes(out, rest, (size_t)(at - rest));
        buffer_add(out, WORDS_GLUE);
    }
    buffer_add(out, rest);
    buffer_finish(&bare);
}

static void paragraph(struct buffer *out, size_t width, const char *lead, const char *text)
{
    const struct words words = {.width = (unsigned)width, .utf8 = true};
    struct buffer lines = {0};
    struct buffer glued = {0};
    ready(&glued, text);
    words_wrap(&words, &lines, (unsigned)width, lead, buffer_text(&glued));
    buffer_add(out, buffer_text(&lines));
    if (lines.length == 0 || lines.bytes[lines.length - 1] != '\n')
        buffer_add(out, "\n");
    buffer_finish(&lines);
    buffer_finish(&glued);
}

static void repeat(struct buffer *out, size_t count, const char *what)
{
    for (size_t i = 0; i < count; i++)
        buffer_add(out, what);
}

/** Columns of the bytes of one line. */
static size_t line_columns(const char *line, size_t length)
{
    struct buffer text = {0};
    buffer_add_bytes(&text, line, length);
    const size_t columns = words_columns(buffer_text(&text));
    buffer_finish(&text);
    return columns;
}

static void underlined(struct buffer *out, const char *text, const char *line)
{
    struct buffer lines = {0};
    size_t longest = 0;
    paragraph(&lines, WIDTH, "", text);
    for (const char *at = buffer_text(&lines), *end; (end = strchr(at, '\n')) != NULL;
         at = end + 1) {
        const size_t columns = line_columns(at, (size_t)(end - at));
        longest = columns > longest ? columns : longest;
    }
    buffer_add(out, buffer_text(&lines));
    repeat(out, longest, line);
    buffer_add(out, "\n");
    buffer_finish(&lines);
}

static void trim_line(struct buffer *out)
{
    while (out->length > 0 && out->bytes[out->length - 1] == ' ')
        out->bytes[--out->length] = '\0';
    buffer_add(out, "\n");
}

/** What stands side by side: each cell wrapped to its column. */
struct row {
    const char *cells[COLUMNS_MOST];
    size_t widths[COLUMNS_MOST];
    size_t count;
    unsigned numeric;
};

static void write_row(struct buffer *out, const struct row *row)
{
    struct buffer wrapped[COLUMNS_MOST] = {{0}};
    const char *rest[COLUMNS_MOST];
    bool more = true;
    for (size_t i = 0; i < row->count; i++) {
        paragraph(&wrapped[i], row->widths[i], "", row->cells[i]);
        rest[i] = buffer_text(&wrapped[i]);
    }
    while (more) {
        more = false;
        for (size_t i = 0; i < row->count; i++) {
            const size_t length = strcspn(rest[i], "\n");
            const size_t columns = line_columns(rest[i], length);
            const size_t lack = row->widths[i] > columns ? row->widths[i] - columns : 0;
            const bool numeric = row->numeric >> i & 1;
            repeat(out, numeric ? lack : 0, " ");
            buffer_add_bytes(out, rest[i], length);
            repeat(out, (numeric ? 0 : lack) + (i + 1 < row->count ? COLUMN_GAP : 0), " ");
            rest[i] += length + (rest[i][length] == '\n');
            more = more || *rest[i] != '\0';
        }
        trim_line(out);
    }
    for (size_t i = 0; i < row->count; i++)
        buffer_finish(&wrapped[i]);
}

static size_t bare_columns(const char *text)
{
    struct buffer bare = {0};
    text_isolates(&bare, text, "", "");
    const size_t columns = words_columns(buffer_text(&bare));
    buffer_finish(&bare);
    return columns;
}

/** A table's parts side by side when it is long and narrow. Returned: its columns. Value: rows of a
 *  part. */
static size_t lay_out(const struct block *table, struct row *row)
{
    const size_t count = table->columns;
    double wanted[COLUMNS_MOST] = {0};
    double sum = COLUMN_GAP * (double)(count - 1);
    for (size_t i = 0; i < count; i++)
        for (long line = -1; line < (long)table_rows(table); line++)
            wanted[i] = fmax(wanted[i], (double)bare_columns(table_cell(table, line, i)));
    columns_fit(wanted, count, WIDTH - sum);
    for (size_t i = 0; i < count; i++)
        sum += wanted[i];
    const size_t folds = table_folds(table, sum, COLUMN_GAP, WIDTH);
    row->count = count * folds;
    for (size_t i = 0; i < row->count; i++) {
        row->widths[i] = (size_t)fmax(1, floor(wanted[i % count]));
        row->numeric |= (table->numeric >> (i % count) & 1) << i;
    }
    return (table_rows(table) + folds - 1) / folds;
}

static void table(struct buffer *out, const struct block *block)
{
    struct row row = {.count = 0};
    const size_t rows = lay_out(block, &row);
    if (block->text[0] != '\0')
        paragraph(out, WIDTH, "", block->text);
    for (long line = -1; line < (long)rows; line++) {
        for (size_t i = 0; i < row.count; i++) {
            const size_t at = (size_t)line + i / block->columns * rows;
            row.cells[i] = line < 0 ? table_cell(block, -1, i % block->columns)
                           : at < table_rows(block)
                               ? table_cell(block, (long)at, i % block->columns)
                               : "";
        }
        write_row(out, &row);
        for (size_t i = 0; i < row.count && line < 0; i++) {
            repeat(out, row.widths[i], "-");
            repeat(out, COLUMN_GAP, " ");
        }
        if (line < 0)
            trim_line(out);
    }
}

static void facts(struct buffer *out, const struct block *block)
{
    size_t widest = 0;
    for (size_t i = 0; i + 1 < block->text_count; i += 2) {
        const size_t columns = bare_columns(block->texts[i]);
        widest = columns > widest ? columns : widest;
    }
    widest = widest < 28 ? widest : 28;
    for (size_t i = 0; i + 1 < block->text_count; i += 2)
        write_row(out, &(struct row){.cells = {block->texts[i], block->texts[i + 1]},
                           .widths = {widest, WIDTH - widest - COLUMN_GAP},
                           .count = 2});
}

static void list(struct buffer *out, const struct block *block)
{
    for (size_t i = 0; i < block->text_count; i++) {
        char lead[24] = " -  ";
        if (block->ordered)
            snprintf(lead, sizeof lead, "%2zu. ", i + 1);
        paragraph(out, WIDTH, lead, block->texts[i]);
    }
}

static void heading(struct buffer *out, const struct block *block)
{
    if (block->level == 1)
        buffer_add(out, "\n");
    underlined(out, block->text, block->level == 1 ? "=" : "-");
}

static void plain(struct buffer *out, const struct block *block)
{
    paragraph(out, WIDTH, "", block->text);
}

static void (*const writers[BLOCK_KINDS])(struct buffer *out, const struct block *block) = {
    [BLOCK_HEADING] = heading,
    [BLOCK_PARAGRAPH] = plain,
    [BLOCK_FREE_TEXT] = plain,
    [BLOCK_VERDICT] = plain,
    [BLOCK_LIST] = list,
    [BLOCK_FACTS] = facts,
    [BLOCK_TABLE] = table,
    [BLOCK_FIGURE] = plain, /* what is said in its place */
};

void document_plain(const struct document *document, struct buffer *out)
{
    const struct block *before = NULL;
    out->failed = out->failed || document->failed;
    underlined(out, buffer_text(&document->title), "=");
    buffer_add(out, "\n");
    facts(out, &document->plate);
    for (size_t i = 0; i < document->block_count && !out->failed; i++) {
        const struct block *block = &document->blocks[i];
        if (block->kind == BLOCK_FIGURE && block->text[0] == '\0')
            continue;
        if (before == NULL || before->kind != BLOCK_HEADING || before->level != 1)
            buffer_add(out, "\n");
        writers[block->kind](out, block);
        before = block;
    }
}
