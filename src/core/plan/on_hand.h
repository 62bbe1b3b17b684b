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
    struct perpend_stock stock; /* the leaves left; their names are the machine's */
    double *inside;             /* mm put in at each bolt, joint by joint in the mount's order */
};

/** Errors: PERPEND_ERR_MEMORY; on_hand_finish is fine all the same. */
enum perpend_status on_hand_init(struct on_hand *hand, const struct perpend_machine *machine);
void on_hand_finish(struct on_hand *hand);

/** A plan was carried out. */
void on_hand_did_plan(struct on_hand *hand, const struct perpend_plan *plan);

/**
 * A shim was put in under one bolt, or taken out. Its leaves are the thickest that make it up; where
 * the stock cannot make it up, the shim was of something else, and the stock stays as it is. What
 * is taken out is on hand again.
 */
void on_hand_did(struct on_hand *hand, const struct perpend_did *did);

#endif
