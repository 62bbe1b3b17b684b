/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_DRAFT_H
#define CLI_NEW_DRAFT_H

/**
 * The machine file in the making: what was answered, as it was typed and checked, by question; and
 * the file's text made of it.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/mount.h>
#include <perpend/sweep.h>
#include <perpend/units.h>

#include "files/buffer.h"
#include "cli/prompt/amounts.h"

/** Every question, in the order in which they come. Those from DRAFT_SHAPE to DRAFT_ANOTHER are
 * asked joint by joint. */
enum draft_key {
    DRAFT_NAME,
    DRAFT_UNIT,
    DRAFT_ARM,
    DRAFT_GAUGE,
    DRAFT_STEP,
    DRAFT_RISES,
    DRAFT_ANGLE,
    DRAFT_CUTTER,
    DRAFT_CORNER,
    DRAFT_STEPOVER,
    DRAFT_ALONG,
    DRAFT_DEPTH,
    DRAFT_GOAL,
    DRAFT_BED,
    DRAFT_SHAPE,
    DRAFT_LIES,   /* flange: rests, hangs; screws: upright, flat */
    DRAFT_ACROSS, /* left to right between bolts */
    DRAFT_DEEP,   /* front to back between bolts */
    DRAFT_HIGH,   /* up and down between bolts */
    DRAFT_ABOVE,  /* tool tip to the lower bolts */
    DRAFT_BEHIND, /* spindle's middle to the joint */
    DRAFT_THREAD,
    DRAFT_HOLE,
    DRAFT_ANOTHER,
    DRAFT_STOCK,
    DRAFT_KEYS
};

struct draft {
    /* NULL: not asked; those not of a joint stand in [0] */
    char *answers[PERPEND_JOINTS_MOST][DRAFT_KEYS];
    char *leaves[PERPEND_LEAVES_MOST]; /* "0.05 x 8 brass" */
    size_t leaf_count;
};

void draft_finish(struct draft *draft);

/** Keep the answer to a question; false when memory is out. */
bool draft_keep(struct draft *draft, enum draft_key key, size_t joint, const char *answer);

/** The answer, "" when there is none yet; whether it is this word; as a length, mm. */
const char *draft_answer(const struct draft *draft, enum draft_key key, size_t joint);
bool draft_is(const struct draft *draft, enum draft_key key, size_t joint, const char *word);
double draft_length(const struct draft *draft, enum draft_key key, size_t joint);

/** The unit chosen so far. */
enum perpend_unit draft_unit(const struct draft *draft);

/** The kind of gauge chosen. */
const struct perpend_gauge_row *draft_gauge(const struct draft *draft);

/** Width across the thread of a joint's bolts, mm. */
double draft_thread(const struct draft *draft, size_t joint);

/** Joints described. */
size_t draft_joint_count(const struct draft *draft);

/** Whether any of them takes shims. */
bool draft_takes_shims(const struct draft *draft);

/** One kind of shim: "THICK x COUNT NAME" or "COUNT x THICK NAME"; false when it is not that. */
bool draft_leaf_parse(const char *text, enum perpend_unit unit, struct leaves *leaves);

/** The whole file's text, with comments. */
void draft_write(const struct draft *draft, struct buffer *text);

#endif
