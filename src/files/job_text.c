/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job file as a text: read and written, whole or without its sweeps. */
#include <string.h>

#include "files/job_keys.h"
#include "files/job_table.h"

#define HEAD_KEYS_MOST 20

static const struct mapping job_mapping = {"a job file", "\"sweeps:\"", job_keys};

/* All but the sweeps, which stand last. */
static struct mapping head_mapping(struct key keys[HEAD_KEYS_MOST])
{
    size_t count = 0;
    while (job_keys[count + 1].name != NULL && count + 1 < HEAD_KEYS_MOST) {
        keys[count] = job_keys[count];
        count++;
    }
    keys[count] = (struct key){0};
    return (struct mapping){"the head of a job file", "\"perpend: 1\"", keys};
}

static bool read_document(struct reader *reader, const yaml_node_t *root,
    const struct mapping *mapping, struct perpend_job *job)
{
    if (root == NULL)
        return false;
    bool done = key_line(reader, root, "gauge") == 0
                    ? read_map(reader, mapping, root, job)
                    : reader_fail(reader, node_line(root),
                          "this is a machine file (it has a gauge); give the readings second");
    yaml_document_delete(&reader->document);
    return done;
}

/* YAML shows itself by its first line that says anything: a comment, a marker, a bracket, or a key
   with a colon before any separator of a table. */
static bool looks_like_yaml(const char *text)
{
    text += strspn(text, " \t\n");
    if (*text == '\0' || strchr("#%{[&*!|>", *text) != NULL || strncmp(text, "---", 3) == 0 ||
        strncmp(text, "- ", 2) == 0)
        return true;
    return text[strcspn(text, ":,;\t\n")] == ':';
}

static bool parse(const char *text, size_t length, struct reader *reader,
    const struct mapping *mapping, struct perpend_job *job)
{
    struct perpend_job read = {0};
    bool done =
        text_check(text, length, reader->name, reader->fault) &&
        read_document(reader,
            looks_like_yaml(text) ? read_root(reader, text, length) : job_table_read(reader, text),
            mapping, &read);
    if (done)
        *job = read;
    else
        perpend_job_finish(&read);
    return done;
}

static struct reader reader_for(
    const char *name, const struct perpend_machine *machine, struct fault *fault)
{
    struct reader reader;
    reader_start(&reader, name, fault);
    reader.unit = machine->unit;
    reader.machine = machine;
    return reader;
}

bool job_file_parse(const char *text, size_t length, const char *name,
    const struct perpend_machine *machine, struct perpend_job *job, struct fault *fault)
{
    struct reader reader = reader_for(name, machine, fault);
    return parse(text, length, &reader, &job_mapping, job);
}

bool job_head_parse(const char *text, size_t length, const char *name,
    const struct perpend_machine *machine, struct perpend_job *job, struct fault *fault)
{
    struct reader reader = reader_for(name, machine, fault);
    struct key keys[HEAD_KEYS_MOST];
    const struct mapping mapping = head_mapping(keys);
    return parse(text, length, &reader, &mapping, job);
}

static char *write(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct mapping *mapping)
{
    struct writer writer = {.unit = machine->unit, .machine = machine};
    if (!yaml_document_initialize(&writer.document, NULL, NULL, NULL, 1, 1))
        return NULL;
    write_map(&writer, mapping, job, false);
    if (!writer.failed)
        return yaml_text_write(&writer.document);
    yaml_document_delete(&writer.document);
    return NULL;
}

char *job_file_write(const struct perpend_machine *machine, const struct perpend_job *job)
{
    return write(machine, job, &job_mapping);
}

char *job_head_write(const struct perpend_machine *machine, const struct perpend_job *job)
{
    struct key keys[HEAD_KEYS_MOST];
    const struct mapping mapping = head_mapping(keys);
    return write(machine, job, &mapping);
}
