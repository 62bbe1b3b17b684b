/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "text/columns.h"
#include "report/document.h"
#include "text/escape.h"
#include "text/words.h"

/** A document as plain text in 80 columns. */

#define WIDTH 80u
#define COLUMN_GAP 2u

/** As the wrapper takes it: names without isolate marks, no-break spaces as glue. */
static char *ready(const char *text)
{
    char *bare = document_bare(text);
    GString *glued = g_string_new(bare);
    g_string_replace(glued, "\xc2\xa0", WORDS_GLUE, 0);
    g_free(bare);
    return g_string_free(glued, FALSE);
}

static void paragraph(GString *out, unsigned width, const char *lead, const char *text)
{
    const struct words words = {.width = width, .utf8 = true};
    struct buffer lines = {0};
    char *glued = ready(text);
    words_wrap(&words, &lines, width, lead, glued);
    g_string_append(out, buffer_text(&lines));
    if (lines.length == 0 || lines.bytes[lines.length - 1] != '\n')
        g_string_append_c(out, '\n');
    buffer_finish(&lines);
    g_free(glued);
}

static void underlined(GString *out, const char *text, char line)
{
    const gsize start = out->len;
    paragraph(out, WIDTH, "", text);
    size_t longest = 0;
    char **lines = g_strsplit(out->str + start, "\n", -1);
    for (char **at = lines; *at != NULL; at++)
        longest = MAX(longest, words_columns(*at));
    g_strfreev(lines);
    for (size_t i = 0; i < longest; i++)
        g_string_append_c(out, line);
    g_string_append_c(out, '\n');
}

static void blanks(GString *out, size_t count)
{
    for (size_t i = 0; i < count; i++)
        g_string_append_c(out, ' ');
}

static void trim_line(GString *out)
{
    while (out->len > 0 && out->str[out->len - 1] == ' ')
        g_string_truncate(out, out->len - 1);
    g_string_append_c(out, '\n');
}

/** Cells side by side, each wrapped to its column. */
static void row(
    GString *out, const char *const *cells, const size_t *widths, size_t count, unsigned numeric)
{
    char ***lines = g_new0(char **, count);
    size_t tallest = 0;
    for (size_t i = 0; i < count; i++) {
        GString *cell = g_string_new(NULL);
        paragraph(cell, (unsigned)widths[i], "", cells[i]);
        lines[i] = g_strsplit(g_strchomp(cell->str), "\n", -1);
        tallest = MAX(tallest, g_strv_length(lines[i]));
        g_string_free(cell, TRUE);
    }
    for (size_t line = 0; line < tallest; line++) {
        for (size_t i = 0; i < count; i++) {
            const char *text = line < g_strv_length(lines[i]) ? lines[i][line] : "";
            const size_t columns = words_columns(text);
            const size_t lack = widths[i] > columns ? widths[i] - columns : 0;
            blanks(out, numeric >> i & 1 ? lack : 0);
            g_string_append(out, text);
            blanks(out, numeric >> i & 1 ? 0 : lack);
            blanks(out, i + 1 < count ? COLUMN_GAP : 0);
        }
        trim_line(out);
    }
    for (size_t i = 0; i < count; i++)
        g_strfreev(lines[i]);
    g_free(lines);
}

static size_t bare_columns(const char *text)
{
    char *bare = document_bare(text);
    const size_t columns = words_columns(bare);
    g_free(bare);
    return columns;
}

/** A table laid out: its parts side by side when it is long and narrow. */
struct layout {
    const struct block *table;
    size_t columns; /* of all parts */
    size_t folds, rows;
    size_t *widths;
    unsigned numeric;
    const char **cells;
};

static void layout_create(struct layout *layout, const struct block *table)
{
    const size_t count = table->columns;
    double *wanted = g_new0(double, count);
    double sum = COLUMN_GAP * (double)(count - 1);
    for (size_t i = 0; i < count; i++) {
        wanted[i] = (double)bare_columns(table_head(table, i));
        for (size_t line = 0; line < table_rows(table); line++)
            wanted[i] = fmax(wanted[i], (double)bare_columns(table_cell(table, line, i)));
    }
    columns_fit(wanted, count, WIDTH - sum);
    for (size_t i = 0; i < count; i++)
        sum += wanted[i];
    layout->table = table;
    layout->folds = table_folds(table, sum, COLUMN_GAP, WIDTH);
    layout->rows = (table_rows(table) + layout->folds - 1) / layout->folds;
    layout->columns = count * layout->folds;
    layout->widths = g_new0(size_t, layout->columns);
    layout->cells = g_new0(const char *, layout->columns);
    for (size_t i = 0; i < layout->columns; i++) {
        layout->widths[i] = (size_t)fmax(1, floor(wanted[i % count]));
        if (table->numeric >> (i % count) & 1)
            layout->numeric |= 1u << i;
    }
    g_free(wanted);
}

