/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DOCUMENT_H
#define DOCUMENT_H

/**
 * A document as a list of blocks, the same for HTML, PDF and text: each writer says it in its own
 * way, none adds or leaves out a word or a number.
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
    BLOCK_PLATE, /* the title block: names and values */
    BLOCK_PART,  /* headings: of a part, of a section of it */
    BLOCK_SECTION,
    BLOCK_PARAGRAPH,
    BLOCK_FREE_TEXT, /* a paragraph that somebody wrote: in its own writing direction */
    BLOCK_VERDICT,   /* the one sentence that matters most */
    BLOCK_LIST,
    BLOCK_STEPS, /* a list with numbers */
    BLOCK_FACTS, /* names and values */
    BLOCK_TABLE,
    BLOCK_FIGURE,
    BLOCK_KINDS
};

struct block {
    enum block_kind kind;
    char *text;   /* heading, paragraph, verdict; caption of a table; figure: what plain text
                          says in its place, where that stands nowhere else */
    char **texts; /* list: items; facts: name, value …; table: heads, then cells row by row */
    size_t text_count; /* in texts */
    size_t columns;    /* of texts: 1 of a list, 2 of facts */
    unsigned numeric;  /* table: bit i is set when column i holds numbers */
    struct figure *figure;
    unsigned number; /* figure: 1, 2 … */
};

struct document {
    struct buffer title;
    struct buffer author;   /* empty when nobody is named */
    struct buffer identity; /* what tells this job's documents from others' */
    struct buffer foot;     /* short, on every page */
    struct block *blocks;   /* the plate is the first */
    size_t block_count;
    unsigned figures;
    bool failed;
};

/** Release what a document holds; one that is all zeros is empty. */
void document_finish(struct document *document);

/**
 * Add lines, each of which says by its first letters what it is. Lines of one kind that follow each
 * other are one list; tabs part a fact's name from its value, and the cells of a table's row.
 *
 *     %        a fact in the title block     -   an item of a list
 *     # ##     headings                      +   a step, numbered
 *     !        the verdict                   =   a fact
 *     ^        a table begins; its caption   :   a row; the first has the heads, > before a numeric one
 *
 * Anything else is a paragraph, and so is what stands behind "> ", whatever it begins with. An empty
 * line says nothing.
 */
void document_say(struct document *document, const char *lines);

/** Begin a block of that text, whatever letters it begins with; add an item, a name, a value or a cell
 *  to it. */
void document_block(struct document *document, enum block_kind kind, const char *text);
void document_add(struct document *document, const char *text);

/** The figure belongs to the document from here on. */
void document_figure(struct document *document, struct figure *figure, const char *instead);

size_t table_rows(const struct block *table);

/** A cell of a row, −1 being the heads. */
const char *table_cell(const struct block *table, long row, size_t column);

#define TABLE_COLUMNS_MOST 8
#define TABLE_FOLDS_MOST 3

/** A table laid out: its columns' widths, and its parts side by side when it is long and narrow. */
struct table_layout {
    const struct block *table;
    double widths[TABLE_COLUMNS_MOST];
    double gap, width;  /* between columns; of one part */
    size_t folds, rows; /* parts; rows in each, at least four when there are several */
};

/** Lay out where the parts of a table have room `room` side by side, and one alone `most`. A writer
 *  tells how wide it writes a text. */
struct table_room {
    double (*text_width)(const char *text, bool head);
    double gap, fold_gap; /* between columns, between parts */
    double most, room;
};
struct table_layout table_lay_out(const struct block *table, const struct table_room *room);

/** The row of the table that stands in a row of a part; false when that has no more. */
bool table_row_at(const struct table_layout *layout, long row, size_t fold, long *at);

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
