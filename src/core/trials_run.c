/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include <perpend/status.h>

#include "threads.h"
#include "trials_order.h"
#include "trials_run.h"

/* Only the outer parts of the distribution have to be kept and sorted to find its 95 % interval:
   what lies at or under a low cut, and at or over a high one. The first block shows where to cut:
   this much of it on either side, four standard deviations of its rank more than the 5 % that the
   shortest interval may leave out. Should a cut prove too tight, all is kept. */
#define TAIL_SHARE 0.06

struct block {
    size_t count;   /* trials */
    double mean;    /* of them */
    double squares; /* Σ (value − mean)² */
    size_t under;   /* how many are at or under the limit */
    size_t lows, highs;
    double low, high; /* the block's own interval; adaptive runs only */
};

struct run {
    trials_maker *maker;
    const void *context;
    double limit;
    size_t trials; /* at most */
    bool adaptive;
    unsigned workers;
    bool cut; /* keep the tails only; else every value is a low one */
    double low_cut, high_cut;
    struct block *blocks;
    double *lows, *highs; /* TRIALS_BLOCK a block */
    double *values;       /* TRIALS_BLOCK a worker */
    uint64_t *scratch;    /* 2 × TRIALS_BLOCK a worker */
};

static size_t block_trials(const struct run *run, size_t block)
{
    size_t left = run->trials - block * TRIALS_BLOCK;
    return left < TRIALS_BLOCK ? left : TRIALS_BLOCK;
}

static void summarise(const double *values, double limit, struct block *block)
{
    double sum = 0.0, squares = 0.0;
    size_t under = 0;
    for (size_t i = 0; i < block->count; i++)
        sum += values[i];
    double mean = sum / (double)block->count;
    for (size_t i = 0; i < block->count; i++) {
        double off = values[i] - mean;
        squares += off * off;
        under += values[i] <= limit;
    }
    block->mean = mean;
    block->squares = squares;
    block->under = under;
}

/* Copy out what the cuts keep. */
static void keep_tails(
    const struct run *run, const double *values, double *lows, double *highs, struct block *block)
{
    size_t low_count = 0, high_count = 0;
    for (size_t i = 0; i < block->count; i++) {
        double value = values[i];
        lows[low_count] = value;
        low_count += value <= run->low_cut;
        highs[high_count] = value;
        high_count += value >= run->high_cut;
    }
    block->lows = low_count;
    block->highs = high_count;
}

/* The interval of one block by itself, from its tails where they reach far enough. */
static void block_interval(const struct run *run, double *values, uint64_t *scratch,
    const double *lows, const double *highs, struct block *block)
{
    size_t span = order_span(block->count), outer = block->count - span;
    const double *low, *high;
    if (run->cut && block->lows >= outer && block->highs >= outer) {
        memcpy(values, lows, block->lows * sizeof *values);
        double *upper = values + block->lows;
        memcpy(upper, highs, block->highs * sizeof *values);
        order_sort(values, scratch, block->lows);
        order_sort(upper, scratch, block->highs);
        low = values;
        high = upper + block->highs - outer;
    } else {
        order_sort(values, scratch, block->count);
        low = values;
        high = values + span;
    }
    size_t at = order_shortest(low, high, outer);
    block->low = low[at];
    block->high = high[at];
}

static void make_block(void *context, unsigned worker, size_t number)
{
    struct run *run = context;
    struct block *block = &run->blocks[number];
    double *values = run->values + worker * (size_t)TRIALS_BLOCK;
    double *lows = run->lows + number * TRIALS_BLOCK;
    double *highs = run->cut ? run->highs + number * TRIALS_BLOCK : NULL;
    block->count = block_trials(run, number);
    run->maker(run->context, number, block->count, values);
    summarise(values, run->limit, block);
    if (run->cut) {
        keep_tails(run, values, lows, highs, block);
    } else {
        memcpy(lows, values, block->count * sizeof *lows);
        block->lows = block->count;
        block->highs = 0;
    }
    if (run->adaptive)
        block_interval(
            run, values, run->scratch + worker * 2 * (size_t)TRIALS_BLOCK, lows, highs, block);
}

/* Two standard deviations of an average of the blocks' results (JCGM 101:2008, 7.9.4 e). */
struct drift {
    double mean, squares;
};

static void drift_add(struct drift *drift, double value, size_t count)
{
    double off = value - drift->mean;
    drift->mean += off / (double)count;
    drift->squares += off * (value - drift->mean);
}

static bool drift_within(const struct drift *drift, size_t count, double tolerance)
{
    double n = (double)count;
    return 2.0 * sqrt(drift->squares / (n * (n - 1.0))) <= tolerance;
}

struct total {
    size_t trials, under, lows, highs;
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
    total->lows += block->lows;
    total->highs += block->highs;
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
    struct total total;
    struct drift mean, deviation, low, high;
};

/* Take in one more block; true when the results have become stable. */
static bool progress_add(struct progress *progress, const struct block *block, int digits)
{
    size_t count = ++progress->blocks;
    total_add(&progress->total, block);
    drift_add(&progress->mean, block->mean, count);
    drift_add(&progress->deviation, sqrt(block->squares / (double)(block->count - 1)), count);
    drift_add(&progress->low, block->low, count);
    drift_add(&progress->high, block->high, count);
    if (count < 2)
        return false;
    double tolerance = tolerance_for(total_deviation(&progress->total), digits);
    return drift_within(&progress->mean, count, tolerance) &&
           drift_within(&progress->deviation, count, tolerance) &&
           drift_within(&progress->low, count, tolerance) &&
           drift_within(&progress->high, count, tolerance);
}

