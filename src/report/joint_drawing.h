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

#include "words.h"

/**
 * Given:    joint
 *           step    what each bolt gets; NULL for the bolts' names alone
 *           stock   names the leaves of a stack; NULL without a step
 *           indent  columns to the left of it
 */
void joint_drawing_add(struct words *words, const struct perpend_joint *joint,
    const struct perpend_step *step, const struct perpend_stock *stock, unsigned indent);

/** From where the drawing is seen: "seen from the front", "seen from above, the back at the top".
 */
const char *joint_drawing_view(enum perpend_face face);

/** Where a point, or a displacement, is to the eye of somebody who stands there, mm. */
struct joint_sight {
    double across, up;
};
struct joint_sight joint_sight(enum perpend_face face, struct perpend_point at);

/** What a bolt gets in a step: "0.2 mm: 4 × 0.05 mm brass", "keep snug". */
void bolt_gets(const struct words *words, struct buffer *phrase, const struct perpend_step *step,
    size_t bolt, const struct perpend_stock *stock);

/** "0.53 mm": a shim, to 0.01 mm, thin ones to 0.001 mm: what hands can sort out. */
void words_thickness(const struct words *words, struct buffer *phrase, double thickness);

/** A displacement: "0.25 mm right and 0.03 mm up"; parts under a twentieth of the largest are left
 *  out; "not at all" for none. */
void words_displacement(
    const struct words *words, struct buffer *phrase, struct perpend_point displacement);

#endif
