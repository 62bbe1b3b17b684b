/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "core/propagate/threads.h"
#include "core/propagate/trials_kernel.h"
#include "core/propagate/trials_order.h"
#include "core/propagate/trials_run.h"
#include "core/propagate/trials_tails.h"

/* Only the outer parts of the distribution have to be kept and sorted to find its 95 % interval.
   The first few trials show where to cut: this much of them on either side, four standard
   deviations of its rank more than the 5 % that the shortest interval may leave out. Should a cut
   prove too tight, all is kept. */
#define PILOT 2500
#define TAIL_SHARE 0.068

/* A single block's tails are looked at in eighth as many bins as the whole run's. */
#define BLOCK_COARSER 3

struct block {
    size_t count;   /* trials */
    double mean;    /* of them */
    double squares; /* Σ (value − mean)² */
    size_t under;   /* how many are at or under the limit */
    struct tails_list tails;
    bool finite;      /* as every value must be */
    double low, high; /* the block's own interval; adaptive runs only */
    bool ready;
};

/* Where a worker works. */
struct bench {
    double values[TRIALS_BLOCK], work[2 * TRIALS_BLOCK + 2];
};

/* How far the blocks' results wander: two standard deviations of their average (JCGM 101:2008,
   7.9.4 e). */
struct wander {
    double mean, squares;
};

static void wander_add(struct wander *wander, double value, size_t count)
{
    double off = value - wander->mean;
    wander->mean += off / (double)count;
    wander->squares += off * (value - wander->mean);
}

static bool wander_within(const struct wander *wander, size_t count, double tolerance)
{
    double n = (double)count;
    return 2.0 * sqrt(wander->squares / (n * (n - 1.0))) <= tolerance;
}

struct total {
    size_t trials, under, kept;
    bool finite;
    double mean, squares;
};

static void total_add(struct total *total, const struct block *block)
{
    double before = (double)total->trials, here = (double)block->count;
    double off = block->mean - total->mean;
    total->trials += block->count;
    total->mean += off * here / (before + here);
    total->squares += block->squares + off * off * before * here / (before + here);
    total->under += block->under;
    total->kept += block->tails.count;
    total->finite = total->finite && block->finite;
}

static double total_deviation(const struct total *total)
{
    return sqrt(total->squares / (double)(total->trials - 1));
}

/* Half a unit in the last of the digits that the uncertainty is to be good to (7.9.2). */
static double tolerance_for(double deviation, int digits)
{
    if (!(deviation > 0.0))
        return 0.0;
    int exponent = (int)floor(log10(deviation)) - (digits - 1);
    return 0.5 * pow(10.0, exponent);
}

/* How far the adaptive procedure has come. */
struct progress {
    size_t blocks;
    bool stable;
    struct total total;
    struct wander mean, deviation, low, high;
};

/* Take in one more block, and see whether so many digits are stable; 0 when all blocks are wanted.
 */
static void progress_add(struct progress *progress, const struct block *block, int digits)
{
    size_t count = ++progress->blocks;
    total_add(&progress->total, block);
    wander_add(&progress->mean, block->mean, count);
    wander_add(&progress->deviation, sqrt(block->squares / (double)(block->count - 1)), count);
    wander_add(&progress->low, block->low, count);
    wander_add(&progress->high, block->high, count);
    if (count < 2 || digits == 0)
        return;
    double tolerance = tolerance_for(total_deviation(&progress->total), digits);
    progress->stable = wander_within(&progress->mean, count, tolerance) &&
                       wander_within(&progress->deviation, count, tolerance) &&
                       wander_within(&progress->low, count, tolerance) &&
                       wander_within(&progress->high, count, tolerance);
}

struct run {
    trials_maker *maker;
    const void *context;
    double limit;
    size_t trials; /* at most */
    bool adaptive;
    int digits;
    unsigned workers;
    struct kernel_bins bins;
    double reach; /* what is this far from the bins' middle is kept; 0: all */
    struct block *blocks;
    double *kept;          /* TRIALS_BLOCK a block, of which only the beginning is used */
    int *kept_bins;        /* likewise */
    struct bench *benches; /* one a worker */
    struct progress progress;
};

