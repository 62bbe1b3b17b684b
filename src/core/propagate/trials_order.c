/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <float.h>
#include <stdlib.h>
#include <string.h>

#include "core/propagate/trials_order.h"

#define INSERTION_MOST 24 /* values that are best sorted by insertion */
#define BUCKETS 1024
#define BUCKET_VALUES 4 /* aimed at */
#define MOST_DEPTH 6

static void insertion_sort(double *values, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        double value = values[i];
        size_t j = i;
        for (; j > 0 && values[j - 1] > value; j--)
            values[j] = values[j - 1];
        values[j] = value;
    }
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void extremes(const double *values, size_t count, double *low, double *high)
{
    *low = *high = values[0];
    for (size_t i = 1; i < count; i++) {
        *low = values[i] < *low ? values[i] : *low;
        *high = values[i] > *high ? values[i] : *high;
    }
}

/* Trials lie close to evenly over short stretches: one pass that puts each near its place, in
   buckets of equal width, leaves little to do. A crowded bucket is sorted in the same way, unless
   that has been tried often enough. */
static void bucket_sort(double *values, double *scratch, size_t count, int depth)
{
    if (count <= INSERTION_MOST) {
        insertion_sort(values, count);
        return;
    }
    double low, high;
    extremes(values, count, &low, &high);
    if (!(low < high))
        return;
    size_t buckets = count / BUCKET_VALUES < BUCKETS ? count / BUCKET_VALUES : BUCKETS;
    double scale = (double)(buckets - 1) / (high - low);
    if (depth == MOST_DEPTH || !(scale > 0.0 && scale <= DBL_MAX)) {
        qsort(values, count, sizeof *values, compare);
        return;
    }
    unsigned end[BUCKETS];
    memset(end, 0, buckets * sizeof *end);
    for (size_t i = 0; i < count; i++)
        end[(size_t)((values[i] - low) * scale)]++;
    unsigned sum = 0;
    for (size_t bucket = 0; bucket < buckets; bucket++) {
        unsigned here = end[bucket];
        end[bucket] = sum;
        sum += here;
    }
    for (size_t i = 0; i < count; i++)
        scratch[end[(size_t)((values[i] - low) * scale)]++] = values[i];
    memcpy(values, scratch, count * sizeof *values);
    size_t begin = 0;
    for (size_t bucket = 0; bucket < buckets; bucket++) {
        size_t here = end[bucket] - begin;
        if (here > 1)
            bucket_sort(values + begin, scratch + begin, here, depth + 1);
        begin = end[bucket];
    }
}

void order_sort(double *values, double *scratch, size_t count)
{
    bucket_sort(values, scratch, count, 0);
}

size_t order_span(size_t count)
{
    return (size_t)(0.95 * (double)count + 0.5);
}

size_t order_shortest(const double *low, const double *high, size_t count)
{
    size_t best = 0;
    for (size_t i = 1; i < count; i++)
        if (high[i] - low[i] < high[best] - low[best])
            best = i;
    return best;
}
