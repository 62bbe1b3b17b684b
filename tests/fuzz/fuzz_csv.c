/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as a table of readings, whatever it looks like. */
#include "files/job_table.h"
#include "job_law.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct perpend_job job = {0};
    struct fault fault = {0};
    struct reader reader;
    char *text = fuzz_text(data, size);
    reader_start(&reader, "name", &fault);
    reader.unit = size % 2 == 0 ? PERPEND_UNIT_MM : PERPEND_UNIT_INCH;
    if (text_check(text, size, "name", &fault) && job_table_read(&reader, text, &job)) {
        job_check(&job);
        job_round_trip(&job);
    } else {
        fuzz_check_fault(&fault, "name:");
    }
    perpend_job_finish(&job);
    free(text);
    return 0;
}
