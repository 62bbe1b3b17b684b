/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of moves. */
#include <math.h>
#include <string.h>

#include <perpend/moves.h>
#include <perpend/status.h>

#include "core/mount/move_parts.h"

static const struct perpend_move_row rows[PERPEND_MOVE_COUNT] = {
    {
        .move = PERPEND_MOVE_SHIM,
        .name = "shim",
        .key = "shim",
        .amount = PERPEND_AMOUNT_THICKNESS,
        .need = PERPEND_NEEDS_NOTHING,
        .limit = PERPEND_LIMIT_STOCK,
        .trouble = 3,
        .geometry = &move_shims,
    },
    {
        .move = PERPEND_MOVE_SLIDE,
        .name = "slide",
        .key = "slide",
        .amount = PERPEND_AMOUNT_DISPLACEMENT,
        .need = PERPEND_NEEDS_HOLE,
        .limit = PERPEND_LIMIT_PLAY,
        .trouble = 1,
        .geometry = &move_slides,
    },
    {
        .move = PERPEND_MOVE_SCREW,
        .name = "screw",
        .key = "turns",
        .amount = PERPEND_AMOUNT_TURNS,
        .need = PERPEND_NEEDS_PITCH,
        .limit = PERPEND_LIMIT_NONE,
        .trouble = 2,
        .geometry = &move_screws,
    },
    {
        .move = PERPEND_MOVE_TURN,
        .name = "turn",
        .key = "angle",
        .amount = PERPEND_AMOUNT_ANGLE,
        .need = PERPEND_NEEDS_NOTHING,
        .limit = PERPEND_LIMIT_PLAY,
        .trouble = 1,
        .geometry = &move_turns,
    },
};

const struct perpend_move_row *perpend_move_at(size_t index)
{
    return index < PERPEND_MOVE_COUNT ? &rows[index] : NULL;
}

size_t perpend_move_index(enum perpend_move move)
{
    size_t index = 0;
    while (index < PERPEND_MOVE_COUNT && rows[index].move != move)
        index++;
    return index;
}

const struct perpend_move_row *perpend_move_find(enum perpend_move move)
{
    return perpend_move_at(perpend_move_index(move));
}

const struct perpend_move_row *perpend_move_named(const char *name)
{
    for (size_t i = 0; i < PERPEND_MOVE_COUNT; i++)
        if (strcmp(rows[i].name, name) == 0)
            return &rows[i];
    return NULL;
}

const char *perpend_move_name(enum perpend_move move)
{
    const struct perpend_move_row *row = perpend_move_find(move);
    return row ? row->name : "?";
}

bool perpend_amount_is_none(struct perpend_amount amount)
{
    return amount.value == 0.0 && amount.shift.right == 0.0 && amount.shift.back == 0.0 &&
           amount.shift.up == 0.0;
}

struct perpend_amount perpend_amount_sum(struct perpend_amount a, struct perpend_amount b)
{
    return (struct perpend_amount){
        .value = a.value + b.value,
        .shift = {a.shift.right + b.shift.right, a.shift.back + b.shift.back,
            a.shift.up + b.shift.up},
    };
}

static enum perpend_status fit_amounts(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_amount *amounts, struct move_fit *fit)
{
    const struct perpend_move_row *row = perpend_move_find(move);
    if (!row || joint->bolt_count < 2 || joint->bolt_count > PERPEND_BOLTS_MOST)
        return PERPEND_ERR_VALUE;
    *fit = row->geometry->fit(row, joint, amounts);
    return isfinite(fit->change.right + fit->change.back + fit->off) ? PERPEND_OK
                                                                     : PERPEND_ERR_VALUE;
}

enum perpend_status perpend_moves_change(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_amount *amounts, struct perpend_slope *change)
{
    struct move_fit fit;
    enum perpend_status status = fit_amounts(joint, move, amounts, &fit);
    if (status == PERPEND_OK)
        *change = fit.change;
    return status;
}

enum perpend_status perpend_moves_misfit(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_amount *amounts, double *off)
{
    struct move_fit fit;
    enum perpend_status status = fit_amounts(joint, move, amounts, &fit);
    if (status == PERPEND_OK)
        *off = fit.off;
    return status;
}

double most_moved(const struct perpend_move_row *row, const struct perpend_joint *joint,
    struct perpend_slope change)
{
    struct perpend_amount amounts[PERPEND_BOLTS_MOST];
    struct perpend_point centre;
    double rim = perpend_joint_rim(joint, &centre), most = 0.0;
    row->geometry->amounts(row, joint, change, centre, amounts);
    for (size_t i = 0; i < joint->bolt_count; i++) {
        double per =
            row->amount == PERPEND_AMOUNT_ANGLE ? rim : row->geometry->opening(&joint->bolts[i]);
        double shift = sqrt(perpend_dot(amounts[i].shift, amounts[i].shift));
        most = fmax(most, fabs(amounts[i].value) * per + shift);
    }
    return most;
}
