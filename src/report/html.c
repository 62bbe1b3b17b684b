/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>

#include "draw/letters.h"
#include "report/document.h"
#include "text/escape.h"

/** A document as one HTML page: nothing loaded, nothing run. */

/* Sizes in rem and ch only, so that the reader's own letter size is kept. The title block and the
   rules are those of a workshop drawing. */
static const char style[] =
    ":root{color-scheme:light dark;--ink:#1b1d21;--soft:#565d66;--rule:#9aa1a9;--faint:#dcdfe2;"
    "--paper:#fff;--plate:#f5f4f1}\n"
    "@media screen and (prefers-color-scheme:dark){:root{--ink:#e9e7e2;--soft:#abb0b6;"
    "--rule:#5a6068;--faint:#3a3f46;--paper:#16181b;--plate:#1e2124}}\n"
    "*{box-sizing:border-box}\n"
    "html{background:var(--paper);color:var(--ink);font:100%/1.5 " LETTER_FACES ";"
    "-webkit-text-size-adjust:100%}\n"
    "body{margin:0 auto;padding:1.5rem 1.25rem 3rem;max-width:58rem;overflow-wrap:anywhere}\n"
    "h1{font-size:1.5rem;line-height:1.25;margin:0 0 1rem}\n"
    "h2{font-size:1.2rem;line-height:1.3;margin:2.75rem 0 .75rem;padding-top:.6rem;"
    "border-top:2px solid var(--ink)}\n"
    "h3{font-size:1rem;margin:1.75rem 0 .4rem}\n"
    "p,ul,ol{max-width:42rem;margin:.6rem 0}\n"
    "ul,ol{padding-left:1.4rem}li{margin:.3rem 0}\n"
    ".plate{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));margin:0;"
    "padding:0;max-width:none;list-style:none;border:1px solid var(--rule);"
    "background:var(--plate)}\n"
    ".plate li{margin:0;padding:.4rem .7rem .5rem;box-shadow:0 0 0 .5px var(--rule)}\n"
    ".plate span{display:block;color:var(--soft);font-size:.8rem}\n"
    "@media (min-width:36rem){.plate{grid-template-columns:repeat(3,minmax(0,1fr))}}\n"
    "dt{color:var(--soft)}dd{margin:0;white-space:pre-line}\n"
    ".verdict{font-size:1.2rem;line-height:1.4;font-weight:bold;margin:1.5rem 0;max-width:42rem}\n"
    ".facts{display:grid;grid-template-columns:fit-content(40%) minmax(0,1fr);"
    "gap:.2rem 1.25rem;margin:.6rem 0}\n"
    ".note{white-space:pre-line}\n"
    ".wide{overflow-x:auto;margin:.9rem 0}\n"
    "table{overflow-wrap:normal;border-collapse:collapse;font-variant-numeric:tabular-nums}\n"
    "caption{text-align:left;color:var(--soft);padding-bottom:.25rem}\n"
    "th,td{text-align:left;vertical-align:top;padding:.28rem 1.1rem .28rem 0;"
    "border-bottom:1px solid var(--faint)}\n"
    "thead th,thead td{border-bottom:1px solid var(--rule)}\n"
    "tbody th{font-weight:normal}\n"
    ".n{text-align:right;padding-left:.6rem;white-space:nowrap}\n"
    "@media (max-width:36rem){table,.facts{font-size:.875rem}th,td{padding-right:.6rem}"
    ".facts{gap:.2rem .8rem}}\n"
    "figure{margin:1.5rem 0;display:grid;gap:.6rem 1.75rem;align-items:start}\n"
    "@media (min-width:50rem){figure{grid-template-columns:minmax(0,34rem) minmax(11rem,1fr)}}\n"
    "figcaption{font-size:.875rem;color:var(--soft);max-width:42rem}\n"
    "figcaption b{color:var(--ink);display:block}\n"
    "figure svg{display:block;width:100%;height:auto;max-width:36rem}\n"
    "@media print{html{font-size:9.5pt}body{max-width:none;padding:0}"
    "p,ul,ol,.verdict{max-width:none}"
    "figure{grid-template-columns:28rem minmax(0,1fr)}"
    "figure,.plate,.verdict,.facts,tr,li{break-inside:avoid}h2,h3,caption{break-after:avoid}"
    "thead{display:table-header-group}.wide{overflow:visible}}\n"
    "@page{margin:16mm 15mm}\n";