/* Make as many blocks as it takes. Where the rounds end depends on nothing but their number, and
   blocks made beyond the one that brought the results to rest are not counted. */
static void make_blocks(struct run *run, int digits, struct progress *progress)
{
    size_t most = (run->trials + TRIALS_BLOCK - 1) / TRIALS_BLOCK;
    *progress = (struct progress){0};
    for (size_t made = 0; made < most;) {
        size_t round = !run->adaptive ? most : made / 2 > 2 ? made / 2 : 2;
        size_t end = most - made < round ? most : made + round;
        threads_each(run->workers, made, end, make_block, run);
        for (; made < end; made++) {
            bool stable = progress_add(progress, &run->blocks[made], digits);
            if (stable && run->adaptive)
                return;
        }
    }
}

static void set_cuts(struct run *run)
{
    size_t count = block_trials(run, 0);
    run->maker(run->context, 0, count, run->values);
    order_sort(run->values, run->scratch, count);
    size_t tail = (size_t)(TAIL_SHARE * (double)count);
    run->low_cut = run->values[tail];
    run->high_cut = run->values[count - 1 - tail];
    run->cut = run->low_cut < run->high_cut;
}

/* The tails of all blocks, each in one piece, to be sorted. */
struct gathered {
    double *values[2];
    uint64_t *scratch[2];
    size_t count[2];
};

static void gathered_finish(struct gathered *gathered)
{
    for (int i = 0; i < 2; i++) {
        free(gathered->values[i]);
        free(gathered->scratch[i]);
    }
}

static bool gathered_init(
    struct gathered *gathered, const struct run *run, const struct progress *progress)
{
    *gathered = (struct gathered){.count = {progress->total.lows, progress->total.highs}};
    for (int i = 0; i < 2; i++) {
        gathered->values[i] = malloc((gathered->count[i] + 1) * sizeof *gathered->values[i]);
        gathered->scratch[i] = malloc((2 * gathered->count[i] + 1) * sizeof *gathered->scratch[i]);
        if (!gathered->values[i] || !gathered->scratch[i])
            return false;
    }
    double *low = gathered->values[0], *high = gathered->values[1];
    for (size_t number = 0; number < progress->blocks; number++) {
        const struct block *block = &run->blocks[number];
        memcpy(low, run->lows + number * TRIALS_BLOCK, block->lows * sizeof *low);
        low += block->lows;
        if (!run->cut)
            continue;
        memcpy(high, run->highs + number * TRIALS_BLOCK, block->highs * sizeof *high);
        high += block->highs;
    }
    return true;
}

static void sort_tail(void *context, unsigned worker, size_t tail)
{
    struct gathered *gathered = context;
    (void)worker;
    order_sort(gathered->values[tail], gathered->scratch[tail], gathered->count[tail]);
}

static int find_interval(
    struct run *run, const struct progress *progress, struct perpend_distribution *distribution)
{
    int status = PERPEND_ERR_MEMORY;
    struct gathered gathered;
    size_t span = order_span(progress->total.trials), outer = progress->total.trials - span;
    if (gathered_init(&gathered, run, progress)) {
        threads_each(run->workers, 0, 2, sort_tail, &gathered);
        const double *low = gathered.values[0];
        const double *high = run->cut ? gathered.values[1] + gathered.count[1] - outer : low + span;
        size_t at = order_shortest(low, high, outer);
        distribution->low = low[at];
        distribution->high = high[at];
        status = PERPEND_OK;
    }
    gathered_finish(&gathered);
    return status;
}

static int run_all(struct run *run, int digits, struct perpend_distribution *distribution)
{
    struct progress progress;
    if (run->trials > TRIALS_BLOCK)
        set_cuts(run);
    make_blocks(run, digits, &progress);
    size_t outer = progress.total.trials - order_span(progress.total.trials);
    if (run->cut && (progress.total.lows < outer || progress.total.highs < outer)) {
        run->cut = false;
        make_blocks(run, digits, &progress);
    }
    struct perpend_distribution result = {
        .trials = progress.total.trials,
        .mean = progress.total.mean,
        .deviation = total_deviation(&progress.total),
        .chance =
            isnan(run->limit) ? NAN : (double)progress.total.under / (double)progress.total.trials,
    };
    int status = find_interval(run, &progress, &result);
    if (status == PERPEND_OK)
        *distribution = result;
    return status;
}

static bool options_valid(const struct perpend_trials_options *options)
{
    size_t largest = SIZE_MAX / sizeof(double) / 4;
    if (options->exactly != 0)
        return options->exactly >= TRIALS_FEWEST && options->exactly < largest;
    return options->most >= TRIALS_BLOCK && options->most < largest && options->digits >= 1 &&
           options->digits <= 2;
}

int trials_run(trials_maker *maker, const void *context, double limit,
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
        .workers = threads_workers(options->threads),
    };
    size_t blocks = (run.trials + TRIALS_BLOCK - 1) / TRIALS_BLOCK;
    run.blocks = calloc(blocks, sizeof *run.blocks);
    run.lows = malloc(blocks * TRIALS_BLOCK * sizeof *run.lows);
    run.highs = malloc(blocks * TRIALS_BLOCK * sizeof *run.highs);
    run.values = malloc(run.workers * (size_t)TRIALS_BLOCK * sizeof *run.values);
    run.scratch = malloc(run.workers * 2 * (size_t)TRIALS_BLOCK * sizeof *run.scratch);
    int status = PERPEND_ERR_MEMORY;
    if (run.blocks && run.lows && run.highs && run.values && run.scratch)
        status = run_all(&run, options->digits, distribution);
    free(run.blocks);
    free(run.lows);
    free(run.highs);
    free(run.values);
    free(run.scratch);
    return status;
}
