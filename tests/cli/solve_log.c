/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A job's answer straight from the log, as 'perpend solve --json' would print it:
 *
 *     solve_log LOG JOB
 *
 * What 'perpend log export' gives must lead to the same bytes by way of the two files. */
#include <stdio.h>
#include <stdlib.h>

#include <perpend/job.h>
#include <perpend/status.h>

#include "log/log.h"

int main(int argc, char **argv)
{
    struct fault fault = {.status = 0};
    struct log_book *book = NULL;
    struct log_record record;
    struct perpend_solution solution;
    int status = 1;
    if (argc != 3)
        return 2;
    if (!log_open(argv[1], LOG_READ, &book, &fault) ||
        !log_load(book, strtoll(argv[2], NULL, 10), &record, &fault)) {
        fprintf(stderr, "solve_log: %s\n", fault.text);
        log_close(book);
        return 1;
    }
    int solved = perpend_job_solve(&record.machine, &record.job, &solution, NULL);
    if (record.readable && solved == PERPEND_OK) {
        char *json = solution_json(&record.machine, &record.job, &solution);
        status = json ? 0 : 1;
        fputs(json ? json : "", stdout);
        free(json);
        perpend_solution_finish(&solution);
    } else {
        fprintf(stderr, "solve_log: %s\n", perpend_status_text(solved));
    }
    log_record_finish(&record);
    log_close(book);
    return status;
}
