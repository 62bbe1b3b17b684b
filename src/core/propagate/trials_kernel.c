/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdbool.h>

#include "core/propagate/trials_kernel.h"

void kernel_normals(struct perpend_stream *stream, double *out, size_t count)
{
    const struct ziggurat *ziggurat = stream->ziggurat;
    struct perpend_stream here = *stream; /* kept in registers */
    for (size_t i = 0; i < count; i++) {
        uint64_t bits = stream_bits(&here);
        size_t layer = ziggurat_layer(bits);
        double x = ziggurat_magnitude(bits) * ziggurat->layer[layer].scale;
        if (fabs(x) >= ziggurat->layer[layer].inner) {
            *stream = here;
            x = stream_normal_slow(stream, bits);
            here = *stream;
        }
        out[i] = x;
    }
    *stream = here;
}

void kernel_leans(const struct kernel_plane *plane, const double *normal_1, const double *normal_2,
    double *first, double *second, size_t count)
{
    const struct kernel_plane p = *plane;
    for (size_t i = 0; i < count; i++) {
        double x = normal_1[i], y = normal_2[i];
        first[i] = p.first + (p.of_1 * x + p.of_2 * y);
        second[i] = p.second + (p.and_1 * x + p.and_2 * y);
    }
}

/*
 * docs/method.md, "The ridge": the formulas of ridge_disc_cell in ridge_profile.c with lengths in
 * radii, f and l the leans along and across the feed, s the stepover, m = 1 + f², k² = 1 + |t|², g
 * = k √m:
 *
 *     neighbours cross when s |t|² √m ≤ 2 f² k:    ridge = |t|/k (1 − √(4 f² − s² |t|²) / 2 f)
 *     else ridge = |t|/k + l (s − g/k²)/m − f √(s (2 g − s k²))/m
 *
 * Both are brought over one denominator, so that a trial costs one division and two square roots
 * (three where g needs one) whichever holds. Terms are bracketed to keep chains of operations
 * short: what a processor can have in flight at a time bounds the speed of this loop.
 */
#define NO_LEAN 1e-290 /* keeps 0/0 out of the way; nothing beside any lean that was measured */

static inline double one_ridge(
    double f, double l, double radius, double s, double g, double ff, double square, bool stripes)
{
    double m = 1.0 + ff, kk = 1.0 + square, skk = s * kk;
    double size = sqrt(square * kk); /* |t| k */
    double chord = s * square, reach = f + f, reach_square = reach * reach;
    bool crosses = (chord * chord) * m <= (reach_square * ff) * kk;
    double under = crosses ? reach_square - s * chord : s * ((g + g) - skk);
    double width = crosses ? reach : m;
    double tilt = crosses ? 0.0 : l * (skk - g);
    double hollow = crosses ? size : f * kk;
    if (stripes) /* may stand: then it counts as just as wide */
        under = 0.5 * (under + fabs(under));
    double root = sqrt(under);
    return (width * size + tilt - hollow * root) * (radius / (kk * width + NO_LEAN));
}

void kernel_ridges(const double *along, const double *across, double radius, double stepover,
    double *ridge, size_t count)
{
    double s = stepover / radius;
    for (size_t i = 0; i < count; i++) {
        double f = fabs(along[i]), l = fabs(across[i]), ff = f * f, square = ff + l * l;
        double g = sqrt((1.0 + ff) * (1.0 + square));
        ridge[i] = one_ridge(f, l, radius, s, g, ff, square, true);
    }
}

/* √(1 + e) by its binomial series, for e up to 0.006. */
static inline double root_near_one(double e)
{
    double ee = e * e;
    return (1.0 + 0.5 * e) + ee * ((-0.125 + 0.0625 * e) + ee * (-0.0390625 + 0.02734375 * e));
}

void kernel_ridges_small(const double *along, const double *across, double radius, double stepover,
    double *ridge, size_t count)
{
    double s = stepover / radius;
    for (size_t i = 0; i < count; i++) {
        double f = fabs(along[i]), l = fabs(across[i]), ff = f * f, square = ff + l * l;
        double g = root_near_one(ff + square * (1.0 + ff));
        ridge[i] = one_ridge(f, l, radius, s, g, ff, square, false);
    }
}

/* So many sums side by side, which vector code can keep up with. */
#define SUM_LANES 20

struct kernel_sums kernel_sum(const double *values, size_t count, double pivot, double limit)
{
    double off[SUM_LANES] = {0.0}, squares[SUM_LANES] = {0.0};
    uint64_t under[SUM_LANES] = {0};
    size_t whole = count - count % SUM_LANES;
    for (size_t i = 0; i < whole; i += SUM_LANES) {
        for (size_t lane = 0; lane < SUM_LANES; lane++) {
            double d = values[i + lane] - pivot;
            off[lane] += d;
            squares[lane] += d * d;
            under[lane] += values[i + lane] <= limit;
        }
    }
    for (size_t i = whole; i < count; i++) {
        double d = values[i] - pivot;
        off[i - whole] += d;
        squares[i - whole] += d * d;
        under[i - whole] += values[i] <= limit;
    }
    struct kernel_sums sums = {0};
    for (size_t lane = 0; lane < SUM_LANES; lane++) {
        sums.off += off[lane];
        sums.squares += squares[lane];
        sums.under += (size_t)under[lane];
    }
    return sums;
}

size_t kernel_tails(const double *values, size_t count, double middle, double reach, double *out)
{
    size_t kept = 0;
    for (size_t i = 0; i < count; i++) {
        out[kept] = values[i];
        kept += fabs(values[i] - middle) >= reach;
    }
    return kept;
}

void kernel_bin(const double *values, size_t count, const struct kernel_bins *bins, int *bin)
{
    const struct kernel_bins b = *bins;
    double last = (double)(b.bins - 1), second = (double)b.bins;
    for (size_t i = 0; i < count; i++) {
        bool upper = values[i] >= b.middle;
        double from = upper ? b.from[1] : b.from[0];
        double scale = upper ? b.scale[1] : b.scale[0];
        double place = (values[i] - from) * scale;
        place = place > 0.0 ? place : 0.0;
        place = place < last ? place : last;
        bin[i] = (int)(place + (upper ? second : 0.0));
    }
}
