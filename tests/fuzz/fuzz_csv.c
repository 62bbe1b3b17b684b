/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as a table of readings. */
#include "job_law.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct perpend_job job = {0};
    struct perpend_machine machine = {.unit = size % 2 == 0 ? PERPEND_UNIT_MM : PERPEND_UNIT_INCH};
    struct fault fault = {0};
    char *text = fuzz_text(data, size);
    if (job_file_parse(text, size, "name", &machine, &job, &fault)) {
        job_check(&job);
        job_round_trip(&job);
    } else {
        fuzz_check_fault(&fault, "name:");
    }
    perpend_job_finish(&job);
    free(text);
    return 0;
}
