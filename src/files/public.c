/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What include/perpend/files.h promises, by what this folder does. */
#include <perpend/files.h>

#include <stdlib.h>
#include <string.h>

#include "files/files.h"

/* A fault's exit status as the library tells it, with its line. */
static enum perpend_status refused(const struct fault *fault, struct perpend_complaint *complaint)
{
    if (complaint != NULL)
        memcpy(complaint->text, fault->text, sizeof complaint->text);
    return fault->status == 2 ? PERPEND_ERR_FILE : PERPEND_ERR_SYSTEM;
}

enum perpend_status perpend_machine_read(
    const char *path, struct perpend_machine *machine, struct perpend_complaint *complaint)
{
    struct fault fault = {0};
    return machine_file_read(path, machine, &fault) ? PERPEND_OK : refused(&fault, complaint);
}

enum perpend_status perpend_job_read(const char *path, const struct perpend_machine *machine,
    struct perpend_job *job, struct perpend_complaint *complaint)
{
    struct fault fault = {0};
    char *text = NULL;
    size_t length;
    bool done = file_read_text(path, &text, &length, &fault) &&
                job_file_parse(text, length, path, machine, job, &fault);
    free(text);
    return done ? PERPEND_OK : refused(&fault, complaint);
}

void perpend_job_complaint(enum perpend_status status, const struct perpend_job_fault *fault,
    const struct perpend_job *job, struct perpend_complaint *complaint)
{
    struct fault said = {0};
    job_fault_text(status, fault, NULL, job, &said);
    (void)refused(&said, complaint);
}

char *perpend_solution_json(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution)
{
    return solution_json(machine, job, solution);
}
