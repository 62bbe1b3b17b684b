/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_SWEEP_MOVES_H
#define CLI_SWEEP_MOVES_H

/**
 * What was really done, bolt by bolt.
 */

#include "sweep_session.h"

struct sweep_moves {
    struct perpend_did *did; /* by malloc */
    size_t count;
};

/** Ask joint by joint and bolt by bolt; the plan's own numbers stand as defaults. */
enum course session_ask_moves(struct session *session, struct sweep_moves *moves);

/** A stack as people say it: "0.5", "4 x 0.05", "0.1 + 2 x 0.05", "-0.05"; mm. */
bool sweep_stack_parse(const char *text, enum perpend_unit unit, double *mm);

/** A displacement as people say it: "0.25 right", "0.2 left 0.1 up", "0"; mm. */
bool sweep_slide_parse(const char *text, enum perpend_unit unit, struct perpend_point *slide);

#endif
