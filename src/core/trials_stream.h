/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CORE_TRIALS_STREAM_H
#define CORE_TRIALS_STREAM_H

/**
 * Random numbers for the trials. Every block of trials has generators of its own, set from the seed
 * and the block's number alone, so that a block's numbers do not depend on who makes them.
 *
 * Bits: xoshiro256+ (Blackman and Vigna, ACM Trans. Math. Softw. 47, 2021), its state filled by
 * splitmix64 as they advise; from memory. Normals: the ziggurat (Marsaglia and Tsang, J. Stat.
 * Softw. 5, 2000) with all 53 bits behind the magnitude, so that the layer and the magnitude are
 * independent.
 */

#include <stddef.h>
#include <stdint.h>

#include <perpend/trials.h>

#define ZIGGURAT_LAYERS 512

/** Layers of equal area under exp(−x²/2); layer 0 holds the tail. */
struct ziggurat {
    double scale[ZIGGURAT_LAYERS];      /* from a 53-bit signed integer to x: 2⁻⁵² × width */
    double inner[ZIGGURAT_LAYERS];      /* |x| below this needs no further look */
    double height[ZIGGURAT_LAYERS + 1]; /* exp(−x²/2) at the layers' edges */
    double tail;                        /* where the tail begins */
};

void ziggurat_make(struct ziggurat *ziggurat);

struct perpend_stream {
    uint64_t state[4];
    const struct ziggurat *ziggurat;
};

/** Set a stream from the seed, the block's number and a lane's number. */
void stream_seed(struct perpend_stream *stream, const struct ziggurat *ziggurat, uint64_t seed,
    uint64_t block, uint64_t lane);

/** The next 64 bits; the lowest two or three are not good enough to be used. */
uint64_t stream_bits(struct perpend_stream *stream);

/** The upper 53 bits as an odd multiple of a half in (−2⁵², 2⁵²). */
static inline double ziggurat_magnitude(uint64_t bits)
{
    return (double)(int64_t)(bits >> 11) - (0x1p52 - 0.5);
}

/** The normal that a layer's quick test has refused: from the same bits to the end. */
double stream_normal_slow(struct perpend_stream *stream, uint64_t bits);

#endif
