/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DOUBTS_H
#define DOUBTS_H

/** What speaks against the readings, and what an adjustment showed of the mount. */

#include "text/about.h"

/** A suspect, four that do not close, scatter beyond the gauge, three that nothing checks. */
void answer_doubts(struct words *words, const struct answer_about *about);

/** What the last adjustment showed of the mount; the same where no steps of a plan follow. */
void answer_response(struct words *words, const struct answer_about *about);
void answer_response_alone(struct words *words, const struct answer_about *about);

#endif
