/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Filling planes from the heap: the least ridge, then the fewest leaves. */
#include <math.h>
#include <stdlib.h>

#include <perpend/status.h>

#include "core/mount/mount_parts.h"
#include "core/plan/plan_stock_parts.h"

/* Ridges are compared in whole steps of this, mm; of one step the fewest leaves count. */
#define RIDGE_STEP 1e-4

/* Work on one candidate before the others have had their turn, after it, and on all of them in the
   second turn, in steps of filling stacks. Only stocks so scant that they hardly suffice take more;
   the plan is then perhaps not the best. */
#define WORK_FIRST 500L
#define WORK_EACH 20000L
#define WORK_ALL 200000L

/* A bolt hangs rather than not when that cuts the ridge to less than this share of it, and by more
   than this, mm. */
#define HANG_SHARE 0.5
#define HANG_WORTH 1e-3

/* The search goes on this much farther when nothing near can be filled. */
#define WIDEN 2.0

size_t stacked_bins(const struct situation *situation, const struct stacked *stacked,
    size_t stacked_count, struct bin *bins, struct bin_place *places)
{
    size_t count = 0;
    for (size_t slot = 0; slot < stacked_count; slot++) {
        size_t joint = situation->units[stacked[slot].unit].joint;
        for (size_t i = 0; i < situation->input->mount->joints[joint].bolt_count; i++) {
            struct bin bin = stacked[slot].bins[i];
            if (stacked[slot].hangs[i] || bin.low == 0)
                continue;
            size_t at = count++;
            for (; at > 0 && bins[at - 1].low < bin.low; at--) {
                bins[at] = bins[at - 1];
                places[at] = places[at - 1];
            }
            bins[at] = bin;
            places[at] = (struct bin_place){slot, i};
        }
    }
    return count;
}

/* What was found to be best so far. */
struct found {
    bool any;
    struct candidate candidate;
    unsigned leaves;
    struct stacked stacked[PLAN_STACKED_MOST];
};

/* PERPEND_ERR_VALUE when the leaves do not suffice (or the work does not). */
static enum perpend_status fill(const struct stock_search *search, const struct stacked *stacked,
    unsigned most, long *work, unsigned *leaves)
{
    struct bin bins[PLAN_STACKED_MOST * PERPEND_BOLTS_MOST];
    struct bin_place places[PLAN_STACKED_MOST * PERPEND_BOLTS_MOST];
    size_t count = stacked_bins(search->situation, stacked, search->slots, bins, places);
    if (stacks_least(&search->situation->heap, bins, count) > most)
        return PERPEND_ERR_VALUE;
    return stacks_fill(&search->situation->heap, bins, count, most, work, NULL, leaves);
}

static double step_of(const struct candidate *candidate)
{
    return floor(candidate->ridge / RIDGE_STEP);
}

static int by_ridge(const void *a, const void *b)
{
    const struct candidate *first = a, *second = b;
    if (first->ridge != second->ridge)
        return first->ridge < second->ridge ? -1 : 1;
    if (first->frame != second->frame)
        return first->frame < second->frame ? -1 : 1;
    if (first->thick[0] != second->thick[0])
        return first->thick[0] < second->thick[0] ? -1 : 1;
    return (first->thick[1] > second->thick[1]) - (first->thick[1] < second->thick[1]);
}

/* Try one candidate, for fewer leaves than found so far. */
static enum perpend_status try_candidate(struct stock_search *search,
    const struct candidate *candidate, long most_work, struct found *found)
{
    struct stacked stacked[PLAN_STACKED_MOST];
    for (size_t slot = 0; slot < search->slots; slot++) {
        bins_of(search, &search->frames[candidate->frame], candidate->thick, slot, &stacked[slot]);
    }
    if (found->any && found->leaves == 0)
        return PERPEND_OK;
    unsigned leaves, most = found->any ? found->leaves - 1 : UINT32_MAX;
    long work = most_work;
    enum perpend_status status = fill(search, stacked, most, &work, &leaves);
    search->work -= most_work - work;
    if (status != PERPEND_OK)
        return status == PERPEND_ERR_VALUE ? PERPEND_OK : status;
    found->any = true;
    found->candidate = *candidate;
    found->leaves = leaves;
    for (size_t slot = 0; slot < search->slots; slot++)
        found->stacked[slot] = stacked[slot];
    return PERPEND_OK;
}

/* The candidates of one step of the ridge: first each with little work, which finds a good answer
   if there is one; then each with all the work it takes to better it. */
static enum perpend_status try_step(
    struct stock_search *search, size_t begin, size_t end, struct found *found)
{
    enum perpend_status status = PERPEND_OK;
    for (size_t i = begin; i < end && status == PERPEND_OK; i++)
        status = try_candidate(search, &search->candidates[i], WORK_FIRST, found);
    for (size_t i = begin; i < end && status == PERPEND_OK && search->work > 0; i++)
        status = try_candidate(search, &search->candidates[i], WORK_EACH, found);
    return status;
}

