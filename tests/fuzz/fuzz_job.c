/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as a file of readings, job or table. */
#include "job_law.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct perpend_job job;
    struct fault fault = {0};
    char *text = fuzz_text(data, size);
    if (job_file_parse(text, size, "name", fuzz_machine(), &job, &fault)) {
        job_check(&job);
        job_round_trip(&job);
        perpend_job_finish(&job);
    } else {
        fuzz_check_fault(&fault, "name:");
    }
    free(text);
    return 0;
}
