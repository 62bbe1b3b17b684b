/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SUPPORT_H
#define SUPPORT_H

/**
 * What several test programs need: cmocka with what it wants included before it, and random
 * numbers that a seed reruns.
 *
 * A law test begins with test_random_start(), which prints the seed; PERPEND_TEST_SEED sets
 * another. On a failure print the case (its number, its inputs) before asserting. A law whose
 * cases take seconds asks test_cases() how many of them to draw.
 */

#include <inttypes.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

struct test_random {
    uint64_t state;
};

static inline uint64_t test_random_bits(struct test_random *random)
{
    /* SplitMix64 (Steele, Lea, Flood 2014), constants from memory */
    uint64_t z = (random->state += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

static inline struct test_random test_random_start(const char *law, uint64_t seed)
{
    const char *asked = getenv("PERPEND_TEST_SEED");
    if (asked != NULL)
        seed = strtoull(asked, NULL, 10);
    printf("# %s: seed %" PRIu64 "\n", law, seed);
    return (struct test_random){seed};
}

/* A tenth of a law's cases, or as many of a hundred as PERPEND_TEST_PERCENT says: 100 for the long
   run, fewer for builds in which each takes several times as long. Never fewer than the law's own
   fewest, with which its bounds still hold whatever the seed. */
static inline int test_cases(int all, int fewest)
{
    const char *percent = getenv("PERPEND_TEST_PERCENT");
    double some = ceil(all * (percent == NULL ? 10.0 : strtod(percent, NULL)) / 100.0);
    return some >= all ? all : some >= fewest ? (int)some : fewest;
}

/* in [low, high) */
static inline double test_uniform(struct test_random *random, double low, double high)
{
    return low + (high - low) * ((double)(test_random_bits(random) >> 11) * 0x1p-53);
}

/* 0 … count − 1 */
static inline size_t test_pick(struct test_random *random, size_t count)
{
    return (size_t)(test_random_bits(random) % count);
}

/* mean 0, standard deviation 1 (Box and Muller) */
static inline double test_normal(struct test_random *random)
{
    double radius = sqrt(-2.0 * log(1.0 - test_uniform(random, 0.0, 1.0)));
    return radius * cos(6.283185307179586 * test_uniform(random, 0.0, 1.0));
}

/* |got − want| ≤ tolerance, else print both and fail */
#define assert_near(got, want, tolerance) assert_near_at(got, want, tolerance, __FILE__, __LINE__)

static inline void assert_near_at(
    double got, double want, double tolerance, const char *file, int line)
{
    if (fabs(got - want) <= tolerance)
        return;
    printf("# %s:%d: got %.17g, want %.17g, off by %.3g, allowed %.3g\n", file, line, got, want,
        got - want, tolerance);
    _fail(file, line);
}

/* as above, relative to `want` */
#define assert_relative(got, want, tolerance)                                                      \
    assert_near_at(got, want, (tolerance)*fabs(want), __FILE__, __LINE__)

#endif
