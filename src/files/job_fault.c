/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "files/fault.h"
#include "files/number.h"

/* What the readings lack, for PERPEND_ERR_UNDETERMINED. */
static void fault_undetermined(
    const struct perpend_fit *fit, const char *name, const char *sweep, struct fault *fault)
{
    char degrees[NUMBER_SHOWN];
    switch (fit->need.kind) {
    case PERPEND_NEED_BEARING:
        fault_set(fault, 2,
            "%ssweep %s: %zu reading%s cannot tell the lean; add one at %s (%s degrees)", name,
            sweep, fit->quality.readings, fit->quality.readings == 1 ? "" : "s",
            perpend_bearing_nearest(fit->need.bearing),
            number_shown(degrees, perpend_degrees(fit->need.bearing)));
        break;
    case PERPEND_NEED_CUT:
        fault_set(fault, 2,
            "%ssweep %s: a test cut along one axis cannot tell the lean; cut along %s as well and "
            "read "
            "its step, or sweep",
            name, sweep, fit->need.bearing == 0.0 ? "X" : "Y");
        break;
    case PERPEND_NEED_NOTHING:
        fault_set(fault, 2,
            "%ssweep %s: the readings do not determine the lean; read at four bearings or more",
            name, sweep);
        break;
    }
}

void job_fault_text(enum perpend_status status, const struct perpend_job_fault *where,
    const char *name, const struct perpend_job *job, struct fault *fault)
{
    char file[NAME_SHOWN], shown[NAME_SHOWN + 2] = "", quoted[QUOTED] = "\"\"";
    if (name != NULL)
        snprintf(shown, sizeof shown, "%s: ", name_shown(file, name));
    if (where->sweep < job->sweep_count)
        quote(quoted, job->sweeps[where->sweep].name, strlen(job->sweeps[where->sweep].name));
    switch (status) {
    case PERPEND_ERR_MEMORY:
        fault_memory(fault, name != NULL ? name : "the job");
        break;
    case PERPEND_ERR_UNDETERMINED:
        fault_undetermined(&where->fit, shown, quoted, fault);
        break;
    case PERPEND_ERR_STEPOVER:
        fault_set(fault, 2,
            "%ssweep %s: leaning so, the bit cuts less than a stepover and leaves stripes; "
            "take a smaller stepover, or check the readings",
            shown, quoted);
        break;
    case PERPEND_ERR_CONVERGE:
        fault_set(fault, 2,
            "%ssweep %s: no lean fits these readings; check them, their unit and the arm's "
            "length",
            shown, quoted);
        break;
    default:
        fault_set(fault, 2, "%ssweep %s: %s; check the readings, their unit and the arm's length",
            shown, quoted, perpend_status_text(status));
        break;
    }
}
