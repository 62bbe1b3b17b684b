/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_MOVES_H
#define PERPEND_MOVES_H

/**
 * The moves that a joint can make: one table. A row says how a move is called in files and in the
 * log, what its amount is, and what it does to the lean; files, log, text and drawings loop over it.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/geometry.h>
#include <perpend/mount.h>
#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A bit each, to be or-ed in a joint's `allows`. */
enum perpend_move {
    PERPEND_MOVE_SHIM = 1,
    PERPEND_MOVE_SLIDE = 2,
    PERPEND_MOVE_SCREW = 4,
    PERPEND_MOVE_TURN = 8
};

#define PERPEND_MOVE_COUNT 4

/** What an amount is made of. */
enum perpend_amount_kind {
    PERPEND_AMOUNT_THICKNESS,    /* `value`: mm put in; negative: taken out */
    PERPEND_AMOUNT_DISPLACEMENT, /* `shift`: mm right, back, up */
    PERPEND_AMOUNT_TURNS,        /* `value`: turns of a screw, + opens the joint */
    PERPEND_AMOUNT_ANGLE /* `value`: rad that the whole joint turns in its plane, the same at
                                    every bolt; + clockwise, seen from where it faces */
};
/** How many kinds there are, for tables. */
#define PERPEND_AMOUNT_KINDS (PERPEND_AMOUNT_ANGLE + 1)

/** How much a bolt is moved: one number, or a displacement. What its kind has no use for is 0. */
struct perpend_amount {
    double value;
    struct perpend_point shift;
};

/** What must be known of every bolt of a joint that allows the move. */
enum perpend_bolt_need {
    PERPEND_NEEDS_NOTHING,
    PERPEND_NEEDS_HOLE, /* its play: the thread, and the hole where ISO 273 has none */
    PERPEND_NEEDS_PITCH /* the pitch, or a thread that ISO 261 has one for */
};

/** What ends a move. */
enum perpend_move_limit {
    PERPEND_LIMIT_NONE,
    PERPEND_LIMIT_STOCK, /* amounts are stacks of leaves */
    PERPEND_LIMIT_PLAY /* the joint turns in its own plane as far as its play, or its range, lets it */
};

struct perpend_move_row {
    enum perpend_move move;
    const char *name; /* "shim": in `allows`, in the log, in JSON */
    const char *key;  /* of the amount, in job files and in JSON */
    enum perpend_amount_kind amount;
    enum perpend_bolt_need need;
    enum perpend_move_limit limit;
    int trouble; /* of moves that do as much the one of less trouble is chosen */
    const struct perpend_move_geometry *geometry; /* the core's own: what it does to the lean */
};

/** The rows in the order in which moves are named, shim first; NULL from PERPEND_MOVE_COUNT on. */
const struct perpend_move_row *perpend_move_at(size_t index);

/** The row of one move, and its place in the table; NULL, and PERPEND_MOVE_COUNT, for none. */
const struct perpend_move_row *perpend_move_find(enum perpend_move move);
size_t perpend_move_index(enum perpend_move move);

/** The row of a name, as "slide"; NULL when there is none. */
const struct perpend_move_row *perpend_move_named(const char *name);

/** "shim", "slide", "screw", "turn"; "?" for what is none. A static string. */
const char *perpend_move_name(enum perpend_move move);

/** Whether nothing is moved at all; the sum of two amounts of one move. */
bool perpend_amount_is_none(struct perpend_amount amount);
struct perpend_amount perpend_amount_sum(struct perpend_amount a, struct perpend_amount b);

/**
 * The lean change that a move of a joint makes, by the ideal geometry. The turn is the least-squares
 * rigid turn of the slides, or that of the openings (their plane) at the corners of the pattern: a
 * bolt between them can hang.
 *
 * Given:    joint
 *           move
 *           amounts  one a bolt of the joint
 * Returned: change   mm/mm, to add to the lean; 0 for what such a joint cannot do
 * Errors:   PERPEND_ERR_VALUE: fewer than 2 bolts, too many, no such move, or an amount that is not
 *           finite
 * Source:   docs/method.md, "A turn and its parts"
 */
enum perpend_status perpend_moves_change(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_amount *amounts, struct perpend_slope *change);

/**
 * How far amounts are from what two stiff parts can do: openings, by shims or by screws, from a plane
 * (a joint so opened rocks, or bends when it is tightened); slides from one shift and one turn of
 * all bolts together (a plate so moved would have to stretch).
 *
 * Given:    joint, move, amounts   as above
 * Returned: off   largest distance of an opening at the corners of the pattern from the
 *                 least-squares plane, 0 for three bolts and fewer; of a slide from the
 *                 least-squares shift and turn; mm
 * Errors:   as above
 * Source:   docs/method.md, "A turn and its parts"
 */
enum perpend_status perpend_moves_misfit(const struct perpend_joint *joint, enum perpend_move move,
    const struct perpend_amount *amounts, double *off);

#ifdef __cplusplus
}
#endif

#endif
