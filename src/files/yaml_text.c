/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <string.h>

#include "files/buffer.h"
#include "files/yaml_text.h"

#define DEPTH_MOST 12 /* libyaml takes the square of the depth in time; no key needs as many */

struct source {
    const char *text;
    size_t length;
    char name[NAME_SHOWN];
    struct fault *fault;
};

static bool refuse(const struct source *source, size_t line, const char *what)
{
    return fault_set(source->fault, 2, "%s:%zu: %s", source->name, line, what);
}

/* The line that a tab is indented on is the commonest mistake, and the parser's words for it are
   the least helpful. */
static bool line_starts_with_tab(const char *text, size_t line)
{
    for (size_t at = 1; at < line && text != NULL; at++) {
        text = strchr(text, '\n');
        text = text == NULL ? NULL : text + 1;
    }
    return text != NULL && text[strspn(text, " ")] == '\t';
}

/* The parser's words, for people who have never heard of a flow sequence. The first row whose two
   texts are in the parser's problem and context holds; %zu is the line where that began. */
static const struct {
    const char *problem, *context, *plain;
} plain_words[] = {
    {"expected ',' or ']'", "",
        "a comma or ] is missing in the list that began on line %zu; add it"},
    {"expected ',' or '}'", "",
        "a comma or } is missing in the braces that began on line %zu; add it"},
    {"unexpected end of stream", "quoted", "the quote opened on line %zu is never closed; add one"},
    {"unexpected document indicator", "quoted",
        "the quote opened on line %zu is never closed; add one"},
    {"mapping values are not allowed", "",
        "a colon does not belong here; put a text that holds one in quotes, line up the keys"},
    {"expected key", "",
        "this does not fit in with the keys that began on line %zu; check indentation and quotes"},
    {"expected '-' indicator", "",
        "this does not fit in with the list that began on line %zu; check its indentation"},
    {"expected <document start>", "", "the keys do not line up; check the indentation above"},
    {"could not find expected ':'", "", "the key on line %zu has no colon behind it; add one"},
    {"cannot start any token", "", "a text that begins with this character must stand in quotes"},
    {"unknown escape", "", "\\ begins a code in double quotes; use single quotes"},
    {"hexdecimal", "", "\\ begins a code in double quotes; use single quotes"},
    {"directive", "", "a line that begins with % is not taken; remove it"},
    {"incompatible YAML", "", "this version of YAML is not known; remove the line"},
};

static bool fault_syntax(const struct source *source, const yaml_parser_t *parser)
{
    size_t line = parser->problem_mark.line + 1, began = parser->context_mark.line + 1;
    const char *problem = parser->problem;
    const char *context = parser->context != NULL ? parser->context : "";
    char plain[160];
    if (problem == NULL) /* the loader does not always say that memory is out */
        return fault_memory(source->fault, source->name);
    if (line_starts_with_tab(source->text, line))
        return refuse(source, line, "the line starts with a tab; indent with spaces");
    for (size_t i = 0; i < sizeof plain_words / sizeof *plain_words; i++) {
        if (strstr(problem, plain_words[i].problem) == NULL ||
            strstr(context, plain_words[i].context) == NULL)
            continue;
        const char *gap = strstr(plain_words[i].plain, "%zu");
        if (gap == NULL)
            return refuse(source, line, plain_words[i].plain);
        snprintf(plain, sizeof plain, "%.*s%zu%s", (int)(gap - plain_words[i].plain),
            plain_words[i].plain, began, gap + strlen("%zu"));
        return refuse(source, line, plain);
    }
    return fault_set(source->fault, 2,
        "%s:%zu: not YAML: %s; check colons, brackets, quotes and indentation", source->name, line,
        problem);
}

