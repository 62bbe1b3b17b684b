/* SPDX-License-Identifier: GPL-3.0-or-later */
/* portable MACHINE READINGS: the answer as JSON, in words and as a page, by the parts that need
   neither POSIX nor anything that draws. .ci/portable builds it for WebAssembly as well. */
#include <stdio.h>
#include <stdlib.h>

#include <gsl/gsl_errno.h>

#include "files/files.h"
#include "report/report.h"
#include "text/answer.h"

struct both {
    struct perpend_machine machine;
    struct perpend_job job;
    struct perpend_solution solution;
};

static bool read_both(struct both *both, char *const paths[2], struct fault *fault)
{
    char *text = NULL;
    size_t length;
    bool read = machine_file_read(paths[0], &both->machine, fault) &&
                file_read_text(paths[1], &text, &length, fault) &&
                job_file_parse(text, length, paths[1], &both->machine, &both->job, fault);
    free(text);
    return read;
}

static void print_all(const struct both *both)
{
    struct words words = {.unit = both->machine.unit, .width = 80, .utf8 = true};
    const struct report_input input = {.machine = &both->machine,
        .job = &both->job,
        .solution = &both->solution,
        .name = "Tern",
        .date = "2026-05-06 09:08",
        .digest = "",
        .digest_of = "",
        .version = "test"};
    struct document document = {0};
    struct buffer page = {0};
    char *json = solution_json(&both->machine, &both->job, &both->solution);
    answer_job(&words, &both->machine, &both->job, &both->solution, &(struct answer_options){0});
    report_build(&input, &document);
    document_html(&document, &page);
    printf("%s%s%s", json != NULL ? json : "", buffer_text(&words.out), buffer_text(&page));
    free(json);
    document_finish(&document);
    buffer_finish(&page);
    buffer_finish(&words.out);
}

int main(int argc, char **argv)
{
    struct both both = {.job = {.sweep_count = 0}};
    struct fault fault = {.text = "portable: give a machine file and one of readings"};
    gsl_set_error_handler_off();
    perpend_machine_init(&both.machine);
    bool solved = argc == 3 && read_both(&both, argv + 1, &fault) &&
                  perpend_job_solve(&both.machine, &both.job, &both.solution, NULL) == PERPEND_OK;
    if (solved)
        print_all(&both);
    else
        fprintf(stderr, "%s\n", fault.text);
    perpend_solution_finish(&both.solution);
    perpend_job_finish(&both.job);
    perpend_machine_finish(&both.machine);
    return solved ? 0 : 1;
}
