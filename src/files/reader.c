/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <ctype.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "files/names.h"
#include "files/reader.h"

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
    return fault_set(reader->fault, 2, "%s:%zu: %s%s", reader->name, line, reader->path, message);
}

bool reader_memory(const struct reader *reader)
{
    return fault_memory(reader->fault, reader->name);
}

size_t reader_enter(struct reader *reader, const char *format, ...)
{
    size_t mark = strlen(reader->path);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(reader->path + mark, sizeof reader->path - mark, format, arguments);
    va_end(arguments);
    return mark;
}

void reader_leave(struct reader *reader, size_t mark)
{
    reader->path[mark] = '\0';
}

static size_t key_names(const struct key *keys, bool only_required, const char **names)
{
    size_t count = 0;
    for (; keys->name != NULL; keys++) {
        if (keys->required || !only_required)
            names[count++] = keys->name;
    }
    return count;
}

static const struct key *find_key(const struct key *keys, const char *name)
{
    for (; keys->name != NULL; keys++) {
        if (strcmp(keys->name, name) == 0)
            return keys;
    }
    return NULL;
}

/* "{step: 0,05}" reads as the keys step and 05, the second without a value. */
static bool split_at_comma(const struct node *before, const struct node *node)
{
    return before != NULL && before->kind == NODE_SCALAR && before->length > 0 && node->flow &&
           node->kind == NODE_SCALAR && node->length == 0 &&
           isdigit((unsigned char)before->text[before->length - 1]) &&
           isdigit((unsigned char)node->key[0]);
}

static bool fail_unknown_key(const struct reader *reader, const struct mapping *mapping,
    const struct node *before, const struct node *node)
{
    const char *names[TREE_KEYS_MOST];
    char quoted[QUOTED], words[WORDS];
    if (split_at_comma(before, node))
        return reader_fail(reader, node->key_line,
            "%s %s,%.12s is split in two at its comma here; write a point, or quotes: \"%s,%.12s\"",
            before->key, before->text, node->key, before->text, node->key);
    size_t count = key_names(mapping->keys, false, names);
    quote(quoted, node->key, strlen(node->key));
    const char *near = nearest_name(node->key, names, count);
    if (near != NULL)
        return reader_fail(
            reader, node->key_line, "unknown key %s; did you mean %s?", quoted, near);
    return reader_fail(reader, node->key_line, "unknown key %s; %s takes %s", quoted, mapping->what,
        words_and(words, names, count));
}

bool read_map(
    struct reader *reader, const struct mapping *mapping, const struct node *node, void *into)
{
    const char *names[TREE_KEYS_MOST];
    char words[WORDS];
    if (node->kind != NODE_MAP)
        return reader_fail(reader, node->line, "%s must be keys and values, such as %s",
            mapping->what, mapping->example);
    const struct node *before = NULL;
    for (const struct node *child = node->first; child != NULL; child = child->next) {
        if (find_key(mapping->keys, child->key) == NULL)
            return fail_unknown_key(reader, mapping, before, child);
        before = child;
    }
    for (const struct key *key = mapping->keys; key->name != NULL; key++) {
        if (key->required && node_find(node, key->name) == NULL)
            return reader_fail(reader, node->line, "%s is missing; %s needs %s", key->name,
                mapping->what, words_and(words, names, key_names(mapping->keys, true, names)));
    }
    for (const struct key *key = mapping->keys; key->name != NULL; key++) {
        const struct node *child = node_find(node, key->name);
        if (child != NULL && !key->read(reader, key, child, (char *)into + key->offset))
            return false;
    }
    return true;
}

void *read_entries(struct reader *reader, const char *what, const char *one,
    const struct node *node, size_t least, size_t most, size_t size)
{
    if (node->kind != NODE_LIST) {
        reader_fail(reader, node->line, "%s must be a list, one %s behind each dash", what, one);
        return NULL;
    }
    if (node->count < least) {
        reader_fail(reader, node->line,
            "%s needs %zu or more and has %zu; write one %s behind each dash", what, least,
            node->count, one);
        return NULL;
    }
    if (node->count > most) {
        reader_fail(
            reader, node->line, "%s has %zu; at most %zu are taken", what, node->count, most);
        return NULL;
    }
    void *array = calloc(node->count, size);
    if (array == NULL)
        reader_memory(reader);
    return array;
}

const char *node_text(struct reader *reader, const char *name, const struct node *node)
{
    if (node->kind != NODE_SCALAR) {
        reader_fail(reader, node->line, "%s must be a single value, not a %s", name,
            node->kind == NODE_MAP ? "mapping" : "list");
        return NULL;
    }
    if (node->length == 0) {
        reader_fail(reader, node->line, "%s has no value; write one behind the colon", name);
        return NULL;
    }
    return node->text;
}

bool read_version(struct reader *reader, const struct node *root)
{
    const struct node *version = node_find(root, "perpend");
    char quoted[QUOTED];
    if (version == NULL)
        return reader_fail(reader, root->line,
            "perpend is missing; begin the file with \"perpend: 1\", the format it is written in");
    const char *text = node_text(reader, "perpend", version);
    if (text == NULL)
        return false;
    if (strcmp(text, "1") != 0)
        return reader_fail(reader, version->line,
            "perpend %s is a format this program does not know; it reads format 1",
            quote(quoted, text, version->length));
    return true;
}
