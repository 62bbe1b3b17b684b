/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DID_H
#define DID_H

#include <perpend/job.h>

/** The amounts of one move of one joint, a bolt each, in a list of what was done; whether there are
 *  any. */
bool did_amounts(const struct perpend_did *did, size_t count, size_t joint, enum perpend_move move,
    struct perpend_amount amounts[PERPEND_BOLTS_MOST]);

#endif
