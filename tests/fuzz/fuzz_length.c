/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any text as a number and as a length: finite, the same again with blanks round it, and in inches
   25.4 times what it is in mm where it has no unit of its own. */
#include <math.h>

#include <perpend/status.h>
#include <perpend/units.h>

#include "fuzz.h"
#include "files/number.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    double number = 0.0, mm = 0.0, inch = 0.0, again = 0.0;
    char *text = fuzz_text(data, size), *padded = malloc(size + 3), written[NUMBER_SHOWN];
    must(padded != NULL);
    sprintf(padded, " %s ", text);
    int as_number = perpend_number_parse(text, &number);
    int as_length = perpend_length_parse(text, PERPEND_UNIT_MM, &mm);
    int as_inches = perpend_length_parse(text, PERPEND_UNIT_INCH, &inch);
    must(as_number <= 0 && as_length <= 0);
    must(as_number == PERPEND_OK ? isfinite(number) : number == 0.0);
    must(as_length == PERPEND_OK ? isfinite(mm) : mm == 0.0);
    must(as_number != PERPEND_OK || (as_length == PERPEND_OK && mm == number));
    must(perpend_length_parse(padded, PERPEND_UNIT_MM, &again) == as_length && again == mm);
    if (as_length == PERPEND_OK && as_number == PERPEND_OK)
        must(as_inches == PERPEND_OK ? fabs(inch - 25.4 * mm) <= 1e-15 * fabs(inch)
                                     : as_inches == PERPEND_ERR_RANGE);
    else if (as_length == PERPEND_OK)
        must(as_inches == PERPEND_OK && inch == mm);
    if (as_number == PERPEND_OK)
        must(number_exact(written, number, reads_as_number, number, PERPEND_UNIT_MM));
    free(text);
    free(padded);
    return 0;
}
