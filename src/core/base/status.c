/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <perpend/status.h>

const char *perpend_status_text(enum perpend_status status)
{
    switch (status) {
    case PERPEND_OK:
        return "done";
    case PERPEND_ERR_VALUE:
        return "a value is out of range";
    case PERPEND_ERR_MEMORY:
        return "out of memory";
    case PERPEND_ERR_UNDETERMINED:
        return "the readings do not determine the answer";
    case PERPEND_ERR_STEPOVER:
        return "the stepover is wider than the bit cuts";
    case PERPEND_ERR_CONVERGE:
        return "the calculation did not settle";
    case PERPEND_ERR_EMPTY:
        return "nothing was given";
    case PERPEND_ERR_NUMBER:
        return "not a number";
    case PERPEND_ERR_UNIT:
        return "unknown unit";
    case PERPEND_ERR_RANGE:
        return "too large";
    case PERPEND_ERR_NAME:
        return "unknown name";
    case PERPEND_ERR_FILE:
        return "a file is not as it must be";
    case PERPEND_ERR_SYSTEM:
        return "the system gives no file or no memory";
    case PERPEND_ERR_COMMA:
        return "a comma that may part decimals or thousands";
    default:
        return "unknown status";
    }
}
