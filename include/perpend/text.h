/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_TEXT_H
#define PERPEND_TEXT_H

/**
 * The answer in words, the same that the command says.
 */

#include <stdbool.h>

#include <perpend/job.h>
#include <perpend/machine.h>

#ifdef __cplusplus
extern "C" {
#endif

struct perpend_text_options {
    unsigned width; /* columns, at least 60; 0 for 80 */
    bool ascii;     /* no characters beyond ASCII; else UTF-8 */
    bool more;      /* on as many rows as it takes, and all else behind it */
};

/**
 * The answer to the last measurement of a job in the machine's unit, on 21 rows if it can be; with
 * `more` all that there is to say, and a line for each earlier measurement.
 *
 * Given:    machine, job, solution   of perpend_job_solve
 *           options                  NULL for 80 columns, UTF-8
 * Value:    lines of text; release with free. NULL when memory is out
 */
char *perpend_answer_text(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution, const struct perpend_text_options *options);

#ifdef __cplusplus
}
#endif

#endif
