/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "report/document.h"
#include "text/escape.h"

static void block_free(void *pointer)
{
    struct block *block = pointer;
    g_free(block->text);
    if (block->texts != NULL)
        g_ptr_array_free(block->texts, TRUE);
    figure_destroy(block->figure);
    g_free(block);
}

struct document *document_create(const char *title, const char *author)
{
    struct document *document = g_new0(struct document, 1);
    document->title = g_strdup(title);
    document->author = g_strdup(author);
    document->identity = g_strdup("");
    document->foot = g_strdup(title);
    document->plate = g_ptr_array_new_with_free_func(g_free);
    document->blocks = g_ptr_array_new_with_free_func(block_free);
    return document;
}

void document_destroy(struct document *document)
{
    if (document == NULL)
        return;
    g_free(document->title);
    g_free(document->author);
    g_free(document->identity);
    g_free(document->foot);
    g_ptr_array_free(document->plate, TRUE);
    g_ptr_array_free(document->blocks, TRUE);
    g_free(document);
}

void document_plate(struct document *document, const char *name, const char *value)
{
    g_ptr_array_add(document->plate, g_strdup(name));
    g_ptr_array_add(document->plate, g_strdup(value));
}

static struct block *add(struct document *document, enum block_kind kind, const char *text)
{
    struct block *block = g_new0(struct block, 1);
    block->kind = kind;
    block->text = g_strdup(text);
    g_ptr_array_add(document->blocks, block);
    return block;
}

static struct block *add_with_texts(
    struct document *document, enum block_kind kind, const char *text)
{
    struct block *block = add(document, kind, text);
    block->texts = g_ptr_array_new_with_free_func(g_free);
    return block;
}

static struct block *last(const struct document *document)
{
    return g_ptr_array_index(document->blocks, document->blocks->len - 1);
}

void document_heading(struct document *document, int level, const char *text)
{
    add(document, BLOCK_HEADING, text)->level = level;
}

void document_paragraph(struct document *document, const char *text)
{
    add(document, BLOCK_PARAGRAPH, text);
}

void document_free_paragraph(struct document *document, const char *text)
{
    char *clean = g_strstrip(clean_text(text));
    add(document, BLOCK_FREE_TEXT, clean);
    g_free(clean);
}

void document_verdict(struct document *document, const char *text)
{
    add(document, BLOCK_VERDICT, text);
}

void document_list(struct document *document, bool ordered)
{
    add_with_texts(document, BLOCK_LIST, "")->ordered = ordered;
}

void document_item(struct document *document, const char *text)
{
    g_ptr_array_add(last(document)->texts, g_strdup(text));
}

void document_facts(struct document *document)
{
    add_with_texts(document, BLOCK_FACTS, "");
}

void document_fact(struct document *document, const char *name, const char *value)
{
    document_fact_take(document, name, g_strdup(value));
}

void document_fact_take(struct document *document, const char *name, char *value)
{
    g_ptr_array_add(last(document)->texts, g_strdup(name));
    g_ptr_array_add(last(document)->texts, value);
}

void document_table(struct document *document, const char *caption, size_t columns,
    const char *const *heads, unsigned numeric)
{
    struct block *block = add_with_texts(document, BLOCK_TABLE, caption);
    block->columns = columns;
    block->numeric = numeric;
    for (size_t i = 0; i < columns; i++)
        g_ptr_array_add(block->texts, g_strdup(heads[i]));
}

void document_cell(struct document *document, const char *text)
{
    document_cell_take(document, g_strdup(text));
}

void document_cell_take(struct document *document, char *text)
{
    g_ptr_array_add(last(document)->texts, text);
}

void document_figure(struct document *document, struct figure *figure, const char *instead)
{
    struct block *block = add(document, BLOCK_FIGURE, instead);
    block->figure = figure;
    block->number = ++document->figures;
}

size_t table_rows(const struct block *table)
{
    return table->texts->len / table->columns - 1;
}

size_t table_folds(const struct block *table, double width, double gap, double room)
{
    size_t folds = 1;
    while (folds < 3 && table_rows(table) >= 4 * (folds + 1) &&
           (double)(folds + 1) * (width + gap) - gap <= room)
        folds++;
    return folds;
}

const char *table_head(const struct block *table, size_t column)
{
    return g_ptr_array_index(table->texts, column);
}

const char *table_cell(const struct block *table, size_t row, size_t column)
{
    return g_ptr_array_index(table->texts, (row + 1) * table->columns + column);
}

char *document_bare(const char *text)
{
    GString *bare = g_string_new(text);
    g_string_replace(bare, ISOLATE_FIRST, "", 0);
    g_string_replace(bare, ISOLATE_END, "", 0);
    return g_string_free(bare, FALSE);
}
