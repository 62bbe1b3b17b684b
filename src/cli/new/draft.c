/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/new/draft.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/complain.h"
#include "files/names.h"
#include "files/yaml_text.h"

void draft_finish(struct draft *draft)
{
    for (size_t i = 0; i < draft->count; i++)
        free(draft->parts[i].text);
    draft->count = 0;
}

static struct part *find(const struct draft *draft, const char *key)
{
    for (size_t i = 0; i < draft->count; i++)
        if (strcmp(draft->parts[i].key, key) == 0)
            return (struct part *)&draft->parts[i];
    return NULL;
}

bool draft_keep(struct draft *draft, const char *key, const char *text, bool as_written)
{
    struct part *part = find(draft, key);
    char *copy = text != NULL ? strdup(text) : NULL;
    if (copy == NULL || (part == NULL && draft->count == sizeof draft->parts / sizeof *part)) {
        free(copy);
        return false;
    }
    if (part == NULL) {
        part = &draft->parts[draft->count++];
        *part = (struct part){.text = NULL};
        snprintf(part->key, sizeof part->key, "%s", key);
    }
    free(part->text);
    part->text = copy;
    part->as_written = as_written;
    return true;
}

const char *draft_text(const struct draft *draft, const char *key)
{
    const struct part *part = find(draft, key);
    return part != NULL ? part->text : NULL;
}

bool draft_is(const struct draft *draft, const char *key, const char *word)
{
    const char *text = draft_text(draft, key);
    return text != NULL && same_word(text, word);
}

enum perpend_unit draft_unit(const struct draft *draft)
{
    return draft_is(draft, "unit", "in") ? PERPEND_UNIT_INCH : PERPEND_UNIT_MM;
}

char *draft_key_of(char numbered[DRAFT_KEY], size_t number, const char *key)
{
    snprintf(numbered, DRAFT_KEY, "%zu %s", number, key);
    return numbered;
}

const char *draft_text_of(const struct draft *draft, size_t number, const char *key)
{
    char numbered[DRAFT_KEY];
    return draft_text(draft, draft_key_of(numbered, number, key));
}

/* ---- from a file ---- */

/* A list or a mapping as it is written, with the blanks before its first line. The parser's marks count
   characters; a block ends where the next key begins, and blank lines and comments before that are none
   of it. */
static char *as_it_stands(const char *text, const yaml_node_t *node)
{
    bool flow = node->type == YAML_MAPPING_NODE
                    ? node->data.mapping.style == YAML_FLOW_MAPPING_STYLE
                    : node->data.sequence.style == YAML_FLOW_SEQUENCE_STYLE;
    struct buffer part = {0};
    if (!flow)
        buffer_addf(&part, "\n%*s", (int)node->start_mark.column, "");
    for (size_t at = 0, bytes; *text != '\0' && at < node->end_mark.index; at++, text += bytes) {
        for (bytes = 1; (text[bytes] & 0xC0) == 0x80;)
            bytes++;
        if (at >= node->start_mark.index)
            buffer_add_bytes(&part, text, bytes);
    }
    char *whole = buffer_take(&part), *line = whole;
    while (line != NULL && !flow && (line = strrchr(whole, '\n')) != NULL) {
        const char *first = line + strspn(line, " \n");
        if (*first != '\0' && *first != '#')
            break;
        *line = '\0';
    }
    return whole;
}

const char *value_alone(const char *section)
{
    return strcmp(section, "arm") == 0   ? "arm.length"
           : strcmp(section, "bed") == 0 ? "bed.kind"
                                         : section;
}

static bool take_pair(struct draft *draft, const char *text, yaml_document_t *document,
    const yaml_node_pair_t *pair, const char *section)
{
    const char *name = (const char *)yaml_document_get_node(document, pair->key)->data.scalar.value;
    const yaml_node_t *value = yaml_document_get_node(document, pair->value);
    char key[DRAFT_KEY];
    snprintf(key, sizeof key, "%s%s%s", section, section[0] != '\0' ? "." : "", name);
    if (value->type == YAML_SCALAR_NODE)
        return draft_keep(draft, value_alone(key), (const char *)value->data.scalar.value, false);
    if (value->type == YAML_MAPPING_NODE && section[0] == '\0' && strcmp(name, "board") != 0 &&
        strcmp(name, "travel") != 0) {
        const yaml_node_pair_t *inner = value->data.mapping.pairs.start;
        while (inner < value->data.mapping.pairs.top)
            if (!take_pair(draft, text, document, inner++, name))
                return false;
        return true;
    }
    char *whole = as_it_stands(text, value);
    bool kept = draft_keep(draft, key, whole, true);
    free(whole);
    return kept;
}

bool draft_read(struct draft *draft, const char *text, size_t length, struct fault *fault)
{
    yaml_document_t document;
    if (!yaml_text_parse(text, length, "the machine file", &document, fault))
        return false;
    const yaml_node_t *root = yaml_document_get_root_node(&document);
    const yaml_node_pair_t *pair = root->data.mapping.pairs.start;
    bool good = true;
    while (good && pair < root->data.mapping.pairs.top)
        good = take_pair(draft, text, &document, pair++, "") || fault_out_of_memory(fault);
    yaml_document_delete(&document);
    draft->mounted = draft_text(draft, "mount") != NULL;
    draft->stocked = draft_text(draft, "stock") != NULL;
    return good;
}
