/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_NEW_SUMMARY_H
#define CLI_NEW_SUMMARY_H

#include "cli/prompt/dialogue.h"

/** The machine as described, for a last look: what its goal asks of arm and gauge, its joints drawn,
 *  the way in which none can turn the spindle. */
void summary_show(struct dialogue *dialogue, const struct buffer *text);

#endif
