/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <yaml.h>

#include "files/tree.h"

#define BLOCK_BYTES ((size_t)32 << 10)

struct tree_block {
    struct tree_block *next;
    size_t used, room;
    max_align_t bytes[];
};

/* Where the builder stands in one open mapping or list. */
struct level {
    struct node *parent;
    struct node *last; /* child so far */
    const char *key;   /* read, its value not yet */
    size_t key_line;
};

struct builder {
    struct tree *tree;
    struct level levels[TREE_DEPTH_MOST];
    size_t depth;
    size_t nodes;
    bool done; /* the document has ended */
    char name[NAME_SHOWN];
    const char *source; /* the whole text */
    struct fault *fault;
};

static void *take(struct tree *tree, size_t bytes)
{
    struct tree_block *block = tree->blocks;
    size_t step = _Alignof(max_align_t);
    bytes = (bytes + step - 1) / step * step;
    if (block == NULL || block->room - block->used < bytes) {
        size_t room = bytes > BLOCK_BYTES ? bytes : BLOCK_BYTES;
        block = malloc(sizeof *block + room);
        if (block == NULL)
            return NULL;
        *block = (struct tree_block){.next = tree->blocks, .room = room};
        tree->blocks = block;
    }
    void *taken = (char *)block->bytes + block->used;
    block->used += bytes;
    return taken;
}

void tree_finish(struct tree *tree)
{
    while (tree->blocks != NULL) {
        struct tree_block *next = tree->blocks->next;
        free(tree->blocks);
        tree->blocks = next;
    }
    tree->root = NULL;
}

const struct node *node_find(const struct node *map, const char *key)
{
    for (const struct node *child = map->first; child != NULL; child = child->next) {
        if (child->key != NULL && strcmp(child->key, key) == 0)
            return child;
    }
    return NULL;
}

static bool refuse(const struct builder *builder, size_t line, const char *what)
{
    return fault_set(builder->fault, 2, "%s:%zu: %s", builder->name, line, what);
}

/* The key whose value is being read, or what stands in its place. */
static const char *value_name(const struct builder *builder)
{
    const char *key = builder->depth > 0 ? builder->levels[builder->depth - 1].key : NULL;
    return key != NULL ? key : "a key or a value";
}

static const char *copy_text(struct builder *builder, const yaml_event_t *event, size_t line)
{
    const char *text = (const char *)event->data.scalar.value;
    size_t length = event->data.scalar.length;
    if (length > TREE_SCALAR_MOST) {
        fault_set(builder->fault, 2, "%s:%zu: %.40s is %zu bytes long; at most %d are taken",
            builder->name, line, value_name(builder), length, TREE_SCALAR_MOST);
        return NULL;
    }
    if (memchr(text, '\0', length) != NULL) {
        fault_set(builder->fault, 2, "%s:%zu: %.40s holds a NUL character; remove it",
            builder->name, line, value_name(builder));
        return NULL;
    }
    char *copy = take(builder->tree, length + 1);
    if (copy == NULL) {
        fault_memory(builder->fault, builder->name);
        return NULL;
    }
    memcpy(copy, text, length + 1);
    return copy;
}

/* A scalar where a mapping waits for a key. */
static bool add_key(struct builder *builder, const yaml_event_t *event, size_t line)
{
    struct level *level = &builder->levels[builder->depth - 1];
    char quoted[QUOTED];
    const char *key = copy_text(builder, event, line);
    if (key == NULL)
        return false;
    const struct node *earlier = node_find(level->parent, key);
    if (earlier != NULL)
        return fault_set(builder->fault, 2,
            "%s:%zu: the key %s stands twice, first on line %zu; remove one", builder->name, line,
            quote(quoted, key, strlen(key)), earlier->key_line);
    if (level->parent->count >= TREE_KEYS_MOST)
        return refuse(builder, line, "too many keys in one mapping; check the indentation");
    level->key = key;
    level->key_line = line;
    return true;
}

/* A new value, hung below the innermost open mapping or list. NULL after a fault. */
static struct node *add_node(struct builder *builder, enum node_kind kind, size_t line, bool flow)
{
    if (++builder->nodes > TREE_NODES_MOST) {
        refuse(builder, line,
            "the file has more than 1500000 entries; a job holds at most 100000 readings, a joint "
            "8 bolts");
        return NULL;
    }
    struct node *node = take(builder->tree, sizeof *node);
    if (node == NULL) {
        fault_memory(builder->fault, builder->name);
        return NULL;
    }
    *node = (struct node){.kind = kind, .line = line, .flow = flow};
    if (builder->depth == 0) {
        builder->tree->root = node;
        return node;
    }
    struct level *level = &builder->levels[builder->depth - 1];
    node->key = level->key;
    node->key_line = level->key_line;
    level->key = NULL;
    if (level->last == NULL)
        level->parent->first = node;
    else
        level->last->next = node;
    level->last = node;
    level->parent->count++;
    return node;
}

static bool wants_key(const struct builder *builder)
{
    if (builder->depth == 0)
        return false;
    const struct level *level = &builder->levels[builder->depth - 1];
    return level->parent->kind == NODE_MAP && level->key == NULL;
}

static bool open_level(struct builder *builder, enum node_kind kind, size_t line, bool flow)
{
    if (wants_key(builder))
        return refuse(builder, line, "a key must be plain text, such as \"arm\"");
    if (builder->depth == TREE_DEPTH_MOST)
        return refuse(builder, line, "nested too deeply; no key needs so many levels");
    struct node *node = add_node(builder, kind, line, flow);
    if (node == NULL)
        return false;
    builder->levels[builder->depth++] = (struct level){.parent = node};
    return true;
}

