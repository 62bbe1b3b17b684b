/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "trials_order.h"

#define DIGIT_BITS 11
#define DIGIT_VALUES (1u << DIGIT_BITS)
#define DIGITS 6
#define INSERTION_MOST 48

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

/* Bits whose order as whole numbers is the order of the doubles. */
static uint64_t to_key(double value)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    return bits >> 63 ? ~bits : bits | UINT64_C(1) << 63;
}

static double from_key(uint64_t key)
{
    uint64_t bits = key >> 63 ? key & ~(UINT64_C(1) << 63) : ~key;
    double value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

static size_t digit_of(uint64_t key, int digit)
{
    return (size_t)(key >> (digit * DIGIT_BITS)) % DIGIT_VALUES;
}

/* One pass of the radix sort; false when all keys share the digit and nothing was moved. */
static bool radix_pass(const uint64_t *from, uint64_t *to, size_t count, int digit)
{
    size_t place[DIGIT_VALUES] = {0};
    for (size_t i = 0; i < count; i++)
        place[digit_of(from[i], digit)]++;
    if (place[digit_of(from[0], digit)] == count)
        return false;
    size_t sum = 0;
    for (size_t value = 0; value < DIGIT_VALUES; value++) {
        size_t here = place[value];
        place[value] = sum;
        sum += here;
    }
    for (size_t i = 0; i < count; i++)
        to[place[digit_of(from[i], digit)]++] = from[i];
    return true;
}

void order_sort(double *values, uint64_t *scratch, size_t count)
{
    if (count <= INSERTION_MOST) {
        insertion_sort(values, count);
        return;
    }
    uint64_t *from = scratch, *to = scratch + count;
    for (size_t i = 0; i < count; i++)
        from[i] = to_key(values[i]);
    for (int digit = 0; digit < DIGITS; digit++) {
        if (radix_pass(from, to, count, digit)) {
            uint64_t *other = from;
            from = to;
            to = other;
        }
    }
    for (size_t i = 0; i < count; i++)
        values[i] = from_key(from[i]);
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
