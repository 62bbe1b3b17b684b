/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_SWEEP_MOVES_H
#define CLI_SWEEP_MOVES_H

/**
 * What was really done, bolt by bolt.
 */

#include "cli/sweep/sweep_session.h"

struct sweep_moves {
    struct perpend_did *did; /* by malloc */
    size_t count;
};

/** Ask joint by joint and bolt by bolt; the plan's own numbers stand as defaults. */
enum course session_ask_moves(struct session *session, struct sweep_moves *moves);

#endif
