/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/job_files.h"

#include <stdlib.h>

#include <perpend/status.h>

#include "files/files.h"
#include "cli/options.h"

int job_files_solve(struct job_files *files, const char *machine_path, const char *readings_path)
{
    struct fault fault = {0};
    struct perpend_job_fault where;
    *files = (struct job_files){.machine_path = machine_path};
    perpend_machine_init(&files->machine);
    if (!file_read_text(machine_path, &files->machine_text, &files->machine_length, &fault) ||
        !machine_file_parse(
            files->machine_text, files->machine_length, machine_path, &files->machine, &fault) ||
        !file_read_text(readings_path, &files->readings_text, &files->readings_length, &fault) ||
        !job_file_parse(files->readings_text, files->readings_length, readings_path,
            &files->machine, &files->job, &fault))
        return complain_fault(&fault);
    enum perpend_status status =
        perpend_job_solve(&files->machine, &files->job, &files->solution, &where);
    if (status == PERPEND_OK)
        return 0;
    job_fault_text(status, &where, readings_path, &files->job, &fault);
    return complain_fault(&fault);
}

void job_files_finish(struct job_files *files)
{
    perpend_solution_finish(&files->solution);
    perpend_job_finish(&files->job);
    perpend_machine_finish(&files->machine);
    free(files->machine_text);
    free(files->readings_text);
}
