/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "draw/letters.h"
#include "report/document.h"
#include "text/columns.h"
#include "text/escape.h"

void document_finish(struct document *document)
{
    for (size_t i = 0; i < document->block_count; i++) {
        struct block *block = &document->blocks[i];
        for (size_t k = 0; k < block->text_count; k++)
            free(block->texts[k]);
        free(block->texts);
        free(block->text);
        figure_destroy(block->figure);
    }
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
    blocks[document->block_count++] = (struct block){.kind = kind,
        .aside = document->aside,
        .begins = document->begins,
        .text = printed(document, text),
        .columns = kind == BLOCK_TABLE   ? 0
                   : kind == BLOCK_FACTS ? 2
                                         : 1};
    document->begins = false;
}

void document_add(struct document *document, const char *text)
{
    struct block *block = last(document);
    char **texts =
        block == NULL ? NULL : grown(document, block->texts, block->text_count, sizeof *texts);
    if (texts == NULL)
        return;
    block->texts = texts;
    texts[block->text_count] = printed(document, text);
    block->text_count += texts[block->text_count] != NULL;
}

void document_aside(struct document *document, bool aside)
{
    document->aside = aside;
    document->begins = true;
}

/** The texts of a line, parted by tabs, to the block last begun. */
static void add_parts(struct document *document, const char *line)
{
    struct block *block = last(document);
    const bool heads = block != NULL && block->columns == 0;
    struct buffer part = {0};
    for (const char *end; line != NULL && block != NULL; line = *end == '\t' ? end + 1 : NULL) {
        end = line + strcspn(line, "\t");
        const bool numeric = heads && *line == '>';
        buffer_clear(&part);
        buffer_add_bytes(&part, line + numeric, (size_t)(end - line) - numeric);
        document_add(document, buffer_text(&part));
        block->numeric |= (unsigned)numeric << block->columns;
        block->columns += heads;
    }
    buffer_finish(&part);
}

static void say_line(struct document *document, const char *line)
{
    static const struct {
        const char *sign;
        enum block_kind kind;
        bool begins, parted; /* a block of its own; into texts */
    } signs[] = {
        {"% ", BLOCK_TITLE, true, true},
        {"# ", BLOCK_PART, true, false},
        {"## ", BLOCK_SECTION, true, false},
        {"! ", BLOCK_VERDICT, true, true},
        {"- ", BLOCK_LIST, false, true},
        {"+ ", BLOCK_STEPS, false, true},
        {"= ", BLOCK_FACTS, false, true},
        {"^ ", BLOCK_TABLE, true, false},
        {"^", BLOCK_TABLE, true, false},
        {": ", BLOCK_TABLE, false, true},
        {"_ ", BLOCK_SMALL, true, false},
        {"> ", BLOCK_PARAGRAPH, true, false},
        {"", BLOCK_PARAGRAPH, true, false},
    };
    size_t i = 0;
    while (strncmp(line, signs[i].sign, strlen(signs[i].sign)) != 0)
        i++;
    const char *text = line + strlen(signs[i].sign);
    const struct block *before = last(document);
    const bool both = signs[i].begins && signs[i].parted; /* a text, and one more */
    if (signs[i].begins || before == NULL || before->kind != signs[i].kind || document->begins) {
        struct buffer first = {0};
        buffer_add_bytes(&first, text, both ? strcspn(text, "\t") : strlen(text));
        document_block(document, signs[i].kind, signs[i].begins ? buffer_text(&first) : "");
        buffer_finish(&first);
    }
    if (both)
        text += strcspn(text, "\t") + (strchr(text, '\t') != NULL);
    if (signs[i].parted)
        add_parts(document, text);
}

void document_say(struct document *document, const char *lines)
{
    struct buffer line = {0};
    document->failed = document->failed || buffer_text_is_lost(lines);
    for (size_t length; *lines != '\0'; lines += length + (lines[length] == '\n')) {
        length = strcspn(lines, "\n");
        buffer_clear(&line);
        buffer_add_bytes(&line, lines, length);
        if (length > 0)
            say_line(document, buffer_text(&line));
    }
    document->failed = document->failed || line.failed;
    buffer_finish(&line);
}

void document_figure(struct document *document, struct figure *figure, const char *instead)
{
    const size_t before = document->block_count;
    document_block(document, BLOCK_FIGURE, instead);
    document->failed = document->failed || figure->failed;
    if (document->block_count == before) {
        figure_destroy(figure);
        return;
    }
    last(document)->figure = figure;
}

size_t table_rows(const struct block *table)
{
    return table->text_count / table->columns - 1;
}

const char *table_cell(const struct block *table, long row, size_t column)
{
    return table->texts[(size_t)(row + 1) * table->columns + column];
}

size_t document_first_page(const struct document *document)
{
    size_t count = 0;
    while (count < document->block_count && document->blocks[count].kind != BLOCK_PART)
        count++;
    return count;
}

void table_widths(const struct block *table, double (*width_of)(const char *text), double gap,
    double room, double widths[TABLE_COLUMNS_MOST])
{
    for (size_t i = 0; i < table->columns; i++) {
        widths[i] = 0;
        for (long row = -1; row < (long)table_rows(table); row++)
            widths[i] = fmax(widths[i], width_of(table_cell(table, row, i)));
    }
    columns_fit(widths, table->columns, room - gap * (double)(table->columns - 1));
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
