/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <ctype.h>
#include <math.h>
#include <stdlib.h>

#include "text/escape.h"
#include "text/about.h"
#include "text/say.h"

char *say_phrase(struct buffer *phrase)
{
    struct buffer out = {.failed = phrase->failed};
    const char *text = buffer_text(phrase);
    for (const char *at = text; *at != '\0'; at++) {
        const bool first = at == text || at[-1] == ' ' || at[-1] == '(' || at[-1] == WORDS_GLUE[0];
        if (*at == WORDS_GLUE[0])
            buffer_add(&out, "\xc2\xa0");
        else if (*at == '-' && first && isdigit((unsigned char)at[1]))
            buffer_add(&out, "−");
        else
            buffer_add_bytes(&out, at, 1);
    }
    buffer_finish(phrase);
    return buffer_take(&out);
}

char *say_filled(enum perpend_unit unit, const char *sentence, const struct slot *slots)
{
    const struct words words = {.unit = unit};
    struct buffer phrase = {0};
    fill(&words, &phrase, sentence, slots);
    return say_phrase(&phrase);
}

char *say_sweeps(const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    struct buffer phrase = {0}, names = {0};
    bool one_name = answer_sweeps_of_one_name(job, measurement);
    size_t count = one_name ? 1 : measurement->sweep_count;
    for (size_t i = 0; i < count; i++) {
        char *name = isolated_name(job->sweeps[measurement->first_sweep + i].name);
        words_list_mark(&names, i, count);
        buffer_add(&names, name);
        free(name);
    }
    fill(NULL, &phrase, one_name ? sentences[SWEEPS_OF_ONE_NAME] : "{sweep}",
        SLOTS(SLOT_TEXT("sweep", buffer_text(&names)),
            SLOT_COUNT("count", measurement->sweep_count)));
    buffer_finish(&names);
    return say_phrase(&phrase);
}

/* Half of a 95 % interval about the size of a lean, mm/mm. */
static double lean_spread(const struct perpend_fit *fit)
{
    const struct perpend_slope_covariance *c = &fit->lean_covariance;
    const double size = perpend_slope_size(fit->lean);
    if (!(size > 0))
        return words_expanded(fmax(c->right_right, c->back_back));
    const double r = fit->lean.right / size;
    const double b = fit->lean.back / size;
    return words_expanded(
        r * r * c->right_right + 2 * r * b * c->right_back + b * b * c->back_back);
}

char *say_lean(enum perpend_unit unit, const struct perpend_fit *fit)
{
    const double size = perpend_slope_size(fit->lean);
    return say_filled(unit, sentences[LEAN_TOWARD],
        SLOTS(SLOT_ROUNDED("lean", WORDS_SLOPE, size, lean_spread(fit)),
            SLOT_BEARING("toward", size < 1e-9 ? (double)NAN : perpend_slope_toward(fit->lean))));
}
