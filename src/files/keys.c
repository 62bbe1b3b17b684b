/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <ctype.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "files/keys.h"
#include "files/names.h"

void reader_start(struct reader *reader, const char *name, struct fault *fault)
{
    *reader = (struct reader){.unit = PERPEND_UNIT_MM, .fault = fault};
    name_shown(reader->name, name);
}

bool reader_fail(const struct reader *reader, size_t line, const char *format, ...)
{
    char message[sizeof reader->fault->text];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    if (reader->name[0] == '\0') /* one value that somebody has just typed */
        return fault_set(reader->fault, 2, "%s", message);
    return fault_set(reader->fault, 2, "%s:%zu: %s%s", reader->name, line, reader->path, message);
}

bool value_wrong(const struct value *value, const char *format, ...)
{
    char message[sizeof value->reader->fault->text], quoted[QUOTED];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    return value_fail(
        value, "%s %s %s", value->name, quote(quoted, value->text, strlen(value->text)), message);
}

bool reader_memory(const struct reader *reader)
{
    return fault_memory(reader->fault, reader->name);
}

/* Add to the path; value: its length before, to cut it to afterwards. */
static size_t enter(struct reader *reader, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
static size_t enter(struct reader *reader, const char *format, ...)
{
    size_t mark = strlen(reader->path);
    va_list arguments;
    va_start(arguments, format);
    if (!reader->plain)
        vsnprintf(reader->path + mark, sizeof reader->path - mark, format, arguments);
    va_end(arguments);
    return mark;
}

size_t node_line(const yaml_node_t *node)
{
    return node->start_mark.line + 1;
}

static const yaml_node_t *node_at(struct reader *reader, int index)
{
    return yaml_document_get_node(&reader->document, index);
}

/* The pair of a mapping with this key, or NULL. Keys that are no text are refused by read_map. */
static const yaml_node_pair_t *find_pair(
    struct reader *reader, const yaml_node_t *map, const char *name)
{
    const yaml_node_pair_t *pair = map->data.mapping.pairs.start;
    for (; pair < map->data.mapping.pairs.top; pair++) {
        const yaml_node_t *key = node_at(reader, pair->key);
        if (key->type == YAML_SCALAR_NODE && strcmp((char *)key->data.scalar.value, name) == 0)
            return pair;
    }
    return NULL;
}

size_t key_line(struct reader *reader, const yaml_node_t *map, const char *key)
{
    const yaml_node_pair_t *pair = find_pair(reader, map, key);
    return pair == NULL ? 0 : node_line(node_at(reader, pair->key));
}

static struct value value_at(struct reader *reader, const char *name, int index)
{
    const yaml_node_t *node = node_at(reader, index);
    bool scalar = node->type == YAML_SCALAR_NODE;
    return (struct value){.reader = reader,
        .name = name,
        .node = node,
        .text = scalar ? (const char *)node->data.scalar.value : NULL,
        .line = node_line(node)};
}

struct value value_with(const struct value *value, const void *detail)
{
    struct value other = *value;
    other.detail = detail;
    return other;
}

bool value_is_text(const struct value *value)
{
    const yaml_node_t *node = value->node;
    if (value->text == NULL)
        return value_fail(value, "%s must be a single value, not a %s", value->name,
            node->type == YAML_MAPPING_NODE ? "mapping" : "list");
    if (node->data.scalar.length == 0 && !value->reader->plain)
        return value_fail(value, "%s has no value; write one behind the colon", value->name);
    return strlen(value->text) == node->data.scalar.length ||
           value_fail(value, "%s holds a NUL character; remove it", value->name);
}

/* ---- a mapping ---- */

static size_t key_names(const struct key *keys, bool only_required, const char **names)
{
    size_t count = 0;
    for (; keys->name != NULL; keys++) {
        if (keys->required || !only_required)
            names[count++] = keys->name;
    }
    return count;
}

/* "{step: 0,05}" reads as the keys step and 05, the second without a value. */
static bool split_at_comma(
    struct reader *reader, const yaml_node_t *map, const yaml_node_pair_t *pair, const char *name)
{
    if (pair == map->data.mapping.pairs.start || map->data.mapping.style != YAML_FLOW_MAPPING_STYLE)
        return false;
    const yaml_node_t *before = node_at(reader, pair[-1].value),
                      *value = node_at(reader, pair->value);
    return before->type == YAML_SCALAR_NODE && before->data.scalar.length > 0 &&
           value->type == YAML_SCALAR_NODE && value->data.scalar.length == 0 &&
           isdigit(before->data.scalar.value[before->data.scalar.length - 1]) &&
           isdigit((unsigned char)name[0]);
}

static bool fail_unknown_key(struct reader *reader, const struct mapping *mapping,
    const yaml_node_t *map, const yaml_node_pair_t *pair)
{
    const char *names[KEYS_MOST];
    char quoted[QUOTED], guess[WORDS], words[WORDS];
    const yaml_node_t *key = node_at(reader, pair->key);
    const char *name = (const char *)key->data.scalar.value;
    if (split_at_comma(reader, map, pair, name)) {
        const char *before = (const char *)node_at(reader, pair[-1].key)->data.scalar.value;
        const char *digits = (const char *)node_at(reader, pair[-1].value)->data.scalar.value;
        return reader_fail(reader, node_line(key),
            "%s %s,%.12s is split in two at its comma here; write a point, or quotes: \"%s,%.12s\"",
            before, digits, name, digits, name);
    }
    size_t count = key_names(mapping->keys, false, names);
    quote(quoted, name, strlen(name));
    return reader_fail(reader, node_line(key), "unknown key %s; %s takes %s%s", quoted,
        mapping->what, words_and(words, names, count), name_guess(guess, name, names, count));
}

/* Each key is plain text, one of the table's, and stands once. */
static bool check_keys(struct reader *reader, const struct mapping *mapping, const yaml_node_t *map)
{
    const yaml_node_pair_t *pair = map->data.mapping.pairs.start;
    for (; pair < map->data.mapping.pairs.top; pair++) {
        const yaml_node_t *key = node_at(reader, pair->key);
        const struct key *known = mapping->keys;
        if (key->type != YAML_SCALAR_NODE)
            return reader_fail(reader, node_line(key), "a key must be plain text, such as \"arm\"");
        const char *name = (const char *)key->data.scalar.value;
        while (known->name != NULL && strcmp(known->name, name) != 0)
            known++;
        if (known->name == NULL)
            return fail_unknown_key(reader, mapping, map, pair);
        if (find_pair(reader, map, name) != pair)
            return reader_fail(reader, node_line(key),
                "the key \"%s\" stands twice, first on line %zu; remove one", name,
                key_line(reader, map, name));
    }
    return true;
}

bool read_map(
    struct reader *reader, const struct mapping *mapping, const yaml_node_t *node, void *into)
{
    const char *names[KEYS_MOST];
    char words[WORDS];
    if (node->type != YAML_MAPPING_NODE)
        return reader_fail(reader, node_line(node), "%s must be keys and values, such as %s",
            mapping->what, mapping->example);
    if (!check_keys(reader, mapping, node))
        return false;
    for (const struct key *key = mapping->keys; key->name != NULL; key++) {
        if (key->required && find_pair(reader, node, key->name) == NULL)
            return reader_fail(reader, node_line(node), "%s is missing; %s needs %s", key->name,
                mapping->what, words_and(words, names, key_names(mapping->keys, true, names)));
    }
    for (const struct key *key = mapping->keys; key->name != NULL; key++) {
        const yaml_node_pair_t *pair = find_pair(reader, node, key->name);
        if (pair == NULL)
            continue;
        struct value value = value_at(reader, key->name, pair->value);
        value.detail = key->detail;
        if (!key->read(&value, (char *)into + key->offset))
            return false;
    }
    return true;
}

/* A mapping under a key of its own. */
bool read_section(const struct value *value, void *at)
{
    struct reader *reader = value->reader;
    size_t mark = value->node->type == YAML_MAPPING_NODE ? enter(reader, "%s: ", value->name)
                                                         : strlen(reader->path);
    bool done = read_map(reader, value->detail, value->node, at);
    reader->path[mark] = '\0';
    return done;
}

/* The format that the file says it is written in. */
static bool check_version(struct reader *reader, const yaml_node_t *root)
{
    const yaml_node_pair_t *pair = find_pair(reader, root, "perpend");
    if (pair == NULL)
        return reader_fail(reader, node_line(root),
            "perpend is missing; begin the file with \"perpend: 1\", the format it is written in");
    const struct value version = value_at(reader, "perpend", pair->value);
    if (!value_is_text(&version))
        return false;
    return (version.text != NULL && strcmp(version.text, "1") == 0) ||
           value_wrong(&version, "is a format this program does not know; it reads format 1");
}

const yaml_node_t *read_root(struct reader *reader, const char *text, size_t length)
{
    if (!yaml_text_parse(text, length, reader->name, &reader->document, reader->fault))
        return NULL;
    const yaml_node_t *root = yaml_document_get_root_node(&reader->document);
    if (check_version(reader, root))
        return root;
    yaml_document_delete(&reader->document);
    return NULL;
}

/* ---- a list ---- */

size_t entry_count(const struct value *value)
{
    return value->node->type != YAML_SEQUENCE_NODE
               ? 0
               : (size_t)(value->node->data.sequence.items.top -
                          value->node->data.sequence.items.start);
}

struct value entry_of(const struct value *value, size_t index)
{
    return value_at(value->reader, value->name, value->node->data.sequence.items.start[index]);
}

bool read_list(const struct value *value, void *at)
{
    const struct list *list = value->detail;
    struct reader *reader = value->reader;
    size_t *count = (size_t *)((char *)at + list->count), entries = entry_count(value);
    if (value->node->type != YAML_SEQUENCE_NODE)
        return value_fail(
            value, "%s must be a list, one %s behind each dash", value->name, list->one);
    if (entries < list->least)
        return value_fail(value, "%s needs %zu or more and has %zu; write one %s behind each dash",
            value->name, list->least, entries, list->one);
    if (entries > list->most)
        return value_fail(
            value, "%s has %zu; at most %zu are taken", value->name, entries, list->most);
    char *room = calloc(entries, list->size);
    if (room == NULL)
        return reader_memory(reader);
    memcpy((char *)at + list->entries, &room, sizeof room);
    for (size_t index = 0; index < entries; index++) {
        const yaml_node_t *node = entry_of(value, index).node;
        size_t mark = enter(reader, "%s %zu: ", list->path, index + 1);
        (*count)++; /* on a fault too: it is the owner's to release */
        bool done = read_map(reader, list->mapping, node, room + index * list->size) &&
                    (list->check == NULL || list->check(reader, node, at, index));
        reader->path[mark] = '\0';
        if (!done)
            return false;
    }
    return true;
}

/* ---- and back ---- */

/* Nodes count from 1; libyaml gives 0 when memory is out. */
static int made(struct writer *writer, int node)
{
    if (node == 0)
        writer->failed = true;
    else if (writer->line > 0)
        writer->document.nodes.start[node - 1].start_mark.line = writer->line - 1;
    return node;
}

int write_start_map(struct writer *writer, bool braces)
{
    return made(writer, yaml_document_add_mapping(&writer->document, NULL,
                            braces ? YAML_FLOW_MAPPING_STYLE : YAML_BLOCK_MAPPING_STYLE));
}

int write_start_list(struct writer *writer, bool brackets)
{
    return made(writer, yaml_document_add_sequence(&writer->document, NULL,
                            brackets ? YAML_FLOW_SEQUENCE_STYLE : YAML_BLOCK_SEQUENCE_STYLE));
}

int write_word(struct writer *writer, const char *word)
{
    return made(writer, yaml_document_add_scalar(&writer->document, NULL, (const yaml_char_t *)word,
                            -1, YAML_PLAIN_SCALAR_STYLE));
}

int write_text(struct writer *writer, const char *text)
{
    return made(writer, yaml_document_add_scalar(&writer->document, NULL, (const yaml_char_t *)text,
                            -1, YAML_ANY_SCALAR_STYLE));
}

void write_pair(struct writer *writer, int map, const char *key, int value)
{
    int name = write_word(writer, key);
    if (!writer->failed)
        made(writer, yaml_document_append_mapping_pair(&writer->document, map, name, value));
}

void write_entry(struct writer *writer, int list, int value)
{
    if (!writer->failed)
        made(writer, yaml_document_append_sequence_item(&writer->document, list, value));
}

int write_map(struct writer *writer, const struct mapping *mapping, const void *from, bool braces)
{
    int map = write_start_map(writer, braces);
    for (const struct key *key = mapping->keys; key->name != NULL; key++) {
        int value = key->write ? key->write(writer, key, (const char *)from + key->offset) : 0;
        if (value != 0)
            write_pair(writer, map, key->name, value);
    }
    return map;
}

int write_list(struct writer *writer, const struct key *key, const void *at)
{
    const struct list *list = key->detail;
    const char *entry;
    size_t count = *(const size_t *)((const char *)at + list->count);
    int node = count > 0 ? write_start_list(writer, false) : 0;
    memcpy(&entry, (const char *)at + list->entries, sizeof entry);
    for (size_t i = 0; i < count; i++)
        write_entry(
            writer, node, write_map(writer, list->mapping, entry + i * list->size, list->braces));
    return node;
}
