/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DOCUMENT_H
#define DOCUMENT_H

/**
 * A document as a list of blocks, the same for HTML, PDF and text: each writer says it in its own
 * way, none adds or leaves out a word or a number.
 *
 * Texts are copied. A name that people gave goes through isolated_name first (escape.h), what they
 * wrote through clean_text or document_free_paragraph: these make it valid and keep its writing
 * direction to itself.
 */

#include <stdbool.h>
#include <stddef.h>

#include <glib.h>

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
    int level;        /* heading: 1 a part, 2 a section of it */
    char *text;       /* heading, paragraph, verdict; caption of a table */
    bool ordered;     /* list */
    GPtrArray *texts; /* list: items; facts: name, value …; table: heads, then cells row by row */
    size_t columns;   /* table */
    unsigned numeric; /* table: bit i is set when column i holds numbers */
    struct figure *figure;
    unsigned number; /* figure: 1, 2 … */
};

struct document {
    char *title;
    char *author;      /* "" when nobody is named */
    char *identity;    /* what tells this job's documents from others' */
    char *foot;        /* short, on every page */
    GPtrArray *plate;  /* names and values of the title block */
    GPtrArray *blocks; /* struct block * */
    unsigned figures;
};

struct document *document_create(const char *title, const char *author);
void document_destroy(struct document *document);

/** An entry of the title block. */
void document_plate(struct document *document, const char *name, const char *value);

void document_heading(struct document *document, int level, const char *text);
void document_paragraph(struct document *document, const char *text);
void document_free_paragraph(struct document *document, const char *text);
void document_verdict(struct document *document, const char *text);
void document_list(struct document *document, bool ordered);
void document_item(struct document *document, const char *text);
void document_facts(struct document *document);
void document_fact(struct document *document, const char *name, const char *value);

/** A table; `heads` has one text a column. Cells follow row by row. */
void document_table(struct document *document, const char *caption, size_t columns,
    const char *const *heads, unsigned numeric);
void document_cell(struct document *document, const char *text);

/** The figure belongs to the document from here on. `instead` is what plain text says in its place,
 *  where that stands nowhere else; "" for nothing. */
void document_figure(struct document *document, struct figure *figure, const char *instead);

/** As the two above with a text that is g_free'd. */
void document_fact_take(struct document *document, const char *name, char *value);
void document_cell_take(struct document *document, char *text);

/** How often a long narrow table may be folded, its parts side by side, when `room` holds so many
 * of its width: at least four rows in each part. */
size_t table_folds(const struct block *table, double width, double gap, double room);

size_t table_rows(const struct block *table);
const char *table_head(const struct block *table, size_t column);
const char *table_cell(const struct block *table, size_t row, size_t column);

/** A text without isolate marks, for readers that cannot use them. By g_malloc. */
char *document_bare(const char *text);

/* The writers. */

/** One self-contained page. */
GString *document_html(const struct document *document);

enum paper { PAPER_A4, PAPER_LETTER };

/**
 * Given:    made     the date in ISO 8601, for the file's metadata
 * Returned: unknown  letters that no font here has: they show as boxes
 * Value:    NULL only when cairo fails
 */
GByteArray *document_pdf(
    const struct document *document, enum paper paper, const char *made, size_t *unknown);

/** 80 columns. */
GString *document_text(const struct document *document);

#endif
