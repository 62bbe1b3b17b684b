/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <float.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "text/words.h"

#define THOU_PER_MM (1000.0 / PERPEND_MM_PER_INCH)

double words_shown(const struct words *words, enum words_kind kind, double value)
{
    bool inch = words->unit == PERPEND_UNIT_INCH;
    switch (kind) {
    case WORDS_SMALL:
        return inch ? value * THOU_PER_MM : value;
    case WORDS_LARGE:
        return inch ? value / PERPEND_MM_PER_INCH : value;
    case WORDS_SLOPE:
        break;
    }
    return value * (inch ? PERPEND_THOU_PER_FOOT : PERPEND_MM_PER_METRE);
}

const char *words_unit_name(const struct words *words, enum words_kind kind)
{
    bool inch = words->unit == PERPEND_UNIT_INCH;
    switch (kind) {
    case WORDS_SMALL:
        return inch ? "thou" : "mm";
    case WORDS_LARGE:
        return inch ? "in" : "mm";
    case WORDS_SLOPE:
        break;
    }
    return inch ? "thou/ft" : "mm/m";
}

int words_decimals(double uncertainty)
{
    if (!(uncertainty > 0.0) || !isfinite(uncertainty))
        return 6;
    int exponent = (int)floor(log10(uncertainty));
    double first = uncertainty / pow(10.0, exponent);
    /* 3.95 would round to 4.0, which is one digit too many */
    int decimals = (first < 3.95 ? 1 : 0) - exponent;
    return decimals < 0 ? 0 : decimals > 6 ? 6 : decimals;
}

double words_expanded(double variance)
{
    return 2.0 * sqrt(fmax(variance, 0.0));
}

static void add_unit(const struct words *words, struct buffer *phrase, enum words_kind kind)
{
    buffer_add(phrase, WORDS_GLUE);
    buffer_add(phrase, words_unit_name(words, kind));
}

/* Three significant digits, of a small length at least down to 0.01 mm or 0.1 thou, and never more
   than a tenth of a micrometre. */
static int usual_decimals(const struct words *words, enum words_kind kind, double shown)
{
    bool inch = words->unit == PERPEND_UNIT_INCH;
    int least = inch && kind != WORDS_LARGE ? 1 : 2;
    int most = inch && kind == WORDS_SMALL ? 2 : 4;
    if (!(fabs(shown) > 0.0) || !isfinite(shown))
        return least;
    int decimals = 2 - (int)floor(log10(fabs(shown)));
    if (kind == WORDS_SMALL && decimals < least)
        decimals = least;
    return decimals < 0 ? 0 : decimals > most ? most : decimals;
}

static int decimals_for(
    const struct words *words, enum words_kind kind, double value, double expanded)
{
    if (!(expanded > 0.0) || !isfinite(expanded))
        return usual_decimals(words, kind, words_shown(words, kind, value));
    return words_decimals(words_shown(words, kind, expanded));
}

void words_plus_minus_bare(const struct words *words, struct buffer *phrase, enum words_kind kind,
    double value, double expanded)
{
    int decimals = decimals_for(words, kind, value, expanded);
    buffer_add_number(phrase, words_shown(words, kind, value), decimals);
    buffer_add(phrase, WORDS_GLUE "±" WORDS_GLUE);
    buffer_add_number(phrase, words_shown(words, kind, expanded), decimals);
}

void words_plus_minus(const struct words *words, struct buffer *phrase, enum words_kind kind,
    double value, double expanded)
{
    words_plus_minus_bare(words, phrase, kind, value, expanded);
    add_unit(words, phrase, kind);
}

void words_rounded(const struct words *words, struct buffer *phrase, enum words_kind kind,
    double value, double expanded)
{
    buffer_add_number(
        phrase, words_shown(words, kind, value), decimals_for(words, kind, value, expanded));
    add_unit(words, phrase, kind);
}

int words_ridge_decimals(const struct words *words, double height)
{
    if (words->unit != PERPEND_UNIT_INCH)
        return 3;
    return words_shown(words, WORDS_SMALL, height) < 0.995 ? 2 : 1;
}