/** One row of all parts; row −1 is the head. */
static void layout_row(GString *out, const struct layout *layout, long line)
{
    const size_t count = layout->table->columns;
    for (size_t i = 0; i < layout->columns; i++) {
        const size_t at = (size_t)line + i / count * layout->rows;
        layout->cells[i] = line < 0 ? table_head(layout->table, i % count)
                           : at < table_rows(layout->table)
                               ? table_cell(layout->table, at, i % count)
                               : "";
    }
    row(out, layout->cells, layout->widths, layout->columns, layout->numeric);
}

static void table(GString *out, const struct block *block)
{
    struct layout layout = {0};
    layout_create(&layout, block);
    if (block->text[0] != '\0')
        paragraph(out, WIDTH, "", block->text);
    layout_row(out, &layout, -1);
    for (size_t i = 0; i < layout.columns; i++) {
        for (size_t j = 0; j < layout.widths[i]; j++)
            g_string_append_c(out, '-');
        blanks(out, i + 1 < layout.columns ? COLUMN_GAP : 0);
    }
    g_string_append_c(out, '\n');
    for (size_t line = 0; line < layout.rows; line++)
        layout_row(out, &layout, (long)line);
    g_free(layout.widths);
    g_free(layout.cells);
}

static void facts(GString *out, const GPtrArray *texts)
{
    size_t widest = 0;
    for (guint i = 0; i + 1 < texts->len; i += 2)
        widest = MAX(widest, bare_columns(g_ptr_array_index(texts, i)));
    const size_t widths[2] = {MIN(widest, 28), WIDTH - MIN(widest, 28) - COLUMN_GAP};
    for (guint i = 0; i + 1 < texts->len; i += 2) {
        const char *const cells[2] = {g_ptr_array_index(texts, i), g_ptr_array_index(texts, i + 1)};
        row(out, cells, widths, 2, 0);
    }
}

static void list(GString *out, const struct block *block)
{
    for (guint i = 0; i < block->texts->len; i++) {
        char lead[16];
        g_snprintf(lead, sizeof lead, block->ordered ? "%2u. " : " -  ", i + 1);
        paragraph(out, WIDTH, lead, g_ptr_array_index(block->texts, i));
    }
}

static void heading(GString *out, const struct block *block)
{
    if (block->level == 1)
        g_string_append_c(out, '\n');
    underlined(out, block->text, block->level == 1 ? '=' : '-');
}

static void plain(GString *out, const struct block *block)
{
    paragraph(out, WIDTH, "", block->text);
}

static void fact_list(GString *out, const struct block *block)
{
    facts(out, block->texts);
}

static void (*const writers[BLOCK_KINDS])(GString *out, const struct block *block) = {
    [BLOCK_HEADING] = heading,
    [BLOCK_PARAGRAPH] = plain,
    [BLOCK_FREE_TEXT] = plain,
    [BLOCK_VERDICT] = plain,
    [BLOCK_LIST] = list,
    [BLOCK_FACTS] = fact_list,
    [BLOCK_TABLE] = table,
    [BLOCK_FIGURE] = plain, /* what is said in its place */
};

GString *document_text(const struct document *document)
{
    GString *out = g_string_new(NULL);
    underlined(out, document->title, '=');
    g_string_append_c(out, '\n');
    facts(out, document->plate);
    const struct block *before = NULL;
    for (guint i = 0; i < document->blocks->len; i++) {
        const struct block *block = g_ptr_array_index(document->blocks, i);
        if (block->kind == BLOCK_FIGURE && block->text[0] == '\0')
            continue;
        if (before == NULL || before->kind != BLOCK_HEADING || before->level != 1)
            g_string_append_c(out, '\n');
        writers[block->kind](out, block);
        before = block;
    }
    return out;
}
