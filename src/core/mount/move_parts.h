/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MOVE_PARTS_H
#define MOVE_PARTS_H

/**
 * What a row of the table of moves does: from a change of lean to amounts at the bolts and back.
 *
 *   openings.c   shims and push screws: the joint is opened unevenly
 *   slides.c     the joint is turned in its own plane, in the play of its holes or about a centre
 *   rigid.c      the rigid move that comes nearest to what the bolts did
 *   moves.c      the table
 */

#include <perpend/moves.h>

/** What one move of a joint can do for the lean. */
struct move_reach {
    int dims;                       /* 0: nothing; 1: along `direction` only; 2: any change */
    struct perpend_slope direction; /* of unit size, when dims is 1 */
    double low, high;               /* range of the change along it */
};

/** The change that amounts make, and how far the worst is from what a rigid joint can do, mm. */
struct move_fit {
    struct perpend_slope change;
    double off; /* NAN when an amount is not finite */
};

struct perpend_move_geometry {
    /* mm of opening that an amount of 1 makes at a bolt; 0 when it is not known */
    double (*opening)(const struct perpend_bolt *bolt);
    /* `turned`: what the joint has turned in its plane already, rad about its face direction */
    struct move_reach (*reach)(
        const struct perpend_move_row *row, const struct perpend_joint *joint, double turned);
    /* amounts that make a change; the joint turns about `pivot` where that matters */
    void (*amounts)(const struct perpend_move_row *row, const struct perpend_joint *joint,
        struct perpend_slope change, struct perpend_point pivot, struct perpend_amount *amounts);
    struct move_fit (*fit)(const struct perpend_move_row *row, const struct perpend_joint *joint,
        const struct perpend_amount *amounts);
};

extern const struct perpend_move_geometry move_shims, move_screws, move_slides, move_turns;

/** mm at the bolt that moves most when a joint makes a change by a move. */
double most_moved(const struct perpend_move_row *row, const struct perpend_joint *joint,
    struct perpend_slope change);

/** What bolts did, and what one of each of two turns would do at each; a joint's bolts shift
 *  together as well. */
struct rigid {
    size_t count;
    struct perpend_point moved[PERPEND_BOLTS_MOST], by[2][PERPEND_BOLTS_MOST]; /* mm */
    double turn[2]; /* how much of each: least squares */
    double off;     /* how far the worst bolt is from that, mm; NAN when one is not finite */
};

/**
 * Given:    rigid   count, moved, by; the second turn is left at 0 where it does what the first does
 * Returned: rigid   turn, off; moved is what is left, by is taken about the bolts' mean
 */
void rigid_fit(struct rigid *rigid);

/** How a joint's bolts lie for shims: what lean changes they can make. */
struct shim_span {
    int dims;                       /* 0: none; 1: along `direction` only; 2: any */
    struct perpend_slope direction; /* of unit size, when dims is 1 */
};

struct shim_span shim_span_of(const struct perpend_joint *joint);

/** The part of a bolt's shim lever that counts for a span, mm per lean change. */
struct perpend_slope span_lever(
    struct shim_span span, enum perpend_face face, struct perpend_point at);

/** mm that each bolt of a joint wants under it for a lean change; the least is 0. Returns the most.
 */
double openings_for_change(
    const struct perpend_joint *joint, struct perpend_slope change, double *open);

/** The lean change per rad of turn about a joint's face direction. */
struct perpend_slope slide_direction(enum perpend_face face);

#endif
