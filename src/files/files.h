/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FILES_H
#define FILES_H

/**
 * Machine files (YAML), job files (YAML) and readings (CSV) in; JSON and YAML out.
 *
 * Every function that reads returns true, or false with one line in `fault` that names the place,
 * the thing and the way out, without the leading "perpend: ".
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/job.h>
#include <perpend/machine.h>

#define FILES_LARGEST ((size_t)1 << 20) /* bytes */
#define LEVER_ANGLE_MOST 60.0           /* degrees; the published cosine corrections end there */

/** What went wrong: the exit status it calls for (2 bad input, 3 the machine) and one line. */
struct fault {
    int status;
    bool is_job; /* a job file where a machine file was wanted: sound perhaps, of the other kind */
    char text[512];
};

/** Fill a fault: status, then a printf format. Always returns false. */
bool fault_set(struct fault *fault, int status, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/**
 * Read a whole file once: a regular file, a FIFO or "-" for standard input, up to FILES_LARGEST. A
 * directory, an empty file and a binary one (a NUL byte) are refused; a UTF-8 byte order mark is
 * dropped; CRLF and CR line ends become LF.
 *
 * Returned: text    NUL-terminated, by malloc
 *           length  without the NUL
 */
bool file_read_text(const char *path, char **text, size_t *length, struct fault *fault);

/** A machine file, from a path or from text already in memory (NUL-terminated, `length` without the
 *  NUL; `name` stands in messages, which name neither file, line nor part where it is ""). `machine`
 *  is untouched on a fault. */
bool machine_file_read(const char *path, struct perpend_machine *machine, struct fault *fault);
bool machine_file_parse(const char *text, size_t length, const char *name,
    struct perpend_machine *machine, struct fault *fault);

/** Readings for a machine: a job file or CSV, told apart by their content. `job` is untouched on a
 *  fault. */
bool job_file_parse(const char *text, size_t length, const char *name,
    const struct perpend_machine *machine, struct perpend_job *job, struct fault *fault);

/** Touches of a board: a job whose readings have places and no bearings (NAN); written as any job. */
bool survey_file_parse(const char *text, size_t length, const char *name,
    const struct perpend_machine *machine, struct perpend_job *survey, struct fault *fault);

/** Write a job as a job file that job_file_parse reads back to the same numbers (17 digits). NULL
 *  when memory is out; else by malloc. */
char *job_file_write(const struct perpend_machine *machine, const struct perpend_job *job);

/** The same for all but the sweeps: what is known of a job before its first reading. */
char *job_head_write(const struct perpend_machine *machine, const struct perpend_job *job);
bool job_head_parse(const char *text, size_t length, const char *name,
    const struct perpend_machine *machine, struct perpend_job *job, struct fault *fault);

/** One line for a job that could not be solved (status from perpend_job_solve), naming the reading
 *  that would settle it where there is one. It begins with `name`, the file's or the machine's; NULL:
 *  with the sweep. */
void job_fault_text(enum perpend_status status, const struct perpend_job_fault *where,
    const char *name, const struct perpend_job *job, struct fault *fault);

/** The answer in the machine-readable format 1, one line end at its end; by malloc, NULL when
 *  memory is out. */
char *solution_json(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution);

#endif