/** Text with names kept to their own direction. */
static void say(struct buffer *out, const char *text)
{
    struct buffer escaped = {0};
    escape_markup(&escaped, text);
    text_isolates(out, buffer_text(&escaped), "<bdi>", "</bdi>");
    buffer_finish(&escaped);
}

/** For places that hold no elements. */
static void say_bare(struct buffer *out, const char *text)
{
    struct buffer escaped = {0};
    escape_markup(&escaped, text);
    text_isolates(out, buffer_text(&escaped), "", "");
    buffer_finish(&escaped);
}

static void element(struct buffer *out, const char *open, const char *text, const char *close)
{
    buffer_add(out, open);
    say(out, text);
    buffer_add(out, close);
}

static void plate(struct buffer *out, const struct block *block)
{
    buffer_add(out, "<ul class=\"plate\">\n");
    for (size_t i = 0; i + 1 < block->text_count; i += 2) {
        element(out, "<li><span>", block->texts[i], "</span> ");
        element(out, "", block->texts[i + 1], "</li>\n");
    }
    buffer_add(out, "</ul>\n");
}

static void facts(struct buffer *out, const struct block *block)
{
    buffer_add(out, "<dl class=\"facts\">\n");
    for (size_t i = 0; i + 1 < block->text_count; i += 2) {
        element(out, "<dt>", block->texts[i], "</dt>");
        element(out, "<dd dir=\"auto\">", block->texts[i + 1], "</dd>\n");
    }
    buffer_add(out, "</dl>\n");
}

static void list(struct buffer *out, const struct block *block)
{
    buffer_add(out, block->ordered ? "<ol>\n" : "<ul>\n");
    for (size_t i = 0; i < block->text_count; i++)
        element(out, "<li>", block->texts[i], "</li>\n");
    buffer_add(out, block->ordered ? "</ol>\n" : "</ul>\n");
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

static void heading(struct buffer *out, const struct block *block)
{
    const bool part = block->level == 1;
    element(out, part ? "<h2>" : "<h3>", block->text, part ? "</h2>\n" : "</h3>\n");
}

static void paragraph(struct buffer *out, const struct block *block)
{
    element(out, "<p>", block->text, "</p>\n");
}

static void free_text(struct buffer *out, const struct block *block)
{
    element(out, "<p class=\"note\" dir=\"auto\">", block->text, "</p>\n");
}

static void verdict(struct buffer *out, const struct block *block)
{
    element(out, "<p class=\"verdict\">", block->text, "</p>\n");
}

static void (*const writers[BLOCK_KINDS])(struct buffer *out, const struct block *block) = {
    [BLOCK_HEADING] = heading,
    [BLOCK_PARAGRAPH] = paragraph,
    [BLOCK_FREE_TEXT] = free_text,
    [BLOCK_VERDICT] = verdict,
    [BLOCK_LIST] = list,
    [BLOCK_FACTS] = facts,
    [BLOCK_TABLE] = table,
    [BLOCK_FIGURE] = figure,
};

static void meta(struct buffer *out, const char *name, const struct buffer *value)
{
    buffer_addf(out, "<meta name=\"%s\" content=\"", name);
    say_bare(out, buffer_text(value));
    buffer_add(out, "\">\n");
}

void document_html(const struct document *document, struct buffer *out)
{
    const char *title = buffer_text(&document->title);
    out->failed = out->failed || document->failed;
    buffer_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n"
                    "<meta charset=\"utf-8\">\n<meta name=\"viewport\" "
                    "content=\"width=device-width, initial-scale=1\">\n<title>");
    say_bare(out, title);
    buffer_add(out, "</title>\n<meta name=\"generator\" content=\"perpend\">\n");
    if (document->author.length > 0)
        meta(out, "author", &document->author);
    meta(out, "perpend-record", &document->identity);
    buffer_add(out, "<style>\n");
    buffer_add(out, style);
    figure_svg_style(out);
    buffer_add(out, "</style>\n</head>\n<body>\n<header>\n");
    element(out, "<h1>", title, "</h1>\n");
    plate(out, &document->plate);
    buffer_add(out, "</header>\n<main>\n");
    for (size_t i = 0; i < document->block_count && !out->failed; i++)
        writers[document->blocks[i].kind](out, &document->blocks[i]);
    buffer_add(out, "</main>\n</body>\n</html>\n");
}
