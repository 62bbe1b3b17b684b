/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A list of what was done, bolt by bolt. */
#include "core/job/did.h"

#include <math.h>
#include <string.h>

#include <perpend/status.h>

bool did_amounts(const struct perpend_did *did, size_t count, size_t joint, enum perpend_move move,
    struct perpend_amount amounts[PERPEND_BOLTS_MOST])
{
    bool any = false;
    memset(amounts, 0, PERPEND_BOLTS_MOST * sizeof *amounts);
    for (size_t i = 0; i < count; i++) {
        if (did[i].joint != joint || did[i].move != move)
            continue;
        any = true;
        amounts[did[i].bolt] = perpend_amount_sum(amounts[did[i].bolt], did[i].amount);
    }
    return any;
}

/* Openings under the other bolts, so that the plane between them leans the other way; slides and
   screws the other way. */
static void turn_round(
    const struct perpend_move_row *row, size_t bolts, struct perpend_amount *amounts)
{
    double low = amounts[0].value, high = amounts[0].value;
    for (size_t i = 0; i < bolts; i++) {
        low = fmin(low, amounts[i].value);
        high = fmax(high, amounts[i].value);
    }
    bool leaves = row->amount == PERPEND_AMOUNT_THICKNESS;
    for (size_t i = 0; i < bolts; i++) {
        const struct perpend_point shift = amounts[i].shift;
        amounts[i].value = (leaves ? low + high : 0.0) - amounts[i].value;
        amounts[i].shift = (struct perpend_point){-shift.right, -shift.back, -shift.up};
    }
}

enum perpend_status perpend_did_other_end(const struct perpend_mount *mount,
    const struct perpend_adjustment *adjustment, const struct perpend_did *did, size_t count,
    struct perpend_did *other, size_t *other_count)
{
    const struct perpend_slope asked = adjustment->asked, obtained = adjustment->obtained;
    const struct perpend_move_row *row, *turned = NULL;
    struct perpend_amount amounts[PERPEND_BOLTS_MOST];
    size_t joint = 0, kept = 0;
    double nearest = INFINITY;
    for (size_t j = 0; j < mount->joint_count; j++)
        for (size_t m = 0; (row = perpend_move_at(m)) != NULL; m++) {
            struct perpend_slope change;
            if (!did_amounts(did, count, j, row->move, amounts))
                continue;
            enum perpend_status status =
                perpend_moves_change(&mount->joints[j], row->move, amounts, &change);
            if (status != PERPEND_OK)
                return status;
            double off = hypot(asked.right - 2.0 * change.right - obtained.right,
                asked.back - 2.0 * change.back - obtained.back);
            if (off < nearest) {
                nearest = off;
                joint = j;
                turned = row;
            }
        }
    for (size_t i = 0; i < count; i++)
        if (turned == NULL || did[i].joint != joint || did[i].move != turned->move)
            other[kept++] = did[i];
    if (turned != NULL) {
        did_amounts(did, count, joint, turned->move, amounts);
        turn_round(turned, mount->joints[joint].bolt_count, amounts);
    }
    for (size_t i = 0; turned != NULL && i < mount->joints[joint].bolt_count; i++)
        if (!perpend_amount_is_none(amounts[i]))
            other[kept++] = (struct perpend_did){joint, i, turned->move, amounts[i]};
    *other_count = kept;
    return PERPEND_OK;
}
