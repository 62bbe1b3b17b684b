/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef OVERLAP_H
#define OVERLAP_H

/** Whether texts of a figure are in each other's way. After support.h. */

#include "draw/figure.h"

/* two texts that overlap, or one that leaves the sheet (then `second` equals `first`); boxes that share
   an edge do not overlap */
static inline bool figure_overlap(
    const struct figure *figure, const struct mark **first, const struct mark **second)
{
    const double touch = 0.3;
    *first = *second = NULL;
    for (size_t i = 0; i < figure->mark_count; i++) {
        const struct mark *one = *first = *second = &figure->marks[i];
        const struct box a = one->box;
        if (one->kind != MARK_TEXT)
            continue;
        if (a.x < -touch || a.y < -touch || a.x + a.width > figure->width + touch ||
            a.y + a.height > figure->height + touch)
            return true;
        for (size_t j = i + 1; j < figure->mark_count; j++) {
            const struct box b = figure->marks[j].box;
            *second = &figure->marks[j];
            if ((*second)->kind == MARK_TEXT && a.x + a.width > b.x + touch &&
                b.x + b.width > a.x + touch && a.y + a.height > b.y + touch &&
                b.y + b.height > a.y + touch)
                return true;
        }
    }
    return false;
}

#endif
