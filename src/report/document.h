/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DOCUMENT_H
#define DOCUMENT_H

/**
 * A document as one list of blocks, the same for HTML, PDF and text: each writer says it in its own
 * way, none adds or leaves out a word or a number. The blocks before the first part are one page.
 *
 * Texts are copied, and printed as phrases are (letters.h, text_print). A name that people gave goes
 * through isolated_name first (escape.h), what they wrote through clean_text: these make it valid
 * and keep its writing direction to itself. When memory runs out the document turns `failed`; the
 * writers then give failed buffers.
 */

#include <stdbool.h>
#include <stddef.h>

#include "draw/figure.h"

enum block_kind {
    BLOCK_TITLE, /* the document's; its text beside it says what it is */
    BLOCK_PART,  /* headings: of a part, of a section */
    BLOCK_SECTION,
    BLOCK_PARAGRAPH,
    BLOCK_FREE_TEXT, /* a paragraph that somebody wrote: in its own writing direction */
    BLOCK_SMALL,     /* a paragraph that few will read */
    BLOCK_VERDICT,   /* in a few words; its text below says why */
    BLOCK_LIST,
    BLOCK_STEPS, /* a list with numbers */
    BLOCK_FACTS, /* names and values; an empty value is a line to fill in */
    BLOCK_TABLE,
    BLOCK_FIGURE, /* its title above it */
    BLOCK_KINDS
};

struct block {
    enum block_kind kind;
    bool aside;   /* it stands in one of two columns; else across the page */
    bool begins;  /* with it begins what stays together in a column */
    char *text;   /* heading, paragraph, verdict; caption of a table; figure: what plain text
                          says in its place, where that stands nowhere else */
    char **texts; /* title, verdict: one more; list: items; facts: name, value …; table: heads,
                      then cells row by row */
    size_t text_count; /* in texts */
    size_t columns;    /* of texts: 1 of a list, 2 of facts */
    unsigned numeric;  /* table: bit i is set when column i holds numbers */
    struct figure *figure;
};

struct document {
    struct buffer title;
    struct buffer author;   /* empty when nobody is named */
    struct buffer identity; /* what tells this job's documents from others' */
    struct buffer foot;     /* short, on every page but the first */
    struct block *blocks;   /* the title is the first */
    size_t block_count;
    bool aside; /* the blocks that follow */
    bool begins;
    bool failed;
};

/** Release what a document holds; one that is all zeros is empty. */
void document_finish(struct document *document);

/**
 * Add lines, each of which says by its first letters what it is. Lines of one kind that follow each
 * other are one list; tabs part a fact's name from its value, the cells of a table's row, a title or
 * verdict from the text that goes with it.
 *
 *     %        the title                     -   an item of a list
 *     # ##     headings                      +   a step, numbered
 *     !        the verdict                   =   a fact
 *     ^        a table begins; its caption   :   a row; the first has the heads, > before a numeric one
 *     _        small print
 *
 * Anything else is a paragraph, and so is what stands behind "> ", whatever it begins with. An empty
 * line says nothing.
 */
void document_say(struct document *document, const char *lines);

/** What follows stays together in one of two columns, or goes across the page. */
void document_aside(struct document *document, bool aside);

/** Begin a block of that text, whatever letters it begins with; add an item, a name, a value or a cell
 *  to it. */
void document_block(struct document *document, enum block_kind kind, const char *text);
void document_add(struct document *document, const char *text);

/** The figure belongs to the document from here on. */
void document_figure(struct document *document, struct figure *figure, const char *instead);

/** Blocks on the first page. */
size_t document_first_page(const struct document *document);

size_t table_rows(const struct block *table);

/** A cell of a row, −1 being the heads. */
const char *table_cell(const struct block *table, long row, size_t column);

#define TABLE_COLUMNS_MOST 10

/** How wide a table's columns are within `room`, and the room between them; a writer tells how wide it
 *  writes a text. */
void table_widths(const struct block *table, double (*width_of)(const char *text), double gap,
    double room, double widths[TABLE_COLUMNS_MOST]);

/** Append a text with its isolate marks replaced. */
void text_isolates(struct buffer *out, const char *text, const char *first, const char *end);

/* The writers. */

/** One self-contained page. */
void document_html(const struct document *document, struct buffer *out);

enum paper { PAPER_A4, PAPER_LETTER };

/**
 * Given:    made     the date in ISO 8601, for the file's metadata
 * Returned: out      failed only when cairo fails
 *           unknown  letters that no font here has: they show as boxes
 */
void document_pdf(const struct document *document, enum paper paper, const char *made,
    struct buffer *out, size_t *unknown);

/** 80 columns. */
void document_plain(const struct document *document, struct buffer *out);

#endif
