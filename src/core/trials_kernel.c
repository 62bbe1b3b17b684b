/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "trials_kernel.h"

void kernel_bits_seed(struct kernel_bits *bits, uint64_t seed, uint64_t block)
{
    for (uint64_t lane = 0; lane < KERNEL_LANES; lane++) {
        struct perpend_stream stream;
        stream_seed(&stream, NULL, seed, block, lane);
        for (int i = 0; i < 4; i++)
            bits->state[i][lane] = stream.state[i];
    }
}

void kernel_bits_fill(struct kernel_bits *bits, uint64_t *out, size_t count)
{
    struct kernel_bits s = *bits;
    for (size_t i = 0; i < count; i += KERNEL_LANES) {
        for (int lane = 0; lane < KERNEL_LANES; lane++) {
            uint64_t s0 = s.state[0][lane], s1 = s.state[1][lane];
            uint64_t s2 = s.state[2][lane], s3 = s.state[3][lane];
            out[i + (size_t)lane] = s0 + s3;
            uint64_t t = s1 << 17;
            s2 ^= s0;
            s3 ^= s1;
            s1 ^= s2;
            s0 ^= s3;
            s2 ^= t;
            s3 = (s3 << 45) | (s3 >> 19);
            s.state[0][lane] = s0;
            s.state[1][lane] = s1;
            s.state[2][lane] = s2;
            s.state[3][lane] = s3;
        }
    }
    *bits = s;
}

void kernel_normals(const uint64_t *bits, struct perpend_stream *spare, double *out, size_t count)
{
    const struct ziggurat *ziggurat = spare->ziggurat;
    for (size_t i = 0; i < count; i++) {
        size_t layer = (size_t)(bits[i] >> 2) % ZIGGURAT_LAYERS;
        double x = ziggurat_magnitude(bits[i]) * ziggurat->scale[layer];
        out[i] = fabs(x) < ziggurat->inner[layer] ? x : stream_normal_slow(spare, bits[i]);
    }
}

/* docs/method.md, "The ridge": the same two formulas as disc_cell in ridge_profile.c, both of them
   brought over one denominator, so that a trial costs one division whichever holds. */
void kernel_ridges(const double *along, const double *across, double radius, double stepover,
    double *ridge, size_t count)
{
    double r = radius, s = stepover;
    for (size_t i = 0; i < count; i++) {
        double f = fabs(along[i]), l = fabs(across[i]);
        double m = 1.0 + f * f;
        double square = f * f + l * l; /* |t|² */
        double kk = 1.0 + square;
        double size = sqrt(square * kk); /* |t| k */
        double g = sqrt(m * kk);
        double chord = s * square, reach = 2.0 * r * f;
        int crosses = chord * chord * m <= reach * reach * f * f * kk;
        double under = crosses ? reach * reach - s * chord : s * (2.0 * r * g - s * kk);
        double root = sqrt(under > 0.0 ? under : 0.0);
        double crossing = r * s * chord * size;
        double sawtooth = m * r * size + (l * (s * kk - r * g) - f * (kk * root));
        double numerator = crosses ? crossing : sawtooth;
        double denominator = crosses ? kk * (reach * (reach + root)) : kk * m;
        ridge[i] = denominator > 0.0 ? numerator / denominator : 0.0;
    }
}
