/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/verdict.h>

const char *perpend_verdict_text(enum perpend_verdict verdict)
{
    switch (verdict) {
    case PERPEND_VERDICT_MET:
        return "met";
    case PERPEND_VERDICT_NOT_MET:
        return "not met";
    case PERPEND_VERDICT_TOO_CLOSE:
        return "too close";
    case PERPEND_VERDICT_UNKNOWN:
        return "unknown";
    case PERPEND_VERDICT_NO_GOAL:
    default:
        return NULL;
    }
}

enum perpend_verdict perpend_verdict_for(double chance)
{
    if (isnan(chance))
        return PERPEND_VERDICT_NO_GOAL;
    if (chance >= PERPEND_VERDICT_SURE)
        return PERPEND_VERDICT_MET;
    return chance <= 1.0 - PERPEND_VERDICT_SURE ? PERPEND_VERDICT_NOT_MET
                                                : PERPEND_VERDICT_TOO_CLOSE;
}
