/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JOB_FILES_H
#define JOB_FILES_H

/** A job that stands in two files, machine and readings, and its answer. */

#include <stddef.h>

#include <perpend/job.h>
#include <perpend/machine.h>

struct job_files {
    const char *machine_path;
    char *machine_text, *readings_text; /* as read: reports take their digest over these */
    size_t machine_length, readings_length;
    struct perpend_machine machine;
    struct perpend_job job;
    struct perpend_solution solution;
};

/**
 * Read both files and work the job out; complain when that fails.
 *
 * Returned: files    release with job_files_finish, whatever came of it
 * Value:    0, or the exit status
 */
int job_files_solve(struct job_files *files, const char *machine_path, const char *readings_path);

void job_files_finish(struct job_files *files);

#endif
