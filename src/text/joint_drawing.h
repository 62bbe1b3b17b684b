/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JOINT_DRAWING_H
#define JOINT_DRAWING_H

/**
 * A joint drawn in text as somebody sees it who stands where its fixed side looks, its bolts
 * numbered in the order of the machine file, with what each gets beside it:
 *
 *     ┌──────────────┐  1 top left      0.2 mm: 4 × 0.05 mm brass
 *     │[1]        [2]│  2 top right     0.2 mm: 4 × 0.05 mm brass
 *     │ 3          4 │  3 bottom left   keep snug
 *     └──────────────┘  4 bottom right  keep snug
 *
 * Brackets mark the bolts that get something. Rows stand in order, not to scale.
 */

#include <perpend/mount.h>
#include <perpend/plan.h>

#include "text/gets.h"
#include "text/words.h"

/**
 * Given:    joint
 *           step    what each bolt gets; NULL for the bolts' names alone
 *           stock   names the leaves of a stack; NULL without a step
 *           indent  columns to the left of it
 */
void joint_drawing_add(struct words *words, const struct perpend_joint *joint,
    const struct perpend_step *step, const struct perpend_stock *stock, unsigned indent);

/** The bolts that get something in a step, a line each, without a drawing. */
void joint_list_add(struct words *words, const struct perpend_joint *joint,
    const struct perpend_step *step, const struct perpend_stock *stock, unsigned indent);

/** From where the drawing is seen: "seen from the front", "seen from above, the back at the top".
 */
const char *joint_drawing_view(enum perpend_face face);

/** Where a point, or a displacement, is to the eye of somebody who stands there, mm. */
struct joint_sight {
    double across, up;
};
struct joint_sight joint_sight(enum perpend_face face, struct perpend_point at);

#endif
