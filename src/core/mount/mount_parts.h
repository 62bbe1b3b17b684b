/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MOUNT_PARTS_H
#define MOUNT_PARTS_H

/* What the core's own files share about joints. */

#include <perpend/mount.h>

/** A point in a joint's plane, mm. */
struct flat {
    double a, b;
};

struct flat flat_of(enum perpend_face face, struct perpend_point at);

/**
 * How a shim answers a lean change: the bolt at `at` wants change · lever, mm, less the least of
 * the joint's bolts. That is (ω × r)·n with ω = (−change_b, change_r, 0).
 */
struct perpend_slope shim_lever(enum perpend_face face, struct perpend_point at);

/** Where a joint's bolts begin among those of the whole mount. */
size_t bolts_before(const struct perpend_mount *mount, size_t joint);

/** Thread pitch of a push screw, mm: stated, or ISO 261 coarse; 0 when not known. */
double bolt_pitch(const struct perpend_bolt *bolt);

/**
 * The bolts at the corners of the pattern. What stands under these carries the joint; a bolt that
 * lies between them, or on the line between two, can hang without the joint rocking.
 *
 * Returned: corner  indices, anticlockwise in flat_of's plane; the two ends of bolts in a line
 * Value:    how many, ≥ 1
 */
size_t corner_bolts(const struct perpend_joint *joint, size_t *corner);

#endif
