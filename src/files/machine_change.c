/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "files/machine_change.h"

#include <string.h>

#include "files/buffer.h"
#include "files/number.h"
#include "files/yaml_text.h"

/* Nodes are known by numbers from 1 on; 0: memory was out, and stays so for what is made of it. */
static int add_scalar(yaml_document_t *document, const char *value)
{
    return value == NULL ? 0
                         : yaml_document_add_scalar(document, NULL, (const yaml_char_t *)value, -1,
                               YAML_ANY_SCALAR_STYLE);
}

/* The pair of a key in a mapping; NULL for none. */
static yaml_node_pair_t *find_pair(yaml_document_t *document, int mapping, const char *key)
{
    yaml_node_t *node = yaml_document_get_node(document, mapping);
    yaml_node_pair_t *pair = node->data.mapping.pairs.start;
    for (; pair < node->data.mapping.pairs.top; pair++) {
        const yaml_node_t *name = yaml_document_get_node(document, pair->key);
        if (strcmp((const char *)name->data.scalar.value, key) == 0)
            return pair;
    }
    return NULL;
}

/* Set a key, which may be new. */
static bool set(yaml_document_t *document, int mapping, const char *key, int value)
{
    yaml_node_pair_t *pair = find_pair(document, mapping, key);
    if (value == 0)
        return false;
    if (pair != NULL)
        pair->value = value;
    int name = pair == NULL ? add_scalar(document, key) : 0;
    return pair != NULL ||
           (name != 0 && yaml_document_append_mapping_pair(document, mapping, name, value) != 0);
}

static bool set_number(yaml_document_t *document, int mapping, const char *key, double value)
{
    char digits[NUMBER_SHOWN];
    return set(document, mapping, key, add_scalar(document, number_digits(digits, value, 15)));
}

static int add_stock(yaml_document_t *document, const struct perpend_stock *stock, double per)
{
    int list = yaml_document_add_sequence(document, NULL, YAML_BLOCK_SEQUENCE_STYLE);
    for (size_t i = 0; list != 0 && i < stock->leaf_count; i++) {
        const struct perpend_leaf *leaf = &stock->leaves[i];
        int one = yaml_document_add_mapping(document, NULL, YAML_FLOW_MAPPING_STYLE);
        bool good =
            one != 0 && set_number(document, one, "thick", leaf->thick / per) &&
            set_number(document, one, "count", leaf->count) &&
            (leaf->name == NULL || set(document, one, "name", add_scalar(document, leaf->name))) &&
            yaml_document_append_sequence_item(document, list, one);
        list = good ? list : 0;
    }
    return list;
}

static bool change(yaml_document_t *document, const char *section, const char *key, int value)
{
    yaml_node_pair_t *pair = find_pair(document, 1, section);
    if (key == NULL)
        return set(document, 1, section, value);
    int mapping = pair != NULL ? pair->value
                               : yaml_document_add_mapping(document, NULL, YAML_FLOW_MAPPING_STYLE);
    return mapping != 0 && (pair != NULL || set(document, 1, section, mapping)) &&
           yaml_document_get_node(document, mapping)->type == YAML_MAPPING_NODE &&
           set(document, mapping, key, value);
}

char *machine_text_changed(const char *text, size_t length, const char *section, const char *key,
    const char *value, const struct perpend_stock *stock, struct fault *fault)
{
    yaml_document_t document;
    if (!yaml_text_parse(text, length, "the machine file", &document, fault))
        return NULL;
    const yaml_node_pair_t *unit = find_pair(&document, 1, "unit");
    const char *named =
        unit == NULL
            ? "mm"
            : (const char *)yaml_document_get_node(&document, unit->value)->data.scalar.value;
    double per = strcmp(named, "mm") == 0 ? 1 : PERPEND_MM_PER_INCH;
    int node = value != NULL ? add_scalar(&document, value) : add_stock(&document, stock, per);
    char *changed = NULL;
    if (change(&document, section, key, node))
        changed = yaml_text_write(&document);
    else
        yaml_document_delete(&document);
    if (changed == NULL)
        fault_memory(fault, "the machine file");
    return changed;
}