static bool add_scalar(struct builder *builder, const yaml_event_t *event, size_t line)
{
    if (wants_key(builder))
        return add_key(builder, event, line);
    const char *text = copy_text(builder, event, line);
    if (text == NULL)
        return false;
    bool flow = builder->depth > 0 && builder->levels[builder->depth - 1].parent->flow;
    struct node *node = add_node(builder, NODE_SCALAR, line, flow);
    if (node == NULL)
        return false;
    node->text = text;
    node->length = event->data.scalar.length;
    return true;
}

static const char *const NO_ANCHORS =
    "anchors and aliases (& and *) are not taken; write the value out";
static const char *const NO_TAGS =
    "tags (!) are not taken; put the value in quotes if it is meant as text";

static bool add_event(struct builder *builder, const yaml_event_t *event)
{
    size_t line = event->start_mark.line + 1;
    switch (event->type) {
    case YAML_DOCUMENT_START_EVENT:
        if (builder->done)
            return refuse(builder, line, "a second document starts here; put it in its own file");
        return true;
    case YAML_DOCUMENT_END_EVENT:
        builder->done = true;
        return true;
    case YAML_ALIAS_EVENT:
        return refuse(builder, line, NO_ANCHORS);
    case YAML_SCALAR_EVENT:
        if (event->data.scalar.anchor != NULL)
            return refuse(builder, line, NO_ANCHORS);
        if (event->data.scalar.tag != NULL)
            return refuse(builder, line, NO_TAGS);
        return add_scalar(builder, event, line);
    case YAML_SEQUENCE_START_EVENT:
        if (event->data.sequence_start.anchor != NULL)
            return refuse(builder, line, NO_ANCHORS);
        if (event->data.sequence_start.tag != NULL)
            return refuse(builder, line, NO_TAGS);
        return open_level(
            builder, NODE_LIST, line, event->data.sequence_start.style == YAML_FLOW_SEQUENCE_STYLE);
    case YAML_MAPPING_START_EVENT:
        if (event->data.mapping_start.anchor != NULL)
            return refuse(builder, line, NO_ANCHORS);
        if (event->data.mapping_start.tag != NULL)
            return refuse(builder, line, NO_TAGS);
        return open_level(
            builder, NODE_MAP, line, event->data.mapping_start.style == YAML_FLOW_MAPPING_STYLE);
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        builder->depth--;
        return true;
    default:
        return true;
    }
}

/* The line that a tab is indented on is the commonest mistake, and the parser's words for it are
   the least helpful. */
static bool line_starts_with_tab(const char *source, size_t line)
{
    for (size_t at = 1; at < line && source != NULL; at++) {
        source = strchr(source, '\n');
        source = source == NULL ? NULL : source + 1;
    }
    return source != NULL && source[strspn(source, " ")] == '\t';
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

static bool fault_syntax(const struct builder *builder, const yaml_parser_t *parser)
{
    size_t line = parser->problem_mark.line + 1, began = parser->context_mark.line + 1;
    const char *problem = parser->problem != NULL ? parser->problem : "not understood";
    const char *context = parser->context != NULL ? parser->context : "";
    char plain[160];
    if (parser->error == YAML_MEMORY_ERROR)
        return fault_memory(builder->fault, builder->name);
    if (line_starts_with_tab(builder->source, line))
        return refuse(builder, line, "the line starts with a tab; indent with spaces");
    for (size_t i = 0; i < sizeof plain_words / sizeof *plain_words; i++) {
        if (strstr(problem, plain_words[i].problem) == NULL ||
            strstr(context, plain_words[i].context) == NULL)
            continue;
        const char *gap = strstr(plain_words[i].plain, "%zu");
        if (gap == NULL)
            return refuse(builder, line, plain_words[i].plain);
        snprintf(plain, sizeof plain, "%.*s%zu%s", (int)(gap - plain_words[i].plain),
            plain_words[i].plain, began, gap + strlen("%zu"));
        return refuse(builder, line, plain);
    }
    return fault_set(builder->fault, 2,
        "%s:%zu: not YAML: %s; check colons, brackets, quotes and indentation", builder->name, line,
        problem);
}

static bool build(struct builder *builder, yaml_parser_t *parser)
{
    for (;;) {
        yaml_event_t event;
        if (!yaml_parser_parse(parser, &event))
            return fault_syntax(builder, parser);
        bool last = event.type == YAML_STREAM_END_EVENT;
        bool taken = add_event(builder, &event);
        yaml_event_delete(&event);
        if (!taken)
            return false;
        if (last)
            break;
    }
    const struct node *root = builder->tree->root;
    if (root == NULL)
        return fault_set(
            builder->fault, 2, "%s: nothing but comments; is it the right file?", builder->name);
    if (root->kind != NODE_MAP)
        return refuse(builder, root->line,
            "must be keys and values, such as \"perpend: 1\"; is it the right file?");
    return true;
}

bool tree_parse(
    const char *text, size_t length, const char *name, struct tree *tree, struct fault *fault)
{
    struct builder builder = {.tree = tree, .source = text, .fault = fault};
    yaml_parser_t parser;

    *tree = (struct tree){0};
    name_shown(builder.name, name);
    if (!yaml_parser_initialize(&parser))
        return fault_memory(fault, name);
    yaml_parser_set_encoding(&parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&parser, (const unsigned char *)text, length);
    bool built = build(&builder, &parser);
    yaml_parser_delete(&parser);
    return built;
}
