/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

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
    "html{background:var(--paper);color:var(--ink);font:100%/1.5 sans-serif;"
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
static void say(GString *out, const char *text)
{
    struct buffer safe = {0};
    escape_markup(&safe, text);
    GString *escaped = g_string_new(buffer_text(&safe));
    buffer_finish(&safe);
    g_string_replace(escaped, ISOLATE_FIRST, "<bdi>", 0);
    g_string_replace(escaped, ISOLATE_END, "</bdi>", 0);
    g_string_append_len(out, escaped->str, (gssize)escaped->len);
    g_string_free(escaped, TRUE);
}

/** For places that hold no elements. */
static void say_bare(GString *out, const char *text)
{
    char *bare = document_bare(text);
    struct buffer safe = {0};
    escape_markup(&safe, bare);
    g_string_append(out, buffer_text(&safe));
    buffer_finish(&safe);
    g_free(bare);
}

static void element(GString *out, const char *open, const char *text, const char *close)
{
    g_string_append(out, open);
    say(out, text);
    g_string_append(out, close);
}

static void plate(GString *out, const GPtrArray *texts)
{
    g_string_append(out, "<ul class=\"plate\">\n");
    for (guint i = 0; i + 1 < texts->len; i += 2) {
        element(out, "<li><span>", g_ptr_array_index(texts, i), "</span> ");
        element(out, "", g_ptr_array_index(texts, i + 1), "</li>\n");
    }
    g_string_append(out, "</ul>\n");
}

static void facts(GString *out, const struct block *block)
{
    const GPtrArray *texts = block->texts;
    g_string_append(out, "<dl class=\"facts\">\n");
    for (guint i = 0; i + 1 < texts->len; i += 2) {
        element(out, "<dt>", g_ptr_array_index(texts, i), "</dt>");
        element(out, "<dd dir=\"auto\">", g_ptr_array_index(texts, i + 1), "</dd>\n");
    }
    g_string_append(out, "</dl>\n");
}

static void list(GString *out, const struct block *block)
{
    const char *name = block->ordered ? "ol" : "ul";
    g_string_append_printf(out, "<%s>\n", name);
    for (guint i = 0; i < block->texts->len; i++)
        element(out, "<li>", g_ptr_array_index(block->texts, i), "</li>\n");
    g_string_append_printf(out, "</%s>\n", name);
}

/** Cells of words may break anywhere between words, so that a table fits a telephone. */
static void cell(GString *out, const struct block *block, size_t row, size_t column)
{
    const bool numeric = block->numeric >> column & 1;
    GString *text = g_string_new(table_cell(block, row, column));
    if (!numeric)
        g_string_replace(text, "\xc2\xa0", " ", 0);
    if (column == 0)
        element(out, "<th scope=\"row\">", text->str, "</th>");
    else
        element(out, numeric ? "<td class=\"n\">" : "<td>", text->str, "</td>");
    g_string_free(text, TRUE);
}

static void table(GString *out, const struct block *block)
{
    g_string_append(out, "<div class=\"wide\"><table>\n");
    if (block->text[0] != '\0')
        element(out, "<caption>", block->text, "</caption>\n");
    g_string_append(out, "<thead><tr>");
    for (size_t i = 0; i < block->columns; i++) {
        const char *head = table_head(block, i);
        const bool numeric = block->numeric >> i & 1;
        if (*head == '\0') /* over the names of rows: a cell, not a head without words */
            g_string_append(out, "<td></td>");
        else
            element(out, numeric ? "<th scope=\"col\" class=\"n\">" : "<th scope=\"col\">", head,
                "</th>");
    }
    g_string_append(out, "</tr></thead>\n<tbody>\n");
    for (size_t row = 0; row < table_rows(block); row++) {
        g_string_append(out, "<tr>");
        for (size_t i = 0; i < block->columns; i++)
            cell(out, block, row, i);
        g_string_append(out, "</tr>\n");
    }
    g_string_append(out, "</tbody></table></div>\n");
}

static void figure(GString *out, const struct block *block)
{
    char id[32];
    g_snprintf(id, sizeof id, "figure%u", block->number);
    g_string_append_printf(out, "<figure id=\"%s\">\n", id);
    figure_svg(block->figure, id, false, out);
    g_string_append_printf(out, "<figcaption id=\"%s-said\"><b>%u. ", id, block->number);
    say(out, figure_title(block->figure));
    element(out, "</b>\n", figure_description(block->figure), "</figcaption>\n</figure>\n");
}

static void heading(GString *out, const struct block *block)
{
    const bool part = block->level == 1;
    element(out, part ? "<h2>" : "<h3>", block->text, part ? "</h2>\n" : "</h3>\n");
}

static void paragraph(GString *out, const struct block *block)
{
    element(out, "<p>", block->text, "</p>\n");
}

static void free_text(GString *out, const struct block *block)
{
    element(out, "<p class=\"note\" dir=\"auto\">", block->text, "</p>\n");
}

static void verdict(GString *out, const struct block *block)
{
    element(out, "<p class=\"verdict\">", block->text, "</p>\n");
}

static void (*const writers[BLOCK_KINDS])(GString *out, const struct block *block) = {
    [BLOCK_HEADING] = heading,
    [BLOCK_PARAGRAPH] = paragraph,
    [BLOCK_FREE_TEXT] = free_text,
    [BLOCK_VERDICT] = verdict,
    [BLOCK_LIST] = list,
    [BLOCK_FACTS] = facts,
    [BLOCK_TABLE] = table,
    [BLOCK_FIGURE] = figure,
};

static void meta(GString *out, const char *name, const char *value)
{
    g_string_append_printf(out, "<meta name=\"%s\" content=\"", name);
    say_bare(out, value);
    g_string_append(out, "\">\n");
}

GString *document_html(const struct document *document)
{
    GString *out = g_string_new("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n"
                                "<meta charset=\"utf-8\">\n<meta name=\"viewport\" "
                                "content=\"width=device-width, initial-scale=1\">\n<title>");
    say_bare(out, document->title);
    g_string_append(out, "</title>\n");
    meta(out, "generator", "perpend");
    if (document->author[0] != '\0')
        meta(out, "author", document->author);
    meta(out, "perpend-record", document->identity);
    g_string_append(out, "<style>\n");
    g_string_append(out, style);
    figure_svg_style(out);
    g_string_append(out, "</style>\n</head>\n<body>\n<header>\n");
    element(out, "<h1>", document->title, "</h1>\n");
    plate(out, document->plate);
    g_string_append(out, "</header>\n<main>\n");
    for (guint i = 0; i < document->blocks->len; i++) {
        const struct block *block = g_ptr_array_index(document->blocks, i);
        writers[block->kind](out, block);
    }
    g_string_append(out, "</main>\n</body>\n</html>\n");
    return out;
}
