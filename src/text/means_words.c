/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words about an arm and a gauge that would do, and the numbers that scales and gauges have. */
#include <math.h>

#include "text/words.h"

double nice_below(double value)
{
    const double power = pow(10, floor(log10(value)));
    const double lead = value / power * (1 + 1e-9);
    return power * (lead >= 5 ? 5 : lead >= 2 ? 2 : 1);
}

int nice_decimals(double step)
{
    const int decimals = (int)-floor(log10(step) + 1e-9);
    return decimals < 0 ? 0 : decimals > 9 ? 9 : decimals;
}

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

void words_means(
    const struct words *words, struct buffer *phrase, const struct perpend_means *means)
{
    if (isnan(means->lean)) {
        buffer_add(phrase,
            "Nothing keeps that, not even an upright spindle: the bit's rounded corners "
            "leave more at that stepover. undo goes back to them.");
        return;
    }
    buffer_add(phrase, "On a bed that this machine has faced the ridge is sure to keep within that "
                       "while heights at opposite sides agree within ");
    words_rounded(words, phrase, WORDS_SMALL, means->agree, means->agree / 7);
    if (means->fine_enough) {
        buffer_add(phrase, "; your arm and gauge can show that.");
        return;
    }
    buffer_add(phrase, ". Your arm and gauge cannot be sure of it with four readings");
    if (!isnan(means->step_needed)) {
        buffer_add(phrase, "; a gauge that reads to ");
        words_gauge_step(words, phrase, means->step_needed);
        buffer_add(phrase, " could");
    }
    if (!isnan(means->arm_needed)) {
        buffer_add(phrase, "; so could an arm of ");
        words_arm(words, phrase, means->arm_needed);
    }
    buffer_add(phrase, ". You can go on all the same.");
}
