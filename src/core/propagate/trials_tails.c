/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <float.h>
#include <math.h>
#include <string.h>

#include "core/propagate/trials_order.h"
#include "core/propagate/trials_tails.h"

bool tails_bins_make(
    double low_from, double low_to, double high_from, double high_to, struct kernel_bins *bins)
{
    *bins = (struct kernel_bins){
        .middle = low_to + (high_from - low_to) / 2.0,
        .from = {low_from, high_from},
        .scale = {TAILS_BINS / (low_to - low_from), TAILS_BINS / (high_to - high_from)},
        .bins = TAILS_BINS,
    };
    return low_from < low_to && low_to < high_from && high_from < high_to &&
           isfinite(bins->scale[0]) && isfinite(bins->scale[1]);
}

enum { LOW, HIGH, SIDES };

/* Bins of both tails, the high tail's after the low one's. */
struct counted {
    const struct kernel_bins *bins;
    int coarser;
    unsigned side; /* bins of a tail, and the first one of the high tail */
    unsigned count[SIDES * TAILS_BINS];
    unsigned place[SIDES * TAILS_BINS]; /* of a bin's first value among the wanted, sorted ones */
    bool wanted[SIDES * TAILS_BINS];    /* may hold an end of the shortest interval */
};

/* A stretch of ranks whose lower ends lie in one bin and whose upper ends lie in another. */
struct stretch {
    unsigned bin[SIDES], into[SIDES]; /* how far into the bin the stretch begins */
    unsigned ranks;
    double least; /* no interval of the stretch is shorter */
};

static void count_values(struct counted *counted, const struct tails_list *lists, size_t list_count)
{
    memset(counted->count, 0, sizeof counted->count);
    memset(counted->wanted, 0, sizeof counted->wanted);
    for (size_t list = 0; list < list_count; list++)
        for (size_t i = 0; i < lists[list].count; i++)
            counted->count[lists[list].bin[i] >> counted->coarser]++;
}

static unsigned tail_count(const struct counted *counted, int tail)
{
    unsigned sum = 0;
    for (unsigned i = 0; i < counted->side; i++)
        sum += counted->count[(unsigned)tail * counted->side + i];
    return sum;
}

/* Edge of a bin, with a little more than rounding can move it; the outermost ones have no end. */
static double bin_edge(const struct counted *counted, unsigned bin, bool upper)
{
    unsigned tail = bin / counted->side, number = bin % counted->side;
    if (number == (upper ? counted->side - 1 : 0))
        return upper ? INFINITY : -INFINITY;
    double from = counted->bins->from[tail];
    double width = (double)(1 << counted->coarser) / counted->bins->scale[tail];
    double edge = from + width * (number + (upper ? 1 : 0));
    double slack = 1e-9 * width + 4.0 * DBL_EPSILON * fmax(fabs(from), fabs(edge));
    return upper ? edge + slack : edge - slack;
}

/* Cut the ranks from 0 to `ranks` into stretches; `skip` values of the high tail lie under the
   first interval's upper end. */
static size_t find_stretches(
    const struct counted *counted, unsigned ranks, unsigned skip, struct stretch *stretches)
{
    unsigned bin[SIDES] = {0, counted->side}, into[SIDES] = {0, skip}, left[SIDES];
    size_t found = 0;
    while (ranks > 0) {
        unsigned here = ranks;
        for (int tail = 0; tail < SIDES; tail++) {
            while (into[tail] >= counted->count[bin[tail]])
                into[tail] -= counted->count[bin[tail]++];
            left[tail] = counted->count[bin[tail]] - into[tail];
            here = left[tail] < here ? left[tail] : here;
        }
        stretches[found++] = (struct stretch){{bin[LOW], bin[HIGH]}, {into[LOW], into[HIGH]}, here,
            bin_edge(counted, bin[HIGH], false) - bin_edge(counted, bin[LOW], true)};
        into[LOW] += here;
        into[HIGH] += here;
        ranks -= here;
    }
    return found;
}

/* Mark the bins of all stretches that may hold the shortest interval, and find the wanted values'
   places; returns what the shortest interval is no longer than. */
static double mark_wanted(struct counted *counted, const struct stretch *stretches, size_t count)
{
    double bound = INFINITY;
    for (size_t i = 0; i < count; i++) {
        const unsigned *bin = stretches[i].bin;
        bound =
            fmin(bound, bin_edge(counted, bin[HIGH], true) - bin_edge(counted, bin[LOW], false));
    }
    for (size_t i = 0; i < count; i++) {
        if (stretches[i].least <= bound) {
            counted->wanted[stretches[i].bin[LOW]] = true;
            counted->wanted[stretches[i].bin[HIGH]] = true;
        }
    }
    unsigned sum = 0;
    for (unsigned bin = 0; bin < SIDES * counted->side; bin++) {
        counted->place[bin] = sum;
        sum += counted->wanted[bin] ? counted->count[bin] : 0;
    }
    return bound;
}

/* Collect the wanted values; returns how many. One place more than that is written to. */
static size_t collect_wanted(const struct counted *counted, const struct tails_list *lists,
    size_t list_count, double *wanted)
{
    size_t found = 0;
    for (size_t list = 0; list < list_count; list++) {
        for (size_t i = 0; i < lists[list].count; i++) {
            wanted[found] = lists[list].values[i];
            found += counted->wanted[lists[list].bin[i] >> counted->coarser];
        }
    }
    return found;
}

static void shortest_of_stretches(const struct counted *counted, const struct stretch *stretches,
    size_t count, double bound, const double *ordered, double *low, double *high)
{
    double shortest = INFINITY;
    for (size_t i = 0; i < count; i++) {
        const struct stretch *stretch = &stretches[i];
        if (stretch->least > bound)
            continue;
        const double *from = ordered + counted->place[stretch->bin[LOW]] + stretch->into[LOW];
        const double *to = ordered + counted->place[stretch->bin[HIGH]] + stretch->into[HIGH];
        size_t at = order_shortest(from, to, stretch->ranks);
        if (to[at] - from[at] < shortest) {
            shortest = to[at] - from[at];
            *low = from[at];
            *high = to[at];
        }
    }
}

bool tails_shortest_interval(const struct kernel_bins *bins, int coarser,
    const struct tails_list *lists, size_t list_count, size_t trials, double *work, double *low,
    double *high)
{
    struct counted counted = {
        .bins = bins, .coarser = coarser, .side = (unsigned)(TAILS_BINS >> coarser)};
    struct stretch stretches[SIDES * TAILS_BINS];
    count_values(&counted, lists, list_count);
    unsigned lows = tail_count(&counted, LOW), highs = tail_count(&counted, HIGH);
    unsigned outer = (unsigned)(trials - order_span(trials));
    if (lows < outer || highs < outer)
        return false;

    size_t count = find_stretches(&counted, outer, highs - outer, stretches);
    double bound = mark_wanted(&counted, stretches, count);
    size_t wanted = collect_wanted(&counted, lists, list_count, work);
    order_sort(work, work + wanted + 1, wanted);
    shortest_of_stretches(&counted, stretches, count, bound, work, low, high);
    return true;
}
