/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <ctype.h>
#include <math.h>
#include <stdlib.h>

#include "text/escape.h"
#include "text/answer.h"
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

char *say_plus_minus(enum perpend_unit unit, enum words_kind kind, double value, double expanded)
{
    const struct words words = {.unit = unit};
    struct buffer phrase = {0};
    words_plus_minus(&words, &phrase, kind, value, expanded);
    return say_phrase(&phrase);
}

char *say_rounded(enum perpend_unit unit, enum words_kind kind, double value, double expanded)
{
    const struct words words = {.unit = unit};
    struct buffer phrase = {0};
    words_rounded(&words, &phrase, kind, value, expanded);
    return say_phrase(&phrase);
}

char *say_ridge(enum perpend_unit unit, double height)
{
    const struct words words = {.unit = unit};
    struct buffer phrase = {0};
    words_ridge(&words, &phrase, height);
    return say_phrase(&phrase);
}

char *say_ridge_range(enum perpend_unit unit, double height, double low, double high)
{
    const struct words words = {.unit = unit};
    struct buffer phrase = {0};
    words_ridge_range(&words, &phrase, height, low, high);
    return say_phrase(&phrase);
}

char *say_stated(enum perpend_unit unit, enum words_kind kind, double value)
{
    const struct words words = {.unit = unit};
    struct buffer phrase = {0};
    words_stated(&words, &phrase, kind, value);
    return say_phrase(&phrase);
}

char *say_reading(enum perpend_unit unit, double value, double step)
{
    const struct words words = {.unit = unit};
    struct buffer phrase = {0};
    words_reading(&words, &phrase, value, step);
    return say_phrase(&phrase);
}

char *say_bearing(double bearing)
{
    struct buffer phrase = {0};
    words_bearing(&phrase, bearing);
    return say_phrase(&phrase);
}

char *say_feed(double along)
{
    struct buffer phrase = {0};
    words_feed(&phrase, along);
    return say_phrase(&phrase);
}

char *say_facing(const struct perpend_facing *facing)
{
    struct buffer phrase = {0};
    words_facing(&phrase, facing);
    return say_phrase(&phrase);
}

char *say_sweeps(const struct perpend_job *job, const struct perpend_measurement *measurement)
{
    struct buffer phrase = {0};
    bool one_name = answer_sweeps_of_one_name(job, measurement);
    size_t count = one_name ? 1 : measurement->sweep_count;
    for (size_t i = 0; i < count; i++) {
        char *name = isolated_name(job->sweeps[measurement->first_sweep + i].name);
        words_list_mark(&phrase, i, count);
        buffer_add(&phrase, name);
        free(name);
    }
    if (one_name)
        buffer_addf(&phrase, " (%zu sweeps)", measurement->sweep_count);
    return say_phrase(&phrase);
}

char *say_number(double value, int decimals)
{
    struct buffer number = {0};
    buffer_add_number(&number, value, decimals);
    return buffer_take(&number);
}

double say_shown(enum perpend_unit unit, enum words_kind kind, double value)
{
    const struct words words = {.unit = unit};
    return words_shown(&words, kind, value);
}

const char *say_unit(enum perpend_unit unit, enum words_kind kind)
{
    const struct words words = {.unit = unit};
    return words_unit_name(&words, kind);
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
    const struct words words = {.unit = unit};
    struct buffer phrase = {0};
    words_rounded(&words, &phrase, WORDS_SLOPE, size, lean_spread(fit));
    if (size >= 1e-9) {
        buffer_add(&phrase, " toward ");
        words_bearing(&phrase, perpend_slope_toward(fit->lean));
    }
    return say_phrase(&phrase);
}
