/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ON_HAND_H
#define ON_HAND_H

/**
 * What a job has put into the mount so far, and the leaves that are still on hand: what is under a
 * bolt is no longer in the drawer.
 */

#include <perpend/job.h>
#include <perpend/status.h>

struct on_hand {
    const struct perpend_machine *machine;
    struct perpend_leaf leaves[PERPEND_LEAVES_MOST]; /* on hand; their names are the machine's */
    struct perpend_stock stock;                      /* of these */
    /* mm put in at each bolt, joint by joint in the mount's order */
    double inside[PERPEND_JOINTS_MOST * PERPEND_BOLTS_MOST];
};

/** What the job begins with. It owns nothing, and stays where it is.
 *  Errors: PERPEND_ERR_VALUE: a mount or a stock beyond the limits of perpend/mount.h, or a job that
 *  is not this machine's. */
enum perpend_status on_hand_init(
    struct on_hand *hand, const struct perpend_machine *machine, const struct perpend_job *job);

/** A plan was carried out. Errors: PERPEND_ERR_MEMORY. */
enum perpend_status on_hand_did_plan(struct on_hand *hand, const struct perpend_plan *plan);

/**
 * A shim was put in under one bolt, or taken out. Its leaves are the fewest that make it up; where
 * the stock cannot make it up, the shim was of something else, and the stock stays as it is. What
 * is taken out is on hand again.
 *
 * Errors: PERPEND_ERR_MEMORY
 */
enum perpend_status on_hand_did(struct on_hand *hand, const struct perpend_did *did);

#endif