static void add_ridge(const struct words *words, struct buffer *phrase, double height, int decimals)
{
    double shown = words_shown(words, WORDS_SMALL, height), least = pow(10.0, -decimals);
    if (!isfinite(height)) {
        buffer_add(phrase, "standing stripes");
        return;
    }
    if (shown < least / 2.0)
        buffer_add(phrase, "under" WORDS_GLUE);
    buffer_add_number(phrase, shown < least ? least : shown, decimals);
    add_unit(words, phrase, WORDS_SMALL);
}

void words_ridge(const struct words *words, struct buffer *phrase, double height)
{
    add_ridge(words, phrase, height, words_ridge_decimals(words, height));
}

void words_ridge_range(
    const struct words *words, struct buffer *phrase, double height, double low, double high)
{
    const int decimals = words_ridge_decimals(words, height); /* as wherever else it stands */
    add_ridge(words, phrase, height, decimals);
    buffer_add(phrase, " (");
    buffer_add_number(phrase, words_shown(words, WORDS_SMALL, low), decimals);
    buffer_add(phrase, WORDS_GLUE "to" WORDS_GLUE);
    buffer_add_number(phrase, words_shown(words, WORDS_SMALL, high), decimals);
    buffer_add(phrase, ")");
}

char *words_trimmed(char *buffer, size_t size, double value, int most)
{
    perpend_number_format(buffer, size, value, most);
    size_t length = strlen(buffer);
    if (strchr(buffer, '.')) {
        while (buffer[length - 1] == '0')
            length--;
        if (buffer[length - 1] == '.')
            length--;
    }
    buffer[length] = '\0';
    return buffer;
}

static void add_trimmed(struct buffer *phrase, double value, int most)
{
    char text[400]; /* the largest double has 309 digits before the point */
    buffer_add(phrase, words_trimmed(text, sizeof text, value, most));
}

/* Decimals of a stated length: all of one that was stated in the unit shown; of one that comes from
   the other unit three digits, and never less than a hundredth of a mm, a µm or a hundredth of a
   thou. */
static int stated_decimals(const struct words *words, enum words_kind kind, double shown)
{
    const int all = 6, own = 4;
    double scaled = fabs(shown) * pow(10.0, own);
    if (!isfinite(shown) || shown == 0.0 ||
        fabs(scaled - round(scaled)) < fmax(1e-6, 1e-10 * scaled))
        return all;
    bool thou = words->unit == PERPEND_UNIT_INCH && kind == WORDS_SMALL;
    bool small_mm = words->unit == PERPEND_UNIT_MM && kind == WORDS_SMALL;
    int least = small_mm || (words->unit == PERPEND_UNIT_INCH && !thou) ? 3 : 2;
    return (int)fmax(least, 2.0 - floor(log10(fabs(shown))));
}

void words_stated(
    const struct words *words, struct buffer *phrase, enum words_kind kind, double value)
{
    double shown = words_shown(words, kind, value);
    add_trimmed(phrase, shown, stated_decimals(words, kind, shown));
    add_unit(words, phrase, kind);
}

void words_thickness(const struct words *words, struct buffer *phrase, double thickness)
{
    const double usual = 0.04;
    const double step = pow(10, -words_decimals(words_shown(words, WORDS_SMALL, usual)));
    const double beyond = remainder(words_shown(words, WORDS_SMALL, thickness), step);
    const bool fine = fabs(thickness) < 0.1 && fabs(beyond) > 0.05 * step;
    words_rounded(words, phrase, WORDS_SMALL, thickness, fine ? usual / 10 : usual);
}

void words_reading(const struct words *words, struct buffer *phrase, double value, double step)
{
    double shown_step = words_shown(words, WORDS_LARGE, step);
    int decimals = 0;
    /* as many as the step itself has: 0.05 has two, 0.0005 four */
    for (double scaled = shown_step; decimals < 6; decimals++, scaled *= 10.0)
        if (scaled >= 0.999 && fabs(scaled - round(scaled)) < 1e-3 * scaled)
            break;
    buffer_add_number(phrase, words_shown(words, WORDS_LARGE, value), decimals);
}

void words_chance(struct buffer *phrase, double chance)
{
    long hundredths = lround(chance * 100.0);
    if (chance < 0.01)
        buffer_add(phrase, "less than 1 chance in 100");
    else if (chance > 0.99)
        buffer_add(phrase, "more than 99 chances in 100");
    else if (hundredths == 1)
        buffer_add(phrase, "about 1 chance in 100");
    else
        buffer_addf(phrase, "about %ld chances in 100", hundredths);
}

