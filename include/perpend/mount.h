/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_MOUNT_H
#define PERPEND_MOUNT_H

/**
 * The spindle's mount: joints with a facing, bolts, and what each allows; the material in stock.
 *
 * Joints follow one another from the machine to the spindle, and their turns add up; what holds the
 * same part side by side, as two side plates do, is one joint.
 *
 * A joint faces the way its fixed side looks. To bring a lean t to zero the spindle turns by
 * ω = (t_b, −t_r, 0). In a joint with face direction n the part of ω along n is a slide, the rest a
 * shim or a screw.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/geometry.h>
#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

enum perpend_face {
    PERPEND_FACE_FRONT,
    PERPEND_FACE_BACK,
    PERPEND_FACE_LEFT,
    PERPEND_FACE_RIGHT,
    PERPEND_FACE_UP,
    PERPEND_FACE_DOWN
};

/** What a mount and its stock hold at most: more than any has. perpend_plan_make refuses more. */
#define PERPEND_JOINTS_MOST 4
#define PERPEND_BOLTS_MOST 8   /* in one joint */
#define PERPEND_LEAVES_MOST 24 /* kinds in stock */

/** "front", "back", "left", "right", "up", "down"; "?" for what is none. A static string. */
const char *perpend_face_name(enum perpend_face face);

struct perpend_bolt {
    char *name;
    struct perpend_point at; /* mm from the tool tip */
    double thread;           /* nominal diameter, mm; 0 when not stated */
    double hole;             /* mm; 0: the usual one for the thread */
    double pitch;            /* mm; 0: the coarse one for the thread */
    char *thread_name; /* as the file has it, "M5", "1/4-20"; NULL: stated as a length, or not */
};

struct perpend_joint {
    char *name;
    enum perpend_face face;
    unsigned allows;             /* enum perpend_move (perpend/moves.h), or-ed */
    bool centred;                /* where it turns is stated; else about the middle of its bolts */
    struct perpend_point centre; /* of a joint that turns on a spigot or in curved slots, mm */
    double range;                /* rad that it turns either way; 0: as far as one likes */
    struct perpend_bolt *bolts;
    size_t bolt_count; /* 2 to PERPEND_BOLTS_MOST */
};

struct perpend_mount {
    struct perpend_joint *joints;
    size_t joint_count; /* 0: no mount stated */
};

/** One kind of leaf on hand. */
struct perpend_leaf {
    char *name;     /* may be NULL */
    double thick;   /* mm */
    unsigned count; /* leaves on hand */
};

struct perpend_stock {
    struct perpend_leaf *leaves;
    size_t leaf_count; /* 0: no stock stated, any thickness */
};

/** Direction the fixed side of a joint looks: a unit vector in (right, back, up). */
struct perpend_point perpend_face_direction(enum perpend_face face);

/**
 * Usual clearance hole and coarse pitch for a metric thread from M2 to M16, or an inch one from
 * number 2 to 5/8 inch.
 *
 * Given:    thread       nominal diameter, mm
 * Returned: hole, pitch  mm
 * Errors:   PERPEND_ERR_NAME for a thread that is not in the table (state the size itself then)
 * Source:   ISO 273 medium, ISO 261; M2, M2.5, M3.5, M7, M14 and M16 from memory. Inch: ASME B18.2.8
 *           normal, ASME B1.1 coarse, from memory
 */
enum perpend_status perpend_clearance_hole(double thread, double *hole);
enum perpend_status perpend_coarse_pitch(double thread, double *pitch);

/**
 * Play of one bolt, (hole − thread)/2, with the medium hole where none is stated.
 *
 * Value:    mm, ≥ 0; 0 when the thread is not known, or the hole neither stated nor in the table
 */
double perpend_bolt_slack(const struct perpend_bolt *bolt);

/**
 * How far the joint can turn in its own plane from the middle of its play: the least slack of its
 * bolts over the radius of the smallest circle round them.
 *
 * Value:    rad either way; 0 when a bolt has no play, or all stand in one place
 * Source:   docs/method.md, "Play"
 */
double perpend_joint_turn_slack(const struct perpend_joint *joint);

/**
 * Where a joint turns: as stated, or the middle of the smallest circle round its bolts.
 *
 * Returned: centre  mm from the tool tip
 * Value:    mm from there to the farthest bolt: its rim
 */
double perpend_joint_rim(const struct perpend_joint *joint, struct perpend_point *centre);

/**
 * The smallest circle round the joint's bolts, in the joint's plane.
 *
 * Returned: centre  mm from the tool tip; along the face direction at the bolts' mean
 *           radius  mm
 */
void perpend_joint_circle(
    const struct perpend_joint *joint, struct perpend_point *centre, double *radius);

#ifdef __cplusplus
}
#endif

#endif
