/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "report/document.h"
#include "text/words.h"

/** A document as plain text in 80 columns. */

#define WIDTH 80u
#define COLUMN_GAP 2u
#define BLANK "______________________________" /* to fill in */

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
    const char *cells[TABLE_COLUMNS_MOST];
    size_t widths[TABLE_COLUMNS_MOST];
    size_t count;
    unsigned numeric;
};

static void write_row(struct buffer *out, const struct row *row)
{
    struct buffer wrapped[TABLE_COLUMNS_MOST] = {{0}};
    const char *rest[TABLE_COLUMNS_MOST];
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

static double bare_columns(const char *text)
{
    struct buffer bare = {0};
    text_isolates(&bare, text, "", "");
    const size_t columns = words_columns(buffer_text(&bare));
    buffer_finish(&bare);
    return (double)columns;
}

static void table(struct buffer *out, const struct block *block)
{
    double widths[TABLE_COLUMNS_MOST];
    struct row row = {.count = block->columns, .numeric = block->numeric};
    table_widths(block, bare_columns, COLUMN_GAP, WIDTH, widths);
    for (size_t i = 0; i < row.count; i++)
        row.widths[i] = (size_t)fmax(1, floor(widths[i]));
    for (long line = -1; line < (long)table_rows(block); line++) {
        for (size_t i = 0; i < row.count; i++)
            row.cells[i] = table_cell(block, line, i);
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
    double widest = 0;
    for (size_t i = 0; i + 1 < block->text_count; i += 2)
        widest = fmax(widest, bare_columns(block->texts[i]));
    const size_t name = (size_t)fmin(widest, 28);
    for (size_t i = 0; i + 1 < block->text_count; i += 2)
        write_row(
            out, &(struct row){.cells = {block->texts[i],
                                   block->texts[i + 1][0] != '\0' ? block->texts[i + 1] : BLANK},
                     .widths = {name, WIDTH - name - COLUMN_GAP},
                     .count = 2});
}

static void item(struct buffer *out, enum block_kind kind, size_t number, const char *text)
{
    char lead[24] = "";
    if (kind == BLOCK_STEPS)
        snprintf(lead, sizeof lead, "%2zu. ", number + 1);
    paragraph(out, WIDTH, kind == BLOCK_LIST ? " -  " : lead, text);
}

void document_plain(const struct document *document, struct buffer *out)
{
    static const char *const under[BLOCK_KINDS] = {
        [BLOCK_TITLE] = "=", [BLOCK_PART] = "=", [BLOCK_SECTION] = "-", [BLOCK_VERDICT] = "="};
    enum block_kind before = BLOCK_PART;
    out->failed = out->failed || document->failed;
    for (size_t i = 0; i < document->block_count && !out->failed; i++) {
        const struct block *block = &document->blocks[i];
        const enum block_kind kind = block->kind;
        if (kind == BLOCK_FIGURE && block->text[0] == '\0')
            continue;
        buffer_add(out, before == BLOCK_PART ? "" : kind == BLOCK_PART ? "\n\n" : "\n");
        before = kind;
        if (under[kind] != NULL)
            underlined(out, block->text, under[kind]);
        else if (block->text[0] != '\0') /* of a figure what is said in its place */
            paragraph(out, WIDTH, "", block->text);
        if (kind == BLOCK_TABLE)
            table(out, block);
        else if (kind == BLOCK_FACTS)
            facts(out, block);
        else
            for (size_t k = 0; k < block->text_count; k++)
                item(out, kind, k, block->texts[k]);
    }
}
