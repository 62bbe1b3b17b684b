/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as a machine file and, behind a line of equals signs, readings: an answer of numbers,
   or one harmless line. */
#include <math.h>

#include <perpend/job.h>
#include <perpend/status.h>

#include "fuzz.h"

static const char BETWEEN[] = "\n====\n";

static void check_answer(const struct perpend_machine *machine, const struct perpend_job *job,
    const struct perpend_solution *solution)
{
    for (size_t i = 0; i < solution->measurement_count; i++) {
        const struct perpend_measurement *m = &solution->measurements[i];
        must(isfinite(m->fit.lean.right) && isfinite(m->fit.lean.back));
        must(isfinite(m->ridge.height) && m->ridge.height >= 0.0);
        must(m->ridge.best_height <= m->ridge.height * (1.0 + 1e-9) + 1e-9);
        must(m->distribution.low <= m->distribution.high);
    }
    char *json = solution_json(machine, job, solution);
    must(json != NULL && json[0] == '{');
    free(json);
}

static void solve(const struct perpend_machine *machine, const struct perpend_job *job)
{
    struct perpend_solution solution;
    struct perpend_job_fault where = {0};
    struct fault fault = {0};
    int status = perpend_job_solve(machine, job, &solution, &where);
    if (status == PERPEND_OK) {
        check_answer(machine, job, &solution);
        perpend_solution_finish(&solution);
    } else {
        job_fault_text(status, &where, "name", job, &fault);
        fuzz_check_fault(&fault, "name:");
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct perpend_machine machine;
    struct perpend_job job;
    struct fault fault = {0};
    char *text = fuzz_text(data, size), *between = strstr(text, BETWEEN);
    if (between == NULL)
        goto done;
    const char *readings = between + strlen(BETWEEN);
    if (!machine_file_parse(text, (size_t)(between + 1 - text), "name", &machine, &fault))
        goto done;
    if (job_file_parse(readings, strlen(readings), "name", &machine, &job, &fault)) {
        solve(&machine, &job);
        perpend_job_finish(&job);
    }
    perpend_machine_finish(&machine);
done:
    free(text);
    return 0;
}
