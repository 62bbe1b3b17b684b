/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>

#include "draw/letters.h"
#include "report/document.h"
#include "text/escape.h"

/** A document as one HTML page: nothing loaded, nothing run. */

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
    if (column == 0)
        element(out, "<th scope=\"row\">", buffer_text(&broken), "</th>");
    else
        element(out, numeric ? "<td class=\"n\">" : "<td>", buffer_text(&broken), "</td>");
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
    buffer_add(out, "<div class=\"wide\"><table>\n");
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
    buffer_add(out, "</tbody></table></div>\n");
}

static void figure(struct buffer *out, const struct block *block)
{
    char id[32];
    snprintf(id, sizeof id, "figure%u", block->number);
    buffer_addf(out, "<figure id=\"%s\">\n", id);
    figure_svg(block->figure, id, false, out);
    buffer_addf(out, "<figcaption id=\"%s-said\"><b>%u. ", id, block->number);
    element(out, "", buffer_text(&block->figure->title), "</b>\n");
    element(out, "", buffer_text(&block->figure->description), "</figcaption>\n</figure>\n");
}

/** What stands round a block's text; or round its texts, before each column and behind the last. */
static const struct {
    const char *open, *texts[3], *close;
    void (*write)(struct buffer *out, const struct block *block); /* instead */
} forms[BLOCK_KINDS] = {
    [BLOCK_PLATE] = {"<ul class=\"plate\">\n", {"<li><span>", "</span> ", "</li>\n"},
        "</ul>\n</header>\n<main>\n", NULL},
    [BLOCK_PART] = {"<h2>", {NULL}, "</h2>\n", NULL},
    [BLOCK_SECTION] = {"<h3>", {NULL}, "</h3>\n", NULL},
    [BLOCK_PARAGRAPH] = {"<p>", {NULL}, "</p>\n", NULL},
    [BLOCK_FREE_TEXT] = {"<p class=\"note\" dir=\"auto\">", {NULL}, "</p>\n", NULL},
    [BLOCK_VERDICT] = {"<p class=\"verdict\">", {NULL}, "</p>\n", NULL},
    [BLOCK_LIST] = {"<ul>\n", {"<li>", "</li>\n"}, "</ul>\n", NULL},
    [BLOCK_STEPS] = {"<ol>\n", {"<li>", "</li>\n"}, "</ol>\n", NULL},
    [BLOCK_FACTS] = {"<dl class=\"facts\">\n", {"<dt>", "</dt><dd dir=\"auto\">", "</dd>\n"},
        "</dl>\n", NULL},
    [BLOCK_TABLE] = {.write = table},
    [BLOCK_FIGURE] = {.write = figure},
};

static void write_block(struct buffer *out, const struct block *block)
{
    if (forms[block->kind].write != NULL) {
        forms[block->kind].write(out, block);
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

static void meta(struct buffer *out, const char *name, const struct buffer *value)
{
    buffer_addf(out, "<meta name=\"%s\" content=\"", name);
    say(out, buffer_text(value), false);
    buffer_add(out, "\">\n");
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
    buffer_add(out, "</style>\n</head>\n<body>\n<header>\n");
    element(out, "<h1>", title, "</h1>\n");
    for (size_t i = 0; i < document->block_count && !out->failed; i++)
        write_block(out, &document->blocks[i]);
    buffer_add(out, "</main>\n</body>\n</html>\n");
}
