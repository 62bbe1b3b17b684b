/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any text as a bearing: within a turn, and its written form reads back to it. */
#include <perpend/status.h>
#include <perpend/units.h>

#include "fuzz.h"
#include "files/number.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    double bearing = 0.0, again = 0.0;
    char *text = fuzz_text(data, size), written[NUMBER_SHOWN];
    int status = perpend_bearing_parse(text, &bearing);
    must(status <= 0);
    if (status == PERPEND_OK) {
        must(bearing >= 0.0 && bearing < 2.0 * PERPEND_PI);
        must(number_exact(
            written, perpend_degrees(bearing), reads_as_degrees, bearing, PERPEND_UNIT_MM));
        const char *name = perpend_bearing_name(bearing);
        if (name != NULL) {
            must(perpend_bearing_parse(name, &again) == PERPEND_OK);
            double off = again > bearing ? again - bearing : bearing - again;
            must(off < 2e-6 || off > 2.0 * PERPEND_PI - 2e-6);
        }
    } else {
        must(bearing == 0.0);
    }
    free(text);
    return 0;
}
