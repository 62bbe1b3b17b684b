/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "core/propagate/trials_stream.h"

static uint64_t splitmix64(uint64_t *state)
{
    uint64_t z = *state += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

void stream_seed(
    struct perpend_stream *stream, const struct ziggurat *ziggurat, uint64_t seed, uint64_t block)
{
    /* mixed in turn, so that neighbouring seeds and blocks start far apart */
    uint64_t mixed = seed;
    mixed = splitmix64(&mixed) ^ block;
    for (int i = 0; i < 4; i++)
        stream->state[i] = splitmix64(&mixed);
    stream->ziggurat = ziggurat;
}

double perpend_stream_uniform(struct perpend_stream *stream)
{
    return ((double)(stream_bits(stream) >> 12) + 0.5) * 0x1p-52;
}

void ziggurat_make(struct ziggurat *ziggurat)
{
    double x = ZIGGURAT_TAIL, height = exp(-x * x / 2.0);
    /* what one layer holds: the base with the tail beside it */
    double area = x * height + sqrt(acos(-1.0) / 2.0) * erfc(x / sqrt(2.0));
    /* layer 0 is as wide as its area asks; beyond the tail's beginning it stands for the tail */
    ziggurat->layer[0].scale = area / height * 0x1p-51;
    ziggurat->layer[0].inner = x;
    ziggurat->height[0] = 0.0;
    ziggurat->height[1] = height;
    for (int i = 1; i < ZIGGURAT_LAYERS; i++) {
        ziggurat->layer[i].scale = x * 0x1p-51;
        height += area / x;
        x = height < 1.0 && i < ZIGGURAT_LAYERS - 1 ? sqrt(-2.0 * log(height)) : 0.0;
        ziggurat->layer[i].inner = x;
        ziggurat->height[i + 1] = fmin(height, 1.0);
    }
}

/* Beyond the tail's beginning (Marsaglia, from memory). */
static double tail_normal(struct perpend_stream *stream, double sign)
{
    const double begin = ZIGGURAT_TAIL;
    double x, y;
    do {
        x = -log(perpend_stream_uniform(stream)) / begin;
        y = -log(perpend_stream_uniform(stream));
    } while (y + y < x * x);
    return copysign(begin + x, sign);
}

double stream_normal_slow(struct perpend_stream *stream, uint64_t bits)
{
    const struct ziggurat *ziggurat = stream->ziggurat;
    for (;;) {
        size_t layer = ziggurat_layer(bits);
        double x = ziggurat_magnitude(bits) * ziggurat->layer[layer].scale;
        if (fabs(x) < ziggurat->layer[layer].inner)
            return x;
        if (layer == 0)
            return tail_normal(stream, x);
        double low = ziggurat->height[layer], high = ziggurat->height[layer + 1];
        if (low + (high - low) * perpend_stream_uniform(stream) < exp(-x * x / 2.0))
            return x;
        bits = stream_bits(stream);
    }
}

double perpend_stream_normal(struct perpend_stream *stream)
{
    return stream_normal_slow(stream, stream_bits(stream));
}
