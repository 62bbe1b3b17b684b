/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include "draw/letters.h"
#include "report/document.h"
#include "text/escape.h"

static void finish_block(struct block *block)
{
    for (size_t i = 0; i < block->text_count; i++)
        free(block->texts[i]);
    free(block->texts);
    free(block->text);
    figure_destroy(block->figure);
}

void document_finish(struct document *document)
{
    for (size_t i = 0; i < document->block_count; i++)
        finish_block(&document->blocks[i]);
    finish_block(&document->plate);
    free(document->blocks);
    buffer_finish(&document->title);
    buffer_finish(&document->author);
    buffer_finish(&document->identity);
    buffer_finish(&document->foot);
}

/** A text as it is printed; NULL, and the document failed, when there is no memory. */
static char *printed(struct document *document, const char *text)
{
    struct buffer out = {0};
    text_print(text, true, &out);
    char *taken = buffer_take(&out);
    document->failed = document->failed || taken == NULL;
    return taken;
}

/** Room for one more of what an array holds; NULL, and the document failed, when there is none. */
static void *grown(struct document *document, void *array, size_t count, size_t size)
{
    void *larger = realloc(array, (count + 1) * size);
    document->failed = document->failed || larger == NULL;
    return larger;
}

static struct block *last(struct document *document)
{
    return document->block_count > 0 ? &document->blocks[document->block_count - 1] : NULL;
}

void document_block(struct document *document, enum block_kind kind, const char *text)
{
    struct block *blocks = grown(document, document->blocks, document->block_count, sizeof *blocks);
    if (blocks == NULL)
        return;
    document->blocks = blocks;
    blocks[document->block_count++] = (struct block){.kind = kind, .text = printed(document, text)};
}

static void add_to(struct document *document, struct block *block, const char *text)
{
    char **texts =
        block == NULL ? NULL : grown(document, block->texts, block->text_count, sizeof *texts);
    if (texts == NULL)
        return;
    block->texts = texts;
    texts[block->text_count] = printed(document, text);
    block->text_count += texts[block->text_count] != NULL;
}

void document_add(struct document *document, const char *text)
{
    add_to(document, last(document), text);
}

void document_add_phrase(struct document *document, struct buffer *phrase)
{
    document_add(document, buffer_text(phrase));
    buffer_finish(phrase);
    *phrase = (struct buffer){0};
}

void document_add_taken(struct document *document, char *text)
{
    document_add(document, text);
    free(text);
}

void document_plate(struct document *document, const char *name, struct buffer *value)
{
    add_to(document, &document->plate, name);
    add_to(document, &document->plate, buffer_text(value));
    buffer_finish(value);
    *value = (struct buffer){0};
}

void document_heading(struct document *document, int level, const char *text)
{
    document_block(document, BLOCK_HEADING, text);
    if (last(document) != NULL)
        last(document)->level = level;
}

void document_list(struct document *document, bool ordered)
{
    document_block(document, BLOCK_LIST, "");
    if (last(document) != NULL)
        last(document)->ordered = ordered;
}

void document_table(struct document *document, const char *caption, size_t columns,
    const char *const *heads, unsigned numeric)
{
    document_block(document, BLOCK_TABLE, caption);
    if (last(document) != NULL) {
        last(document)->columns = columns;
        last(document)->numeric = numeric;
    }
    for (size_t i = 0; i < columns; i++)
        document_add(document, heads[i]);
}

void document_figure(struct document *document, struct figure *figure, const char *instead)
{
    const size_t before = document->block_count;
    document_block(document, BLOCK_FIGURE, instead);
    if (document->block_count == before || figure == NULL) {
        document->failed = true;
        figure_destroy(figure);
        return;
    }
    last(document)->figure = figure;
    last(document)->number = ++document->figures;
}

size_t table_rows(const struct block *table)
{
    return table->text_count / table->columns - 1;
}

size_t table_folds(const struct block *table, double width, double gap, double room)
{
    size_t folds = 1;
    while (folds < 3 && table_rows(table) >= 4 * (folds + 1) &&
           (double)(folds + 1) * (width + gap) - gap <= room)
        folds++;
    return folds;
}

const char *table_cell(const struct block *table, long row, size_t column)
{
    return table->texts[(size_t)(row + 1) * table->columns + column];
}

void text_isolates(struct buffer *out, const char *text, const char *first, const char *end)
{
    const size_t mark = strlen(ISOLATE_FIRST);
    for (const char *at; (at = strstr(text, "\xe2\x81")) != NULL;) {
        const bool begins = strncmp(at, ISOLATE_FIRST, mark) == 0;
        const bool ends = strncmp(at, ISOLATE_END, mark) == 0;
        buffer_add_bytes(out, text, (size_t)(at - text));
        if (begins || ends)
            buffer_add(out, begins ? first : end);
        else
            buffer_add_bytes(out, at, mark);
        text = at + mark;
    }
    buffer_add(out, text);
}