static enum perpend_status try_candidates(struct stock_search *search, struct found *found)
{
    found->any = false;
    if (search->candidate_count > 0)
        qsort(search->candidates, search->candidate_count, sizeof *search->candidates, by_ridge);
    for (size_t begin = 0, end; begin < search->candidate_count && !found->any; begin = end) {
        double step = step_of(&search->candidates[begin]);
        for (end = begin; end < search->candidate_count; end++)
            if (step_of(&search->candidates[end]) > step)
                break;
        enum perpend_status status = try_step(search, begin, end, found);
        if (status != PERPEND_OK)
            return status;
    }
    return PERPEND_OK;
}

/* Widen the radius until nothing beyond it can be better, or would leave more lean than no shims.
 */
static enum perpend_status find(struct stock_search *search, bool hang, struct found *found)
{
    double share = search->situation->sure_share, radius, most = without_shims(search);
    search->hang = hang;
    frames_list(search);
    enum perpend_status status = first_radius(search, &radius);
    radius += RIDGE_STEP / share;
    while (status == PERPEND_OK) {
        radius = fmin(radius, most);
        status = gather(search, radius);
        if (status == PERPEND_OK)
            status = try_candidates(search, found);
        if (!search->cut || radius == most || search->visits <= 0 ||
            search->candidate_count >= CANDIDATES_MOST)
            break;
        double needed = (step_of(&found->candidate) + 1.0) * RIDGE_STEP / share;
        if (found->any && needed <= radius)
            break;
        radius = found->any ? needed * (1.0 + HAIR) : WIDEN * radius;
    }
    return status;
}

/* Give what hangs its leaves after all where there are some that fit. */
static enum perpend_status prop_up(struct stock_search *search, struct found *found)
{
    for (size_t slot = 0; slot < search->slots; slot++)
        for (size_t i = 0; i < slot_joint(search, slot)->bolt_count; i++) {
            if (!found->stacked[slot].hangs[i])
                continue;
            unsigned leaves;
            found->stacked[slot].hangs[i] = false;
            long work = WORK_EACH;
            enum perpend_status status = fill(search, found->stacked, UINT32_MAX, &work, &leaves);
            if (status == PERPEND_ERR_VALUE)
                found->stacked[slot].hangs[i] = true;
            else if (status != PERPEND_OK)
                return status;
            else
                found->leaves = leaves;
        }
    return PERPEND_OK;
}

/* Whether a bolt may hang if that makes the ridge `hung`. */
static bool worth_hanging(
    const struct stock_search *search, const struct found *stands, double hung)
{
    double stood = stands->candidate.ridge;
    if (!stands->any)
        return true;
    if (situation_has_goal(search->situation) &&
        stood <= HANG_SHARE * search->situation->input->goal)
        return false;
    return hung < HANG_SHARE * stood && hung + HANG_WORTH < stood;
}

static void write_choice(
    const struct stock_search *search, const struct found *found, struct choice *choice)
{
    const struct situation *situation = search->situation;
    const struct frame *frame = &search->frames[found->candidate.frame];
    struct perpend_slope of_slot[PLAN_STACKED_MOST] = {{0, 0}, {0, 0}}, lean;
    lean = situation->input->lean;
    for (size_t k = 0; k < 2 && k < frame->params; k++) {
        size_t slot = search->slots == 2 ? k : 0;
        unsigned thick = found->candidate.thick[k];
        of_slot[slot].right += frame->change[k].right * thick;
        of_slot[slot].back += frame->change[k].back * thick;
        lean = shimmed(search, lean, frame->change[k], thick);
    }
    reach_nearest(situation, lean, search->set, choice->change);
    choice->stacked_count = search->slots;
    choice->leaves = found->leaves;
    for (size_t slot = 0; slot < search->slots; slot++) {
        choice->stacked[slot] = found->stacked[slot];
        choice->change[search->stacked[slot]] = of_slot[slot];
    }
}

static enum perpend_status find_best(struct stock_search *search, struct choice *choice)
{
    struct found stands = {.any = false}, hangs = {.any = false};
    enum perpend_status status = find(search, false, &stands);
    if (status == PERPEND_OK && search->inner && worth_hanging(search, &stands, 0.0))
        status = find(search, true, &hangs);
    if (status == PERPEND_OK && hangs.any &&
        worth_hanging(search, &stands, hangs.candidate.ridge)) {
        status = prop_up(search, &hangs);
        stands = hangs;
    }
    if (status != PERPEND_OK)
        return status;
    choice->stacked_count = 0;
    choice->leaves = 0;
    if (stands.any)
        write_choice(search, &stands, choice);
    else /* corners in line, or out of work: without shims then */
        reach_nearest(
            search->situation, search->situation->input->lean, search->set, choice->change);
    return PERPEND_OK;
}

enum perpend_status stock_choose(const struct situation *situation, unit_set set,
    const size_t *stacked, size_t stacked_count, struct choice *choice)
{
    struct stock_search search = {
        .situation = situation,
        .set = set,
        .stacked = stacked,
        .slots = stacked_count,
        .work = WORK_ALL,
        .visits = VISITS_MOST,
    };
    enum perpend_status status = frames_make(&search);
    if (status == PERPEND_OK)
        status = find_best(&search, choice);
    free(search.frames);
    free(search.lists);
    free(search.candidates);
    return status;
}
