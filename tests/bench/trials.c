/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A million trials through the closed-form ridge, so often as asked, for trials.py: one line a run,
 * its seconds and its result. Seeds differ from run to run.
 *
 *     bench_trials ROUNDS THREADS
 */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include <perpend/status.h>
#include <perpend/trials.h>

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

int main(int argc, char **argv)
{
    /* the same figures stand in trials.py */
    const struct perpend_slope lean = {0.001, 0.006};
    const struct perpend_slope_covariance covariance = {4e-6, 1e-6, 5e-6};
    const struct perpend_cutter cutter = {22.0, 0.0};
    const struct perpend_facing facing = {10.0, false, PERPEND_ALONG_X, 0.2};
    struct perpend_trials_options options = perpend_trials_defaults();
    struct perpend_distribution d;
    if (argc != 3)
        return 2;
    options.exactly = 1000000;
    options.threads = (unsigned)atoi(argv[2]);
    for (int round = atoi(argv[1]); round > 0; round--) {
        options.seed = (uint64_t)round;
        double start = seconds();
        int status = perpend_trials_ridge(lean, covariance, &cutter, &facing, 0.02, &options, &d);
        double took = seconds() - start;
        if (status != PERPEND_OK)
            return 1;
        printf(
            "%.9f %.9f %.9f %.9f %.9f %.9f\n", took, d.mean, d.deviation, d.low, d.high, d.chance);
    }
    return 0;
}
