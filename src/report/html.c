/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>

#include "draw/letters.h"
#include "report/document.h"
#include "report/pages.h"
#include "text/escape.h"

/** A document as one HTML page: nothing loaded, nothing run. */

/* px of a letter of 16 in print: browsers set lines a little wider apart than the PDF has them */
#define PRINTED 14.0

static const char style[] =
#include "report/html_style.inc"
    ;

/** Text with names kept to their own direction; in places that hold no elements, without. */
static void say(struct buffer *out, const char *text, bool elements)
{
    struct buffer escaped = {0};
    escape_markup(&escaped, text);
    text_isolates(out, buffer_text(&escaped), elements ? "<bdi>" : "", elements ? "</bdi>" : "");
    buffer_finish(&escaped);
}

static void element(struct buffer *out, const char *open, const char *text, const char *close)
{
    buffer_add(out, open);
    say(out, text, true);
    buffer_add(out, close);
}

/** Cells of words may break anywhere between words, so that a table fits a telephone. */
static void cell(struct buffer *out, const struct block *block, long row, size_t column)
{
    const bool numeric = block->numeric >> column & 1;
    const char *text = table_cell(block, row, column);
    struct buffer broken = {0};
    for (const char *at = text; *at != '\0'; at++) {
        const bool no_break = !numeric && at[0] == '\xc2' && at[1] == '\xa0';
        buffer_add_bytes(&broken, no_break ? " " : at, 1);
        at += no_break;
    }
    if (column == 0) {
        element(out, "<th scope=\"row\">", buffer_text(&broken), "</th>");
    } else {
        buffer_add(out, numeric ? "<td class=\"n\" data-l=\"" : "<td data-l=\"");
        say(out, table_cell(block, -1, column), false);
        element(out, "\">", buffer_text(&broken), "</td>");
    }
    buffer_finish(&broken);
}

static void head(struct buffer *out, const struct block *block, size_t column)
{
    const char *text = table_cell(block, -1, column);
    const bool numeric = block->numeric >> column & 1;
    if (*text == '\0') /* over the names of rows: a cell, not a head without words */
        buffer_add(out, "<td></td>");
    else
        element(
            out, numeric ? "<th scope=\"col\" class=\"n\">" : "<th scope=\"col\">", text, "</th>");
}

static void table(struct buffer *out, const struct block *block)
{
    buffer_add(out, "<table>\n");
    if (block->text[0] != '\0')
        element(out, "<caption>", block->text, "</caption>\n");
    buffer_add(out, "<thead><tr>");
    for (size_t i = 0; i < block->columns; i++)
        head(out, block, i);
    buffer_add(out, "</tr></thead>\n<tbody>\n");
    for (size_t row = 0; row < table_rows(block); row++) {
        buffer_add(out, "<tr>");
        for (size_t i = 0; i < block->columns; i++)
            cell(out, block, (long)row, i);
        buffer_add(out, "</tr>\n");
    }
    buffer_add(out, "</tbody></table>\n");
}

/** Its title above it; what it shows is the picture's own label. */
static void figure(struct buffer *out, const struct block *block, size_t number)
{
    char id[32];
    snprintf(id, sizeof id, "figure%zu", number);
    element(out, "<figure><figcaption aria-hidden=\"true\">", buffer_text(&block->figure->title),
        "</figcaption>\n");
    figure_svg(block->figure, id, false, out);
    buffer_add(out, "</figure>\n");
}

