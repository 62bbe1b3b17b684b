/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MEANS_H
#define MEANS_H

#include <perpend/verdict.h>

#include "text/sentences.h"

/** What a goal asks of arm and gauge on a faced bed, and whether they can show it. */
void words_means(
    const struct words *words, struct buffer *phrase, const struct perpend_means *means);

#endif
