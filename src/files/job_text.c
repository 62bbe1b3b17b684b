/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job file as a text: read and written, whole or without its sweeps. */
#include <string.h>

#include "files/job_keys.h"
#include "files/job_table.h"

static const struct mapping job_mapping = {"a job file", "\"sweeps:\"", job_keys};

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

/* What has a head alone has no sweeps. */
static bool read_document(
    struct reader *reader, const yaml_node_t *root, bool head, struct perpend_job *job)
{
    if (key_line(reader, root, "gauge") != 0)
        return reader_fail(reader, node_line(root),
            "this is a machine file (it has a gauge); give the readings second");
    return read_map(reader, &job_mapping, root, job) &&
           (head || job->sweep_count > 0 ||
               reader_fail(reader, node_line(root),
                   "sweeps is missing; a job file needs perpend and sweeps"));
}

static bool parse(
    struct reader reader, const char *text, size_t length, bool head, struct perpend_job *job)
{
    struct perpend_job read = {0};
    const yaml_node_t *root = !text_check(text, length, reader.name, reader.fault) ? NULL
                              : looks_like_yaml(text) ? read_root(&reader, text, length)
                                                      : job_table_read(&reader, text);
    if (root == NULL)
        return false;
    const bool done = read_document(&reader, root, head, &read);
    yaml_document_delete(&reader.document);
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
    return parse(reader_for(name, machine, fault), text, length, false, job);
}

bool survey_file_parse(const char *text, size_t length, const char *name,
    const struct perpend_machine *machine, struct perpend_job *survey, struct fault *fault)
{
    struct reader reader = reader_for(name, machine, fault);
    reader.survey = true;
    return parse(reader, text, length, false, survey);
}

bool job_head_parse(const char *text, size_t length, const char *name,
    const struct perpend_machine *machine, struct perpend_job *job, struct fault *fault)
{
    return parse(reader_for(name, machine, fault), text, length, true, job);
}

char *job_file_write(const struct perpend_machine *machine, const struct perpend_job *job)
{
    struct writer writer = {.unit = machine->unit, .machine = machine};
    if (!yaml_document_initialize(&writer.document, NULL, NULL, NULL, 1, 1))
        return NULL;
    write_map(&writer, &job_mapping, job, false);
    if (!writer.failed)
        return yaml_text_write(&writer.document);
    yaml_document_delete(&writer.document);
    return NULL;
}

char *job_head_write(const struct perpend_machine *machine, const struct perpend_job *job)
{
    struct perpend_job head = *job;
    head.sweep_count = 0;
    return job_file_write(machine, &head);
}
