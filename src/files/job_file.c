/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include "files/job_file.h"

const struct length_range reading_range = {-LENGTH_MOST, LENGTH_MOST};

struct perpend_sweep *job_add_sweep(struct perpend_job *job, const char *name)
{
    char *copy = strdup(name);
    struct perpend_sweep *larger =
        realloc(job->sweeps, (job->sweep_count + 1) * sizeof *job->sweeps);
    if (larger != NULL)
        job->sweeps = larger;
    if (copy == NULL || larger == NULL) {
        free(copy);
        return NULL;
    }
    struct perpend_sweep *sweep = &job->sweeps[job->sweep_count++];
    *sweep = (struct perpend_sweep){.name = copy};
    return sweep;
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

bool job_file_parse(const char *text, size_t length, const char *name,
    const struct perpend_machine *machine, struct perpend_job *job, struct fault *fault)
{
    struct perpend_job read = {0};
    struct reader reader;

    reader_start(&reader, name, fault);
    reader.unit = machine->unit;
    bool done = text_check(text, length, name, fault) &&
                (looks_like_yaml(text) ? job_yaml_read(&reader, text, length, name, machine, &read)
                                       : job_csv_read(&reader, text, &read));
    if (done)
        *job = read;
    else
        perpend_job_finish(&read);
    return done;
}
