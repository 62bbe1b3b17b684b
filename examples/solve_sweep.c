/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A machine file and a file of readings in; the answer out, in words and for programs. Build with
       cc solve_sweep.c $(pkg-config --cflags --libs perpend)
   and run as ./a.out tern.yaml tern-as-found.yaml */
#include <stdio.h>
#include <stdlib.h>

#include <perpend/perpend.h>

int main(int argc, char **argv)
{
    if (argc != 3)
        return fprintf(stderr, "solve_sweep MACHINE READINGS\n"), 2;
    struct perpend_machine machine = {0};
    struct perpend_job job = {0};
    struct perpend_solution solution = {0};
    struct perpend_job_fault fault;
    struct perpend_complaint complaint;
    char *text = NULL, *json = NULL;
    enum perpend_status status = perpend_machine_read(argv[1], &machine, &complaint);
    if (status == PERPEND_OK)
        status = perpend_job_read(argv[2], &machine, &job, &complaint);
    if (status == PERPEND_OK) {
        status = perpend_job_solve(&machine, &job, &solution, &fault);
        if (status != PERPEND_OK)
            perpend_job_complaint(status, &fault, &job, &complaint);
    }
    if (status == PERPEND_OK) {
        text = perpend_answer_text(&machine, &job, &solution, NULL);
        json = perpend_solution_json(&machine, &job, &solution);
        printf("%s%s", text ? text : "", json ? json : "");
    } else {
        fprintf(stderr, "%s\n", complaint.text);
    }
    free(text);
    free(json);
    perpend_solution_finish(&solution);
    perpend_job_finish(&job);
    perpend_machine_finish(&machine);
    return status == PERPEND_OK ? 0 : 1;
}
