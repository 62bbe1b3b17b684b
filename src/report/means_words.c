/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words about an arm and a gauge that would do. */
#include <math.h>

#include "plot.h"
#include "words.h"

void words_gauge_step(const struct words *words, struct buffer *phrase, double step)
{
    double shown = words_shown(words, WORDS_SMALL, step);
    words_stated(words, phrase, WORDS_SMALL, step / shown * nice_below(shown));
}

void words_arm(const struct words *words, struct buffer *phrase, double length)
{
    double unit = words->unit == PERPEND_UNIT_INCH ? PERPEND_MM_PER_INCH / 4.0 : 5.0;
    words_stated(words, phrase, WORDS_LARGE, unit * ceil(length / unit));
}
