/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_TRIALS_STREAM_H
#define CORE_TRIALS_STREAM_H

/**
 * Random numbers for the trials. Every block of trials has generators of its own, set from the seed
 * and the block's number alone, so that a block's numbers do not depend on who makes them.
 *
 * Bits: xoshiro256+ (Blackman and Vigna, ACM Trans. Math. Softw. 47, 2021), its state filled by
 * splitmix64 as they advise; from memory. Normals: the ziggurat (Marsaglia and Tsang, J. Stat.
 * Softw. 5, 2000) with the magnitude and the layer from different bits.
 */

#include <stddef.h>
#include <stdint.h>

#include <perpend/trials.h>

#define ZIGGURAT_LAYERS 1024

/* Where the tail begins for that many layers of equal area: found once with forty digits; the unit
   test stacks the layers up to the top of the bell. */
#define ZIGGURAT_TAIL 4.038849846109504522

/** Layers of equal area under exp(−x²/2); layer 0 holds the tail. */
struct ziggurat {
    struct {
        double scale; /* from a magnitude to x: the layer's width × 2⁻⁵¹ */
        double inner; /* |x| below this needs no further look */
    } layer[ZIGGURAT_LAYERS];
    double height[ZIGGURAT_LAYERS + 1]; /* exp(−x²/2) at the layers' edges */
};

void ziggurat_make(struct ziggurat *ziggurat);

struct perpend_stream {
    uint64_t state[4];
    const struct ziggurat *ziggurat;
};

/** Set a stream from the seed and the block's number. */
void stream_seed(
    struct perpend_stream *stream, const struct ziggurat *ziggurat, uint64_t seed, uint64_t block);

/** The next 64 bits; the lowest two or three are not good enough to be used. */
static inline uint64_t stream_bits(struct perpend_stream *stream)
{
    uint64_t *s = stream->state;
    uint64_t result = s[0] + s[3], t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = s[3] << 45 | s[3] >> 19;
    return result;
}

/** Layer from random bits, and the signed magnitude from their upper 52: a whole number in
 *  [−2⁵¹, 2⁵¹). The two share two bits, the magnitude's lowest. */
static inline size_t ziggurat_layer(uint64_t bits)
{
    return (size_t)(bits >> 4) % ZIGGURAT_LAYERS;
}

static inline double ziggurat_magnitude(uint64_t bits)
{
    return (double)(int64_t)(bits >> 12) - 0x1p51;
}

/** The normal that these bits make when the layer's quick test has refused them: looks closer, and
 *  draws again if need be. */
double stream_normal_slow(struct perpend_stream *stream, uint64_t bits);

#endif