static size_t run_blocks(const struct run *run)
{
    return (run->trials + TRIALS_BLOCK - 1) / TRIALS_BLOCK;
}

static size_t block_trials(const struct run *run, size_t block)
{
    size_t left = run->trials - block * TRIALS_BLOCK;
    return left < TRIALS_BLOCK ? left : TRIALS_BLOCK;
}

/* The shortest 95 % interval of values that are all at hand. Sorts them. */
static void whole_interval(double *values, double *scratch, size_t count, double *low, double *high)
{
    size_t span = order_span(count);
    order_sort(values, scratch, count);
    size_t at = order_shortest(values, values + span, count - span);
    *low = values[at];
    *high = values[at + span];
}

/* The interval of one block by itself. */
static void block_interval(
    const struct run *run, const struct tails_list *tails, struct bench *bench, struct block *block)
{
    if (run->reach > 0.0 && tails_shortest_interval(&run->bins, BLOCK_COARSER, tails, 1,
                                block->count, bench->work, &block->low, &block->high))
        return;
    whole_interval(bench->values, bench->work, block->count, &block->low, &block->high);
}

static void make_block(void *context, unsigned worker, size_t number)
{
    struct run *run = context;
    struct block *block = &run->blocks[number];
    struct bench *bench = &run->benches[worker];
    double *kept = run->kept + number * TRIALS_BLOCK;
    int *kept_bins = run->kept_bins + number * TRIALS_BLOCK;
    block->count = block_trials(run, number);
    run->maker(run->context, number, block->count, bench->values);
    struct kernel_sums sums = kernel_sum(bench->values, block->count, run->bins.middle, run->limit);
    double n = (double)block->count;
    block->mean = run->bins.middle + sums.off / n;
    block->squares = fmax(0.0, sums.squares - sums.off * sums.off / n);
    block->under = sums.under;
    block->finite = isfinite(sums.squares);
    block->tails = (struct tails_list){kept, kept_bins, 0};
    if (!block->finite)
        return;
    block->tails.count =
        kernel_tails(bench->values, block->count, run->bins.middle, run->reach, kept);
    if (run->reach > 0.0)
        kernel_bin(kept, block->tails.count, &run->bins, kept_bins);
    if (run->adaptive)
        block_interval(run, &block->tails, bench, block);
}

/* Take in the blocks that are ready, in the order of their numbers, until the results are stable.
   What others have made beyond that does not count. */
static bool block_done(void *context, size_t number)
{
    struct run *run = context;
    struct progress *progress = &run->progress;
    size_t blocks = run_blocks(run);
    run->blocks[number].ready = true;
    while (!progress->stable && progress->blocks < blocks && run->blocks[progress->blocks].ready)
        progress_add(progress, &run->blocks[progress->blocks], run->adaptive ? run->digits : 0);
    return !progress->stable;
}

static void make_blocks(struct run *run)
{
    size_t blocks = run_blocks(run);
    run->progress = (struct progress){.total.finite = true};
    for (size_t number = 0; number < blocks; number++)
        run->blocks[number].ready = false;
    threads_each(run->workers, blocks, make_block, block_done, run);
}

static bool find_cuts(struct run *run)
{
    double *values = run->benches->values;
    bool worthwhile = run->trials > TRIALS_BLOCK; /* else all are kept */
    size_t count = worthwhile ? PILOT : TRIALS_FEWEST;
    size_t tail = (size_t)(TAIL_SHARE * (double)count);
    run->maker(run->context, 0, count, values);
    if (!isfinite(kernel_sum(values, count, 0.0, 0.0).squares))
        return false;
    order_sort(values, run->benches->work, count);
    double low = values[tail], high = values[count - 1 - tail];
    bool useful = tails_bins_make(values[0], low, high, values[count - 1], &run->bins);
    run->reach = useful && worthwhile ? (high - low) / 2.0 : 0.0;
    return true;
}

