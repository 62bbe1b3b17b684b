/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_FILES_H
#define PERPEND_FILES_H

/**
 * Machine and job files in, the answer for programs out: what `perpend solve --json` does.
 * perpend-machine(5) and perpend-job(5) describe the files, docs/solve.schema.json the answer.
 */

#include <perpend/job.h>
#include <perpend/machine.h>
#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

/** One line for a person, in English and UTF-8: the place, the thing and the way out. */
struct perpend_complaint {
    char text[512];
};

/**
 * Read a machine file.
 *
 * Given:    path       a file of at most 64 MiB; "-" for standard input
 * Returned: machine    release with perpend_machine_finish
 *           complaint  after an error; NULL when not wanted
 * Errors:   PERPEND_ERR_FILE    the file is not there or not as it must be
 *           PERPEND_ERR_SYSTEM  it cannot be read, or memory is out
 */
enum perpend_status perpend_machine_read(
    const char *path, struct perpend_machine *machine, struct perpend_complaint *complaint);

/**
 * Read the sweeps of a job for a machine, from a job file or a CSV table.
 *
 * Given:    path, machine
 * Returned: job        release with perpend_job_finish
 *           complaint  after an error; NULL when not wanted
 * Errors:   as perpend_machine_read
 */
enum perpend_status perpend_job_read(const char *path, const struct perpend_machine *machine,
    struct perpend_job *job, struct perpend_complaint *complaint);

/**
 * Why a job has no answer, and which reading would give it one.
 *
 * Given:    status, fault   from perpend_job_solve
 *           machine, job    as given to it
 * Returned: complaint       begins with the sweep's name
 */
void perpend_job_complaint(enum perpend_status status, const struct perpend_job_fault *fault,
    const struct perpend_job *job, struct perpend_complaint *complaint);

/**
 * The answer for programs, in JSON format 1: mm, mm/m and degrees.
 *
 * Given:    machine, job, solution   of perpend_job_solve
 * Value:    a text that ends in one line end; release with free. NULL when memory is out
 */
char *perpend_solution_json(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution);

#ifdef __cplusplus
}
#endif

#endif
