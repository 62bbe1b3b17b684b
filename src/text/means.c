/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "text/about.h"
#include "text/means.h"

void words_means(
    const struct words *words, struct buffer *phrase, const struct perpend_means *means)
{
    fill(words, phrase, sentences[isnan(means->lean) ? MEANS_TALK_NONE : MEANS_TALK],
        SLOTS(SLOT_ROUNDED("agree", WORDS_SMALL, means->agree, means->agree / AGREE_DIGITS),
            SLOT_IF("fine", means->fine_enough), SLOT_GAUGE("gauge", means->step_needed),
            SLOT_ARM("arm", means->arm_needed)));
}
