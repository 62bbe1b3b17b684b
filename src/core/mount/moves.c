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

enum perpend_status perpend_moves_change(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_amount *amounts, struct perpend_slope *change)
{
    const struct perpend_move_row *row = perpend_move_find(move);
    if (!row || joint->bolt_count < 2 || joint->bolt_count > PERPEND_BOLTS_MOST)
        return PERPEND_ERR_VALUE;
    struct perpend_slope found = row->geometry->change(row, joint, amounts);
    if (!isfinite(found.right) || !isfinite(found.back))
        return PERPEND_ERR_VALUE;
    *change = found;
    return PERPEND_OK;
}

enum perpend_status perpend_moves_misfit(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_amount *amounts, double *off)
{
    const struct perpend_move_row *row = perpend_move_find(move);
    if (!row || joint->bolt_count < 2 || joint->bolt_count > PERPEND_BOLTS_MOST)
        return PERPEND_ERR_VALUE;
    double worst = row->geometry->misfit(row, joint, amounts);
    if (isnan(worst))
        return PERPEND_ERR_VALUE;
    *off = worst;
    return PERPEND_OK;
}