int words_odds(double chance)
{
    return chance >= 0.95 ? 0 : chance >= 0.65 ? 1 : chance >= 0.35 ? 2 : chance > 0.05 ? 3 : 4;
}

/* Once round is nothing: 359.9° to the nearest half is 0°. */
static double whole_turn(double bearing, double step)
{
    double degrees = fmod(round(perpend_degrees(bearing) / step) * step, 360.0);
    return degrees < 0.0 ? degrees + 360.0 : degrees;
}

void words_bearing(struct buffer *phrase, double bearing)
{
    double degrees = whole_turn(bearing, 0.5);
    const char *name = perpend_bearing_name(perpend_radians(degrees));
    if (name) {
        buffer_add(phrase, "the ");
        buffer_add(phrase, name);
        return;
    }
    add_trimmed(phrase, degrees, 1);
    buffer_add(phrase, "° (near the ");
    buffer_add(phrase, perpend_bearing_nearest(bearing));
    buffer_add(phrase, ")");
}

char *words_bearing_label(char *buffer, size_t size, double bearing)
{
    char degrees[64];
    const char *name = perpend_bearing_name(bearing);
    if (name)
        snprintf(buffer, size, "%s", name);
    else
        snprintf(buffer, size, "%s°",
            words_trimmed(degrees, sizeof degrees, whole_turn(bearing, 0.01), 2));
    return buffer;
}

void words_feed(struct buffer *phrase, double along)
{
    double degrees = fmod(perpend_degrees(along), 180.0);
    if (degrees < 0.0)
        degrees += 180.0;
    degrees = round(degrees);
    if (degrees == 90.0)
        buffer_add(phrase, "X");
    else if (degrees == 0.0 || degrees == 180.0)
        buffer_add(phrase, "Y");
    else
        buffer_addf(phrase, "bearing" WORDS_GLUE "%d°", (int)degrees);
}

void words_facing(struct buffer *phrase, const struct perpend_facing *facing)
{
    if (facing->both_ways) {
        buffer_add(phrase, "along X or Y, whichever is worse");
        return;
    }
    buffer_add(phrase, "along" WORDS_GLUE);
    words_feed(phrase, facing->along);
}

void words_goal(const struct words *words, struct buffer *phrase, const struct perpend_goal *goal)
{
    const bool lean = !isnan(goal->lean);
    if (!isnan(goal->ridge)) {
        words_stated(words, phrase, WORDS_SMALL, goal->ridge);
        buffer_add(phrase, lean ? " and " : "");
    }
    if (lean) {
        buffer_add(phrase, "a lean of" WORDS_GLUE);
        words_stated(words, phrase, WORDS_SLOPE, goal->lean);
    }
}

void words_list_mark(struct buffer *phrase, size_t place, size_t count)
{
    if (place > 0)
        buffer_add(phrase, place + 1 == count ? " and " : ", ");
}

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

void words_displacement(const struct words *words, struct buffer *phrase,
    struct perpend_point displacement, bool to_the_last_digit)
{
    const double parts[] = {displacement.right, displacement.back, displacement.up};
    static const char *const ways[][2] = {{"right", "left"}, {"back", "forward"}, {"up", "down"}};
    double largest = fmax(fabs(parts[0]), fmax(fabs(parts[1]), fabs(parts[2])));
    double least = to_the_last_digit ? DBL_MIN : largest > 0.0 ? largest / 20.0 : 1.0;
    size_t count = 0, place = 0;
    for (size_t i = 0; i < 3; i++)
        count += fabs(parts[i]) >= least;
    if (count == 0)
        buffer_add(phrase, "not at all");
    for (size_t i = 0; i < 3; i++) {
        const double shown = words_shown(words, WORDS_SMALL, fabs(parts[i]));
        if (fabs(parts[i]) < least)
            continue;
        words_list_mark(phrase, place, count);
        if (to_the_last_digit)
            add_trimmed(phrase, shown, stated_decimals(words, WORDS_SMALL, shown));
        else
            buffer_add_number(phrase, shown, words_decimals(words_shown(words, WORDS_SMALL, 0.04)));
        if (place++ == 0)
            add_unit(words, phrase, WORDS_SMALL);
        buffer_add(phrase, WORDS_GLUE);
        buffer_add(phrase, ways[i][parts[i] < 0.0]);
    }
}