/* The interval of all that the blocks keep, which is everything when there are no cuts. */
static enum perpend_status find_interval(
    const struct run *run, const struct tails_list *lists, double *low, double *high, bool *found)
{
    const struct progress *progress = &run->progress;
    double *work = malloc(2 * (progress->total.kept + 1) * sizeof *work);
    if (!work)
        return PERPEND_ERR_MEMORY;
    if (run->reach > 0.0) {
        *found = tails_shortest_interval(
            &run->bins, 0, lists, progress->blocks, progress->total.trials, work, low, high);
    } else {
        double *next = work;
        for (size_t number = 0; number < progress->blocks; number++) {
            memcpy(next, lists[number].values, lists[number].count * sizeof *next);
            next += lists[number].count;
        }
        whole_interval(work, next, progress->total.kept, low, high);
        *found = true;
    }
    free(work);
    return PERPEND_OK;
}

/* Make the blocks and find the interval of what they keep: with cuts, and should these prove too
   tight, once more without. */
static enum perpend_status find_result(struct run *run, double *low, double *high)
{
    bool found = false;
    enum perpend_status status = PERPEND_OK;
    struct tails_list *lists = malloc(run_blocks(run) * sizeof *lists);
    if (!lists)
        return PERPEND_ERR_MEMORY;
    while (status == PERPEND_OK && !found) {
        make_blocks(run);
        for (size_t number = 0; number < run->progress.blocks; number++)
            lists[number] = run->blocks[number].tails;
        status = run->progress.total.finite ? find_interval(run, lists, low, high, &found)
                                            : PERPEND_ERR_VALUE;
        run->reach = 0.0;
    }
    free(lists);
    return status;
}

static enum perpend_status run_all(struct run *run, struct perpend_distribution *distribution)
{
    const struct total *total = &run->progress.total;
    double low, high;
    if (!find_cuts(run))
        return PERPEND_ERR_VALUE;
    enum perpend_status status = find_result(run, &low, &high);
    if (status != PERPEND_OK)
        return status;
    *distribution = (struct perpend_distribution){
        .trials = total->trials,
        .mean = total->mean,
        .deviation = total_deviation(total),
        .low = low,
        .high = high,
        .chance = isnan(run->limit) ? NAN : (double)total->under / (double)total->trials,
    };
    return PERPEND_OK;
}

static bool options_valid(const struct perpend_trials_options *options)
{
    size_t largest = SIZE_MAX / sizeof(double) / 4;
    if (options->exactly != 0)
        return options->exactly >= TRIALS_FEWEST && options->exactly < largest;
    return options->most >= TRIALS_BLOCK && options->most < largest && options->digits >= 1 &&
           options->digits <= 2;
}

enum perpend_status trials_run(trials_maker *maker, const void *context, double limit,
    const struct perpend_trials_options *options, struct perpend_distribution *distribution)
{
    struct perpend_trials_options defaults = perpend_trials_defaults();
    if (!options)
        options = &defaults;
    if (!options_valid(options))
        return PERPEND_ERR_VALUE;

    struct run run = {
        .maker = maker,
        .context = context,
        .limit = limit,
        .trials = options->exactly ? options->exactly : options->most / TRIALS_BLOCK * TRIALS_BLOCK,
        .adaptive = options->exactly == 0,
        .digits = options->digits,
        .workers = threads_workers(options->threads),
    };
    size_t blocks = run_blocks(&run);
    run.blocks = calloc(blocks, sizeof *run.blocks);
    run.kept = malloc(blocks * TRIALS_BLOCK * sizeof *run.kept);
    run.kept_bins = malloc(blocks * TRIALS_BLOCK * sizeof *run.kept_bins);
    run.benches = malloc(run.workers * sizeof *run.benches);
    enum perpend_status status = PERPEND_ERR_MEMORY;
    if (run.blocks && run.kept && run.kept_bins && run.benches)
        status = run_all(&run, distribution);
    free(run.blocks);
    free(run.kept);
    free(run.kept_bins);
    free(run.benches);
    return status;
}
