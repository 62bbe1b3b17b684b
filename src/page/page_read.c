/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file that somebody brings, as the page holds it. */
#include <stdlib.h>
#include <string.h>

#include <perpend/machine.h>

#include "files/yaml_text.h"
#include "page/page.h"
#include "page/reply.h"

static void put_node(struct json *json, yaml_document_t *document, const char *key, int index)
{
    const yaml_node_t *node = yaml_document_get_node(document, index);
    if (node->type == YAML_SCALAR_NODE) {
        json_add(json, "%s: %s", key, (const char *)node->data.scalar.value);
    } else if (node->type == YAML_SEQUENCE_NODE) {
        json_add(json, "%s: [", key);
        const yaml_node_item_t *item = node->data.sequence.items.start;
        for (; item < node->data.sequence.items.top; item++)
            put_node(json, document, NULL, *item);
        json_add(json, "]");
    } else {
        json_add(json, "%s: {", key);
        const yaml_node_pair_t *pair = node->data.mapping.pairs.start;
        for (; pair < node->data.mapping.pairs.top; pair++) {
            const yaml_node_t *name = yaml_document_get_node(document, pair->key);
            bool plain = name->type == YAML_SCALAR_NODE;
            put_node(
                json, document, plain ? (const char *)name->data.scalar.value : "?", pair->value);
        }
        json_add(json, "}");
    }
}

/* A table has no keys: it is read as a job, and written as a job file. */
static char *table_as_file(const char *text, const char *machine_text, struct fault *fault)
{
    struct perpend_machine machine;
    struct perpend_job job = {0};
    char *file = NULL;
    perpend_machine_init(&machine);
    if (machine_file_parse(machine_text, strlen(machine_text), "machine", &machine, fault) &&
        job_file_parse(text, strlen(text), "file", &machine, &job, fault))
        file = job_file_write(&machine, &job);
    perpend_job_finish(&job);
    perpend_machine_finish(&machine);
    return file;
}

char *page_read(const char *text, const char *machine)
{
    struct json json = {.compact = true};
    struct fault fault = {0};
    yaml_document_t document;
    char *table = NULL;
    json_add(&json, "{");
    bool read = text_check(text, strlen(text), "file", &fault) &&
                yaml_text_parse(text, strlen(text), "file", &document, &fault);
    if (!read && *machine != '\0' && (table = table_as_file(text, machine, &fault)) != NULL)
        read = yaml_text_parse(table, strlen(table), "file", &document, &fault);
    if (read) {
        json_add(&json, "error: null");
        put_node(&json, &document, "file", 1);
        yaml_document_delete(&document);
    } else {
        reply_fault(&json, "file", &fault);
    }
    json_add(&json, "}");
    free(table);
    return json_take(&json);
}
