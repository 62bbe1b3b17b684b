/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DRIFT_WORDS_H
#define DRIFT_WORDS_H

#include "log/log.h"

/** Drift between jobs in plain words: one paragraph, not wrapped, ASCII but for the notes' own
 * text; slopes in mm/m or thou/ft. By malloc; NULL when memory is out. */
char *drift_text(const struct log_drift *drift, enum perpend_unit unit);

#endif
