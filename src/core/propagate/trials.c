/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include <perpend/status.h>
#include <perpend/trials.h>

#include "core/ridge/ridge_profile.h"
#include "core/propagate/trials_kernel.h"
#include "core/propagate/trials_run.h"
#include "core/propagate/trials_stream.h"

/* Fuzzers build with this usual name: they want many inputs, not many digits. */
#ifdef FUZZING_BUILD_MODE_UNSAFE_FOR_PRODUCTION
#define USUAL_EXACTLY 40
#define USUAL_THREADS 1
#else
#define USUAL_EXACTLY 0
#define USUAL_THREADS 0
#endif

struct perpend_trials_options perpend_trials_defaults(void)
{
    return (struct perpend_trials_options){.seed = 1,
        .threads = USUAL_THREADS,
        .most = 1000000,
        .exactly = USUAL_EXACTLY,
        .digits = 2};
}

static uint64_t seed_of(const struct perpend_trials_options *options)
{
    return options ? options->seed : perpend_trials_defaults().seed;
}

/* Leans right and back from two standard normals: the covariance's lower triangular root. */
static bool lean_plane(struct perpend_slope lean, struct perpend_slope_covariance covariance,
    struct kernel_plane *plane)
{
    double rr = covariance.right_right, rb = covariance.right_back, bb = covariance.back_back;
    if (!isfinite(rr) || !isfinite(rb) || !isfinite(bb) || rr < 0.0 || bb < 0.0)
        return false;
    /* a correlation of ±1 may come out a few digits beyond */
    if (rb * rb > rr * bb * (1.0 + 1e-9) + DBL_MIN)
        return false;
    double root = sqrt(rr), shared = rr > 0.0 ? rb / root : 0.0;
    *plane = (struct kernel_plane){.first = lean.right,
        .of_1 = root,
        .second = lean.back,
        .and_1 = shared,
        .and_2 = sqrt(fmax(0.0, bb - shared * shared))};
    return true;
}

/* The same leans along a feed and across it. */
static struct kernel_plane turned_plane(const struct kernel_plane *plane, struct perpend_slope feed)
{
    return (struct kernel_plane){
        .first = plane->first * feed.right + plane->second * feed.back,
        .of_1 = plane->of_1 * feed.right + plane->and_1 * feed.back,
        .of_2 = plane->of_2 * feed.right + plane->and_2 * feed.back,
        .second = plane->first * feed.back - plane->second * feed.right,
        .and_1 = plane->of_1 * feed.back - plane->and_1 * feed.right,
        .and_2 = plane->of_2 * feed.back - plane->and_2 * feed.right,
    };
}

/* No lean in a run lies farther out: nine standard deviations. */
static double farthest_lean(const struct kernel_plane *plane)
{
    return hypot(plane->first, plane->second) +
           9.0 * sqrt(plane->of_1 * plane->of_1 + plane->of_2 * plane->of_2 +
                      plane->and_1 * plane->and_1 + plane->and_2 * plane->and_2);
}

struct ridge_trials {
    struct kernel_plane plane; /* leans along the feed and across it */
    double radius, stepover;
    bool both_ways; /* across and along change places for the other way */
    bool small;
    const struct perpend_cutter *cutter;
    uint64_t seed;
    struct ziggurat ziggurat;
};

static void corner_ridges(const struct ridge_trials *trials, const double *along,
    const double *across, double *ridge, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct perpend_slope lean = {across[i], along[i]};
        struct ridge_profile profile;
        struct ridge_cell cell;
        ridge_profile_make(lean, trials->cutter, PERPEND_ALONG_Y, &profile);
        ridge_profile_cell(&profile, fmin(trials->stepover, 2.0 * profile.reach), &cell);
        ridge[i] = cell.height;
    }
}

static void one_way_ridges(const struct ridge_trials *trials, const double *along,
    const double *across, double *ridge, size_t count)
{
    if (trials->cutter->corner > 0.0)
        corner_ridges(trials, along, across, ridge, count);
    else if (trials->small)
        kernel_ridges_small(along, across, trials->radius, trials->stepover, ridge, count);
    else
        kernel_ridges(along, across, trials->radius, trials->stepover, ridge, count);
}

static void make_ridges(const void *context, size_t block, size_t count, double *values)
{
    const struct ridge_trials *trials = context;
    struct perpend_stream stream;
    stream_seed(&stream, &trials->ziggurat, trials->seed, block);
    for (size_t done = 0; done < count; done += KERNEL_CHUNK) {
        size_t here = count - done < KERNEL_CHUNK ? count - done : KERNEL_CHUNK;
        double normal[2 * KERNEL_CHUNK], along[KERNEL_CHUNK], across[KERNEL_CHUNK];
        kernel_normals(&stream, normal, sizeof normal / sizeof normal[0]);
        kernel_leans(&trials->plane, normal, normal + KERNEL_CHUNK, along, across, here);
        one_way_ridges(trials, along, across, values + done, here);
        if (!trials->both_ways)
            continue;
        one_way_ridges(trials, across, along, normal, here);
        for (size_t i = 0; i < here; i++)
            values[done + i] = fmax(values[done + i], normal[i]);
    }
}

enum perpend_status perpend_trials_ridge(struct perpend_slope lean,
    struct perpend_slope_covariance covariance, const struct perpend_cutter *cutter,
    const struct perpend_facing *facing, double goal, const struct perpend_trials_options *options,
    struct perpend_distribution *distribution)
{
    double height;
    enum perpend_status status = perpend_ridge_facing(lean, cutter, facing, &height);
    if (status != PERPEND_OK)
        return status;
    struct kernel_plane plane;
    if (!lean_plane(lean, covariance, &plane) || isinf(goal))
        return PERPEND_ERR_VALUE;
    struct ridge_trials *trials = malloc(sizeof *trials);
    if (!trials)
        return PERPEND_ERR_MEMORY;
    double radius = cutter->diameter / 2.0;
    double along = facing->both_ways ? PERPEND_ALONG_X : facing->along;
    *trials = (struct ridge_trials){
        .plane = turned_plane(&plane, ridge_feed(along)),
        .radius = radius,
        .stepover = facing->stepover,
        .both_ways = facing->both_ways,
        .small = farthest_lean(&plane) <= KERNEL_SMALL_LEAN &&
                 facing->stepover <= KERNEL_SMALL_STEPOVER * radius,
        .cutter = cutter,
        .seed = seed_of(options),
    };
    ziggurat_make(&trials->ziggurat);
    status = trials_run(make_ridges, trials, goal, options, distribution);
    free(trials);
    return status;
}

struct model_trials {
    perpend_model *model;
    const void *context;
    uint64_t seed;
    struct ziggurat ziggurat;
};

static void make_outputs(const void *context, size_t block, size_t count, double *values)
{
    const struct model_trials *trials = context;
    struct perpend_stream stream;
    stream_seed(&stream, &trials->ziggurat, trials->seed, block);
    for (size_t i = 0; i < count; i++)
        values[i] = trials->model(&stream, trials->context);
}

enum perpend_status perpend_trials_model(perpend_model *model, const void *context, double limit,
    const struct perpend_trials_options *options, struct perpend_distribution *distribution)
{
    struct model_trials *trials = malloc(sizeof *trials);
    if (!trials)
        return PERPEND_ERR_MEMORY;
    *trials = (struct model_trials){.model = model, .context = context, .seed = seed_of(options)};
    ziggurat_make(&trials->ziggurat);
    enum perpend_status status = trials_run(make_outputs, trials, limit, options, distribution);
    free(trials);
    return status;
}
