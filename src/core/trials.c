/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include <perpend/status.h>
#include <perpend/trials.h>

#include "ridge_profile.h"
#include "trials_kernel.h"
#include "trials_run.h"
#include "trials_stream.h"

struct perpend_trials_options perpend_trials_defaults(void)
{
    return (struct perpend_trials_options){
        .seed = 1, .threads = 0, .most = 1000000, .exactly = 0, .digits = 2};
}

static uint64_t seed_of(const struct perpend_trials_options *options)
{
    return options ? options->seed : perpend_trials_defaults().seed;
}

/* Leans right and back from two standard normals: the covariance's lower triangular root. */
struct lean_root {
    double right_1, back_1, back_2;
};

static bool lean_root_make(struct perpend_slope_covariance covariance, struct lean_root *root)
{
    double rr = covariance.right_right, rb = covariance.right_back, bb = covariance.back_back;
    if (!isfinite(rr) || !isfinite(rb) || !isfinite(bb) || rr < 0.0 || bb < 0.0)
        return false;
    /* a correlation of ±1 may come out a few digits beyond */
    if (rb * rb > rr * bb * (1.0 + 1e-9) + DBL_MIN)
        return false;
    root->right_1 = sqrt(rr);
    root->back_1 = rr > 0.0 ? rb / root->right_1 : 0.0;
    root->back_2 = sqrt(fmax(0.0, bb - root->back_1 * root->back_1));
    return true;
}

struct ridge_trials {
    struct perpend_slope lean;
    struct lean_root root;
    const struct perpend_cutter *cutter;
    const struct perpend_facing *facing;
    uint64_t seed;
    struct ziggurat ziggurat;
};

static void corner_ridges(const struct ridge_trials *trials, double along, const double *right,
    const double *back, double *ridge, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct perpend_slope lean = {right[i], back[i]};
        struct ridge_profile profile;
        struct ridge_cell cell;
        ridge_profile_make(lean, trials->cutter, along, &profile);
        double stepover = fmin(trials->facing->stepover, 2.0 * profile.reach);
        ridge_profile_cell(&profile, stepover, &cell);
        ridge[i] = cell.height;
    }
}

static void direction_ridges(const struct ridge_trials *trials, double along, const double *right,
    const double *back, double *ridge, size_t count)
{
    if (trials->cutter->corner > 0.0) {
        corner_ridges(trials, along, right, back, ridge, count);
        return;
    }
    struct perpend_slope feed = ridge_feed(along);
    double f[KERNEL_CHUNK], l[KERNEL_CHUNK];
    for (size_t i = 0; i < count; i++) {
        f[i] = right[i] * feed.right + back[i] * feed.back;
        l[i] = right[i] * feed.back - back[i] * feed.right;
    }
    kernel_ridges(f, l, trials->cutter->diameter / 2.0, trials->facing->stepover, ridge, count);
}

static void chunk_ridges(const struct ridge_trials *trials, const double *right, const double *back,
    double *ridge, size_t count)
{
    if (!trials->facing->both_ways) {
        direction_ridges(trials, trials->facing->along, right, back, ridge, count);
        return;
    }
    double other[KERNEL_CHUNK];
    direction_ridges(trials, PERPEND_ALONG_X, right, back, ridge, count);
    direction_ridges(trials, PERPEND_ALONG_Y, right, back, other, count);
    for (size_t i = 0; i < count; i++)
        ridge[i] = fmax(ridge[i], other[i]);
}

static void make_ridges(const void *context, size_t block, size_t count, double *values)
{
    const struct ridge_trials *trials = context;
    struct kernel_bits bits;
    struct perpend_stream spare;
    kernel_bits_seed(&bits, trials->seed, block);
    stream_seed(&spare, &trials->ziggurat, trials->seed, block, KERNEL_LANES);
    for (size_t done = 0; done < count; done += KERNEL_CHUNK) {
        size_t here = count - done < KERNEL_CHUNK ? count - done : KERNEL_CHUNK;
        uint64_t raw[2 * KERNEL_CHUNK];
        double normal[2 * KERNEL_CHUNK], right[KERNEL_CHUNK], back[KERNEL_CHUNK];
        kernel_bits_fill(&bits, raw, 2 * KERNEL_CHUNK);
        kernel_normals(raw, &spare, normal, 2 * KERNEL_CHUNK);
        for (size_t i = 0; i < here; i++) {
            double first = normal[i], second = normal[KERNEL_CHUNK + i];
            right[i] = trials->lean.right + trials->root.right_1 * first;
            back[i] =
                trials->lean.back + (trials->root.back_1 * first + trials->root.back_2 * second);
        }
        chunk_ridges(trials, right, back, values + done, here);
    }
}

int perpend_trials_ridge(struct perpend_slope lean, struct perpend_slope_covariance covariance,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal,
    const struct perpend_trials_options *options, struct perpend_distribution *distribution)
{
    double height;
    int status = perpend_ridge_facing(lean, cutter, facing, &height);
    if (status != PERPEND_OK)
        return status;
    struct lean_root root;
    if (!lean_root_make(covariance, &root) || isinf(goal))
        return PERPEND_ERR_VALUE;
    struct ridge_trials *trials = malloc(sizeof *trials);
    if (!trials)
        return PERPEND_ERR_MEMORY;
    *trials = (struct ridge_trials){
        .lean = lean, .root = root, .cutter = cutter, .facing = facing, .seed = seed_of(options)};
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
    stream_seed(&stream, &trials->ziggurat, trials->seed, block, 0);
    for (size_t i = 0; i < count; i++)
        values[i] = trials->model(&stream, trials->context);
}

int perpend_trials_model(perpend_model *model, const void *context, double limit,
    const struct perpend_trials_options *options, struct perpend_distribution *distribution)
{
    struct model_trials *trials = malloc(sizeof *trials);
    if (!trials)
        return PERPEND_ERR_MEMORY;
    *trials = (struct model_trials){.model = model, .context = context, .seed = seed_of(options)};
    ziggurat_make(&trials->ziggurat);
    int status = trials_run(make_outputs, trials, limit, options, distribution);
    free(trials);
    return status;
}