/** What stands round a block's text; or round its texts, before each column and behind the last. */
static const struct {
    const char *open, *texts[3], *close;
} forms[BLOCK_KINDS] = {
    [BLOCK_TITLE] = {"<h1>", {"<small>", "</small>"}, "</h1>\n"},
    [BLOCK_PART] = {"<h2>", {NULL}, "</h2>\n"},
    [BLOCK_SECTION] = {"<h3>", {NULL}, "</h3>\n"},
    [BLOCK_PARAGRAPH] = {"<p>", {NULL}, "</p>\n"},
    [BLOCK_FREE_TEXT] = {"<p class=\"note\" dir=\"auto\">", {NULL}, "</p>\n"},
    [BLOCK_SMALL] = {"<p class=\"small\">", {NULL}, "</p>\n"},
    [BLOCK_VERDICT] = {"<p class=\"verdict\"><b>", {"</b> ", ""}, "</p>\n"},
    [BLOCK_LIST] = {"<ul>\n", {"<li>", "</li>\n"}, "</ul>\n"},
    [BLOCK_STEPS] = {"<ol>\n", {"<li>", "</li>\n"}, "</ol>\n"},
    [BLOCK_FACTS] = {"<dl>\n", {"<dt>", "</dt><dd dir=\"auto\">", "</dd>\n"}, "</dl>\n"},
};

static void write_block(struct buffer *out, const struct block *block, size_t number, size_t page)
{
    if (block->kind == BLOCK_TABLE) {
        table(out, block);
        return;
    }
    if (block->kind == BLOCK_FIGURE) {
        figure(out, block, number);
        return;
    }
    if (block->kind == BLOCK_SECTION && number < page) { /* no part stands over it */
        element(out, "<h2 class=\"section\">", block->text, "</h2>\n");
        return;
    }
    buffer_add(out, forms[block->kind].open);
    say(out, block->text, true);
    for (size_t i = 0; i < block->text_count; i++) {
        const char *const *round = &forms[block->kind].texts[i % block->columns];
        const bool last = (i + 1) % block->columns == 0;
        element(out, round[0], block->texts[i], last ? round[1] : "");
    }
    buffer_add(out, forms[block->kind].close);
}

/** The blocks, those that stay together in a part of their own. */
static void write_blocks(struct buffer *out, const struct document *document)
{
    const size_t page = document_first_page(document);
    bool aside = false;
    for (size_t i = 0; i < document->block_count && !out->failed; i++) {
        const struct block *block = &document->blocks[i];
        if (aside && (block->begins || !block->aside))
            buffer_add(out, block->aside ? "</div>\n<div>\n" : "</div></div>\n");
        if (i == page)
            buffer_add(out, "</div>\n");
        if (block->aside && !aside)
            buffer_add(out, "<div class=\"aside\"><div>\n");
        aside = block->aside;
        write_block(out, block, i, page);
    }
    if (aside)
        buffer_add(out, "</div></div>\n");
    if (page == document->block_count)
        buffer_add(out, "</div>\n");
}

static void meta(struct buffer *out, const char *name, const struct buffer *value)
{
    buffer_addf(out, "<meta name=\"%s\" content=\"", name);
    say(out, buffer_text(value), false);
    buffer_add(out, "\">\n");
}

/** How large the first page is in print, so that it fits on A4 and on Letter. */
static double printed_scale(const struct document *document)
{
    double scale = 1;
    for (int paper = PAPER_A4; paper <= PAPER_LETTER; paper++) {
        struct pages *pages = pages_create(document, (enum paper)paper);
        scale = pages != NULL && pages->scale < scale ? pages->scale : scale;
        pages_destroy(pages);
    }
    return scale;
}

void document_html(const struct document *document, struct buffer *out)
{
    const char *title = buffer_text(&document->title);
    out->failed = out->failed || document->failed;
    buffer_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n"
                    "<meta charset=\"utf-8\">\n<meta name=\"viewport\" "
                    "content=\"width=device-width, initial-scale=1\">\n<title>");
    say(out, title, false);
    buffer_add(out, "</title>\n<meta name=\"generator\" content=\"perpend\">\n");
    if (document->author.length > 0)
        meta(out, "author", &document->author);
    meta(out, "perpend-record", &document->identity);
    buffer_add(out, "<style>\n");
    buffer_add(out, style);
    figure_svg_style(out);
    buffer_addf(out, "@media print{html{font-size:%.2fpx}}\n", PRINTED * printed_scale(document));
    buffer_add(out, "</style>\n</head>\n<body>\n<main>\n<div class=\"page\">\n");
    write_blocks(out, document);
    buffer_add(out, "</main>\n</body>\n</html>\n");
}
