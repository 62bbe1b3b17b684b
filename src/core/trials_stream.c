/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "trials_stream.h"

static uint64_t rotate_left(uint64_t x, int by)
{
    return (x << by) | (x >> (64 - by));
}

static uint64_t splitmix64(uint64_t *state)
{
    uint64_t z = *state += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

void stream_seed(struct perpend_stream *stream, const struct ziggurat *ziggurat, uint64_t seed,
    uint64_t block, uint64_t lane)
{
    /* three rounds of mixing, so that neighbouring seeds, blocks and lanes start far apart */
    uint64_t mixed = seed;
    mixed = splitmix64(&mixed) ^ block;
    mixed = splitmix64(&mixed) ^ lane;
    for (int i = 0; i < 4; i++)
        stream->state[i] = splitmix64(&mixed);
    stream->ziggurat = ziggurat;
}

uint64_t stream_bits(struct perpend_stream *stream)
{
    uint64_t *s = stream->state;
    uint64_t result = s[0] + s[3];
    uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotate_left(s[3], 45);
    return result;
}

double perpend_stream_uniform(struct perpend_stream *stream)
{
    return ((double)(stream_bits(stream) >> 12) + 0.5) * 0x1p-52;
}

/* Area of one layer when the tail begins at x, for e^(−x²/2). */
static double layer_area(double x)
{
    return x * exp(-x * x / 2.0) + sqrt(acos(-1.0) / 2.0) * erfc(x / sqrt(2.0));
}

/* Stack layers of equal area on a base that ends at x; the height over 1 that the stack reaches. */
static double stack_excess(double x)
{
    double area = layer_area(x), edge = x, height = exp(-x * x / 2.0);
    for (int i = 1; i < ZIGGURAT_LAYERS; i++) {
        height += area / edge;
        if (height >= 1.0)
            return i < ZIGGURAT_LAYERS - 1 ? 1.0 : height - 1.0;
        edge = sqrt(-2.0 * log(height));
    }
    return height - 1.0;
}

void ziggurat_make(struct ziggurat *ziggurat)
{
    /* the base from which the stack ends at the top of the bell */
    double low = 2.0, high = 6.0;
    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2.0;
        if (stack_excess(middle) > 0.0)
            low = middle;
        else
            high = middle;
    }
    double x = high, area = layer_area(x), height = exp(-x * x / 2.0);
    ziggurat->tail = x;
    /* layer 0 is as wide as its area asks; beyond the tail's beginning it stands for the tail */
    ziggurat->scale[0] = area / height * 0x1p-52;
    ziggurat->inner[0] = x;
    ziggurat->height[0] = 0.0;
    ziggurat->height[1] = height;
    for (int i = 1; i < ZIGGURAT_LAYERS; i++) {
        ziggurat->scale[i] = x * 0x1p-52;
        height += area / x;
        x = height < 1.0 ? sqrt(-2.0 * log(height)) : 0.0;
        ziggurat->inner[i] = x;
        ziggurat->height[i + 1] = fmin(height, 1.0);
    }
}

/* Beyond the tail's beginning (Marsaglia, from memory). */
static double tail_normal(struct perpend_stream *stream, double sign)
{
    double begin = stream->ziggurat->tail, x, y;
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
        size_t layer = (size_t)(bits >> 2) % ZIGGURAT_LAYERS;
        double x = ziggurat_magnitude(bits) * ziggurat->scale[layer];
        if (fabs(x) < ziggurat->inner[layer])
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
