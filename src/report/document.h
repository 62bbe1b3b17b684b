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
    BLOCK_HEADING,
    BLOCK_PARAGRAPH,
    BLOCK_FREE_TEXT, /* a paragraph that somebody wrote: in its own writing direction */
    BLOCK_VERDICT,   /* the one sentence that matters most */
    BLOCK_LIST,
    BLOCK_FACTS, /* names and values */
    BLOCK_TABLE,
    BLOCK_FIGURE,
    BLOCK_KINDS
};

struct block {
    enum block_kind kind;
    int level;    /* heading: 1 a part, 2 a section of it */
    char *text;   /* heading, paragraph, verdict; caption of a table; figure: what plain text
                          says in its place, where that stands nowhere else */
    bool ordered; /* list */
    char **texts; /* list: items; facts: name, value …; table: heads, then cells row by row */
    size_t text_count; /* in texts */
    size_t columns;    /* table */
    unsigned numeric;  /* table: bit i is set when column i holds numbers */
    struct figure *figure;
    unsigned number; /* figure: 1, 2 … */
};

struct document {
    struct buffer title;
    struct buffer author;   /* empty when nobody is named */
    struct buffer identity; /* what tells this job's documents from others' */
    struct buffer foot;     /* short, on every page */
    struct block plate;     /* facts of the title block */
    struct block *blocks;
    size_t block_count;
    unsigned figures;
    bool failed;
};

/** Release what a document holds; one that is all zeros is empty. */
void document_finish(struct document *document);

/** Begin a block. */
void document_block(struct document *document, enum block_kind kind, const char *text);
void document_heading(struct document *document, int level, const char *text);
void document_list(struct document *document, bool ordered);
void document_table(struct document *document, const char *caption, size_t columns,
    const char *const *heads, unsigned numeric);

/** The figure belongs to the document from here on. */
void document_figure(struct document *document, struct figure *figure, const char *instead);

/** Add to the block last begun an item; a name or a value; a cell. The second finishes its buffer;
 *  the third releases its text. */
void document_add(struct document *document, const char *text);
void document_add_phrase(struct document *document, struct buffer *phrase);
void document_add_taken(struct document *document, char *text);

/** An entry of the title block. The value is finished. */
void document_plate(struct document *document, const char *name, struct buffer *value);

/** How often a long narrow table may be folded, its parts side by side, when `room` holds so many
 *  of its width: at least four rows in each part. */
size_t table_folds(const struct block *table, double width, double gap, double room);

size_t table_rows(const struct block *table);

/** A cell of a row, −1 being the heads. */
const char *table_cell(const struct block *table, long row, size_t column);

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