static bool parser_start(yaml_parser_t *parser, const struct source *source)
{
    if (!yaml_parser_initialize(parser))
        return fault_memory(source->fault, source->name);
    yaml_parser_set_encoding(parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(parser, (const unsigned char *)source->text, source->length);
    return true;
}

/* What a document no longer shows. A syntax error ends the look: the parser will come upon it. */
static bool check_tokens(const struct source *source)
{
    yaml_parser_t parser;
    yaml_token_t token;
    int depth = 0;
    const char *wrong = NULL;
    if (!parser_start(&parser, source))
        return false;
    for (bool ended = false; !ended && wrong == NULL && yaml_parser_scan(&parser, &token);) {
        switch (token.type) {
        case YAML_STREAM_END_TOKEN:
            ended = true;
            break;
        case YAML_ANCHOR_TOKEN:
        case YAML_ALIAS_TOKEN:
            wrong = "anchors and aliases (& and *) are not taken; write the value out";
            break;
        case YAML_TAG_TOKEN:
            wrong = "tags (!) are not taken; put the value in quotes if it is meant as text";
            break;
        case YAML_BLOCK_SEQUENCE_START_TOKEN:
        case YAML_BLOCK_MAPPING_START_TOKEN:
        case YAML_FLOW_SEQUENCE_START_TOKEN:
        case YAML_FLOW_MAPPING_START_TOKEN:
            if (++depth > DEPTH_MOST)
                wrong = "nested too deeply; no key needs so many levels";
            break;
        case YAML_BLOCK_END_TOKEN:
        case YAML_FLOW_SEQUENCE_END_TOKEN:
        case YAML_FLOW_MAPPING_END_TOKEN:
            depth--;
            break;
        default:
            break;
        }
        if (wrong != NULL)
            refuse(source, token.start_mark.line + 1, wrong);
        yaml_token_delete(&token);
    }
    yaml_parser_delete(&parser);
    return wrong == NULL;
}

static bool check_root(const struct source *source, yaml_document_t *document)
{
    const yaml_node_t *root = yaml_document_get_root_node(document);
    if (root == NULL)
        return fault_set(
            source->fault, 2, "%s: nothing but comments; is it the right file?", source->name);
    return root->type == YAML_MAPPING_NODE ||
           refuse(source, root->start_mark.line + 1,
               "must be keys and values, such as \"perpend: 1\"; is it the right file?");
}

static bool check_end(const struct source *source, yaml_parser_t *parser)
{
    yaml_document_t second;
    if (!yaml_parser_load(parser, &second))
        return fault_syntax(source, parser);
    bool there = yaml_document_get_root_node(&second) != NULL;
    size_t line = second.start_mark.line + 1;
    yaml_document_delete(&second);
    return !there || refuse(source, line, "a second document starts here; put it in its own file");
}

bool yaml_text_parse(const char *text, size_t length, const char *name, yaml_document_t *document,
    struct fault *fault)
{
    struct source source = {.text = text, .length = length, .fault = fault};
    yaml_parser_t parser;
    name_shown(source.name, name);
    if (!check_tokens(&source) || !parser_start(&parser, &source))
        return false;
    bool loaded = yaml_parser_load(&parser, document);
    bool good = loaded ? check_end(&source, &parser) && check_root(&source, document)
                       : fault_syntax(&source, &parser);
    if (loaded && !good)
        yaml_document_delete(document);
    yaml_parser_delete(&parser);
    return good;
}

static int append(void *buffer, unsigned char *bytes, size_t count)
{
    buffer_add_bytes(buffer, (const char *)bytes, count);
    return !((struct buffer *)buffer)->failed;
}

char *yaml_text_write(yaml_document_t *document)
{
    struct buffer text = {0};
    yaml_emitter_t emitter;
    if (!yaml_emitter_initialize(&emitter)) {
        yaml_document_delete(document);
        return NULL;
    }
    yaml_emitter_set_encoding(&emitter, YAML_UTF8_ENCODING);
    yaml_emitter_set_unicode(&emitter, 1);
    yaml_emitter_set_width(&emitter, -1);
    yaml_emitter_set_output(&emitter, append, &text);
    if (!yaml_emitter_dump(&emitter, document) || !yaml_emitter_close(&emitter))
        text.failed = true;
    yaml_emitter_delete(&emitter);
    return buffer_take(&text);
}
