/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shims from the stock: of all the planes that the leaves on hand can make under one or two joints,
   the one that leaves the least ridge, then the one of the fewest leaves.

   A plane rests on a bolt that gets nothing. Of bolts that only answer one axis the far row's
   thickness says the rest; of a flange's, the thicknesses at the two corners beside the resting
   one. So each way to lie (a frame) has one or two thicknesses to choose, each from those that the
   leaves make. Candidates are gathered from around the ideal outward; as the ridge cannot be less
   than a known share of the weighed lean, the search ends when no farther one can be better. */
#include <math.h>
#include <stdlib.h>

#include <perpend/ridge.h>
#include <perpend/status.h>

#include "mount_parts.h"
#include "plan_parts.h"

/* In a plane, mm: less than foil varies. */
#define PLANE_SLIP 0.002

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

/* A bound on one search, far above what real stocks take. */
#define CANDIDATES_MOST 200000

/* The search goes on this much farther when nothing near can be filled. */
#define WIDEN 1.5

/* Rounding in the candidates' search. */
#define HAIR 1e-9

/* One way to lie: thickness at bolt i of slot s = Σ per[s][k][i] × thickness k, in grains. */
struct frame {
    size_t params;
    struct perpend_slope change[2]; /* lean change per grain of each thickness */
    double material[2];             /* grains in all that the corners take, per grain of each */
    double per[PLAN_STACKED_MOST][2][PERPEND_BOLTS_MOST];
};

struct candidate {
    size_t frame;
    unsigned thick[2];
    double ridge;
};

struct search {
    const struct situation *situation;
    unit_set set; /* continuous moves beside */
    const size_t *stacked;
    size_t slots;
    struct frame *frames;
    size_t frame_count;
    bool corner[PLAN_STACKED_MOST][PERPEND_BOLTS_MOST];
    bool inner; /* some bolt is not a corner */
    struct candidate *candidates;
    size_t candidate_count, candidate_room;
    bool cut; /* some candidates lie beyond the radius */
    long work;
};

static const struct perpend_joint *slot_joint(const struct search *search, size_t slot)
{
    const struct situation *situation = search->situation;
    return &situation->input->mount->joints[situation->units[search->stacked[slot]].joint];
}

/* --- the frames ------------------------------------------------------------------------------- */

/* One axis: resting on the near row, thickest at the far one; `way` is +1 or −1. */
static void ramp(struct search *search, struct frame *frame, size_t slot, int way)
{
    const struct unit *unit = &search->situation->units[search->stacked[slot]];
    const struct perpend_joint *joint = slot_joint(search, slot);
    struct perpend_slope full = {way * unit->direction.right, way * unit->direction.back};
    double shim[PERPEND_BOLTS_MOST];
    double most = shims_for_change(joint, full, shim); /* per unit change */
    size_t param = frame->params++;
    double per_grain = search->situation->heap.grain / most;
    frame->change[param] = (struct perpend_slope){full.right * per_grain, full.back * per_grain};
    for (size_t i = 0; i < joint->bolt_count; i++)
        frame->per[slot][param][i] = shim[i] / most;
}

/* A flange: resting on one corner, the two beside it say the plane. False when they are in line. */
static bool flange(
    struct search *search, struct frame *frame, size_t slot, size_t rest, const size_t beside[2])
{
    const struct perpend_joint *joint = slot_joint(search, slot);
    struct perpend_slope at = shim_lever(joint->face, joint->bolts[rest].at), to[2];
    for (size_t k = 0; k < 2; k++) {
        to[k] = shim_lever(joint->face, joint->bolts[beside[k]].at);
        to[k].right -= at.right;
        to[k].back -= at.back;
    }
    double area = to[0].right * to[1].back - to[0].back * to[1].right;
    if (fabs(area) < HAIR)
        return false;
    double grain = search->situation->heap.grain;
    frame->params = 2;
    frame->change[0] =
        (struct perpend_slope){to[1].back * grain / area, -to[1].right * grain / area};
    frame->change[1] =
        (struct perpend_slope){-to[0].back * grain / area, to[0].right * grain / area};
    for (size_t i = 0; i < joint->bolt_count; i++) {
        struct perpend_slope lever = shim_lever(joint->face, joint->bolts[i].at);
        lever.right -= at.right;
        lever.back -= at.back;
        for (size_t k = 0; k < 2; k++)
            frame->per[slot][k][i] =
                (lever.right * frame->change[k].right + lever.back * frame->change[k].back) / grain;
    }
    return true;
}

static void flange_frames(struct search *search, size_t slot)
{
    size_t corner[PERPEND_BOLTS_MOST];
    size_t count = corner_bolts(slot_joint(search, slot), corner);
    for (size_t i = 0; i < count; i++) {
        const size_t beside[2] = {corner[(i + 1) % count], corner[(i + count - 1) % count]};
        search->frame_count +=
            flange(search, &search->frames[search->frame_count], slot, corner[i], beside);
    }
}

static void ramp_frames(struct search *search)
{
    for (int first = -1; first <= 1; first += 2) {
        if (search->slots == 1) {
            ramp(search, &search->frames[search->frame_count++], 0, first);
            continue;
        }
        for (int second = -1; second <= 1; second += 2) {
            struct frame *frame = &search->frames[search->frame_count++];
            ramp(search, frame, 0, first);
            ramp(search, frame, 1, second);
        }
    }
}

static int make_frames(struct search *search)
{
    search->frames = calloc(PERPEND_BOLTS_MOST, sizeof *search->frames);
    if (!search->frames)
        return PERPEND_ERR_MEMORY;
    if (search->situation->units[search->stacked[0]].dims == 2)
        flange_frames(search, 0);
    else
        ramp_frames(search);
    for (size_t slot = 0; slot < search->slots; slot++) {
        const struct perpend_joint *joint = slot_joint(search, slot);
        size_t corner[PERPEND_BOLTS_MOST];
        size_t count = corner_bolts(joint, corner);
        for (size_t i = 0; i < count; i++)
            search->corner[slot][corner[i]] = true;
        search->inner = search->inner || count < joint->bolt_count;
        for (size_t f = 0; f < search->frame_count; f++)
            for (size_t i = 0; i < count; i++)
                for (size_t k = 0; k < 2; k++)
                    search->frames[f].material[k] += search->frames[f].per[slot][k][corner[i]];
    }
    return PERPEND_OK;
}

/* All the leaves on hand together are too few for a candidate's corners. */
static bool too_little(
    const struct search *search, const struct frame *frame, const unsigned thick[2])
{
    const struct heap *heap = &search->situation->heap;
    double room = (PLANE_SLIP / heap->grain + 1.0) * PLAN_STACKED_MOST * PERPEND_BOLTS_MOST;
    return frame->material[0] * thick[0] + frame->material[1] * thick[1] > heap->material + room;
}

/* --- the candidates --------------------------------------------------------------------------- */

static struct perpend_slope shimmed(const struct search *search, struct perpend_slope lean,
    struct perpend_slope per_grain, unsigned thick)
{
    struct perpend_slope change = {per_grain.right * thick, per_grain.back * thick};
    return expect_after(search->situation, lean, change);
}

/* The lean left beside continuous moves with these values. */
static struct perpend_slope left_of_reach(const struct search *search, struct perpend_slope lean,
    const struct reach *reach, const double *value)
{
    struct perpend_slope change = {0, 0};
    for (size_t i = 0; i < reach->count; i++) {
        change.right += value[i] * reach->groups[i].direction.right;
        change.back += value[i] * reach->groups[i].direction.back;
    }
    return expect_after(search->situation, lean, change);
}

static int add_candidate(
    struct search *search, size_t frame, const unsigned thick[2], struct perpend_slope left)
{
    if (search->candidate_count == search->candidate_room) {
        size_t room = search->candidate_room ? 2 * search->candidate_room : 64;
        struct candidate *more = realloc(search->candidates, room * sizeof *more);
        if (!more)
            return PERPEND_ERR_MEMORY;
        search->candidates = more;
        search->candidate_room = room;
    }
    const struct perpend_plan_input *input = search->situation->input;
    struct candidate *candidate = &search->candidates[search->candidate_count];
    *candidate = (struct candidate){.frame = frame, .thick = {thick[0], thick[1]}};
    int status = perpend_ridge_facing(left, input->cutter, input->facing, &candidate->ridge);
    if (status == PERPEND_OK)
        search->candidate_count++;
    return status;
}

/* The place in the heap's list of the first thickness not below `thick`, grains. */
static size_t place_of(const struct heap *heap, double thick)
{
    size_t low = 0, high = heap->make_count;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (heap->makes[middle] < thick)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* One frame's state while its thicknesses are walked: `reach` holds the continuous moves and, as
   rays, the thicknesses from 0, 1, 2 on, which are not yet fixed. */
struct walk {
    struct search *search;
    size_t frame;
    double radius;
    unsigned thick[2];
    struct reach reach[3];
};

static void walk_begin(struct walk *walk, struct search *search, size_t frame, double radius)
{
    const struct frame *way = &search->frames[frame];
    *walk = (struct walk){.search = search, .frame = frame, .radius = radius};
    reach_of_units(search->situation, search->set, &walk->reach[way->params]);
    for (size_t k = way->params; k-- > 0;) {
        walk->reach[k] = walk->reach[k + 1];
        reach_add_ray(&walk->reach[k], way->change[k]);
    }
}

/* Place of the first thickness not below the ideal one, the later ones free. */
static size_t ideal_place(const struct walk *walk, size_t param, struct perpend_slope lean)
{
    const struct situation *situation = walk->search->situation;
    double value[REACH_GROUPS_MOST] = {0};
    reach_solve(situation, lean, &walk->reach[param], value);
    return place_of(&situation->heap, value[walk->reach[param].count - 1]);
}

/* Fix one thickness: the lean then, and whether the rest can bring it within the radius. */
static bool fix_thickness(struct walk *walk, size_t param, struct perpend_slope lean,
    unsigned thick, struct perpend_slope *next, struct perpend_slope *left)
{
    const struct search *search = walk->search;
    const struct reach *reach = &walk->reach[param + 1];
    double value[REACH_GROUPS_MOST] = {0};
    walk->thick[param] = thick;
    *next = shimmed(search, lean, search->frames[walk->frame].change[param], thick);
    bool within = reach_solve(search->situation, *next, reach, value) <= walk->radius;
    *left = left_of_reach(search, *next, reach, value);
    return within;
}

static int walk_param(struct walk *walk, size_t param, struct perpend_slope lean);

static int walk_at(
    struct walk *walk, size_t param, struct perpend_slope lean, unsigned thick, bool *within)
{
    struct search *search = walk->search;
    struct perpend_slope next, left;
    *within = fix_thickness(walk, param, lean, thick, &next, &left);
    if (!*within) {
        search->cut = true;
        return PERPEND_OK;
    }
    if (param + 1 < search->frames[walk->frame].params)
        return walk_param(walk, param + 1, next);
    if (search->candidate_count >= CANDIDATES_MOST ||
        too_little(search, &search->frames[walk->frame], walk->thick))
        return PERPEND_OK;
    return add_candidate(search, walk->frame, walk->thick, left);
}

/* Walk one thickness from its ideal outward both ways; the weighed size is convex in it. */
static int walk_param(struct walk *walk, size_t param, struct perpend_slope lean)
{
    const struct heap *heap = &walk->search->situation->heap;
    size_t start = ideal_place(walk, param, lean);
    bool within = true;
    int status = PERPEND_OK;
    for (size_t i = start; i < heap->make_count && within && status == PERPEND_OK; i++)
        status = walk_at(walk, param, lean, heap->makes[i], &within);
    within = true;
    for (size_t i = start; i-- > 0 && within && status == PERPEND_OK;)
        status = walk_at(walk, param, lean, heap->makes[i], &within);
    return status;
}

static int gather(struct search *search, double radius)
{
    search->candidate_count = 0;
    search->cut = false;
    int status = PERPEND_OK;
    for (size_t i = 0; i < search->frame_count && status == PERPEND_OK; i++) {
        struct walk walk;
        walk_begin(&walk, search, i, radius);
        status = walk_param(&walk, 0, search->situation->input->lean);
    }
    return status;
}

/* The ridge at the thicknesses next to the ideal ones, for a first radius. */
static int ridge_nearby(struct walk *walk, size_t param, struct perpend_slope lean, double *least)
{
    const struct search *search = walk->search;
    const struct heap *heap = &search->situation->heap;
    const struct perpend_plan_input *input = search->situation->input;
    size_t start = ideal_place(walk, param, lean);
    int status = PERPEND_OK;
    for (size_t i = start > 0 ? start - 1 : 0;
         i <= start && i < heap->make_count && status == PERPEND_OK; i++) {
        struct perpend_slope next, left;
        double ridge;
        fix_thickness(walk, param, lean, heap->makes[i], &next, &left);
        if (param + 1 < search->frames[walk->frame].params) {
            status = ridge_nearby(walk, param + 1, next, least);
            continue;
        }
        status = perpend_ridge_facing(left, input->cutter, input->facing, &ridge);
        if (status == PERPEND_OK)
            *least = fmin(*least, ridge);
    }
    return status;
}

/* --- filling ---------------------------------------------------------------------------------- */

/* What the bolts of one slot may get for a candidate. */
static void bins_of(const struct search *search, const struct candidate *candidate, size_t slot,
    struct stacked *stacked)
{
    const struct frame *frame = &search->frames[candidate->frame];
    const struct heap *heap = &search->situation->heap;
    double slip = PLANE_SLIP / heap->grain;
    stacked->unit = search->stacked[slot];
    for (size_t i = 0; i < slot_joint(search, slot)->bolt_count; i++) {
        double first = frame->per[slot][0][i], second = frame->per[slot][1][i];
        double want = first * candidate->thick[0] + second * candidate->thick[1];
        bool whole = (fabs(first) < HAIR || fabs(first - 1.0) < HAIR) &&
                     (fabs(second) < HAIR || fabs(second - 1.0) < HAIR) &&
                     (fabs(first) < HAIR || fabs(second) < HAIR);
        double room = whole ? 0.5 : slip;
        stacked->plane[i] = fmax(want, 0.0) * heap->grain;
        stacked->hangs[i] = false;
        stacked->bins[i].low = (unsigned)fmax(ceil(want - room), 0.0);
        stacked->bins[i].high = (unsigned)fmax(floor(want + room - HAIR), 0.0);
    }
}

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
static int fill(const struct search *search, const struct stacked *stacked, unsigned most,
    long *work, unsigned *leaves)
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

/* Try one candidate, for fewer leaves than found so far; with `hang` what is no corner gets nothing
   for now. */
static int try_candidate(struct search *search, const struct candidate *candidate, bool hang,
    long most_work, struct found *found)
{
    struct stacked stacked[PLAN_STACKED_MOST];
    for (size_t slot = 0; slot < search->slots; slot++) {
        bins_of(search, candidate, slot, &stacked[slot]);
        for (size_t i = 0; hang && i < slot_joint(search, slot)->bolt_count; i++)
            stacked[slot].hangs[i] = !search->corner[slot][i] && stacked[slot].bins[i].low > 0;
    }
    if (found->any && found->leaves == 0)
        return PERPEND_OK;
    unsigned leaves, most = found->any ? found->leaves - 1 : UINT32_MAX;
    long work = most_work;
    int status = fill(search, stacked, most, &work, &leaves);
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
static int try_step(struct search *search, size_t begin, size_t end, bool hang, struct found *found)
{
    int status = PERPEND_OK;
    for (size_t i = begin; i < end && status == PERPEND_OK; i++)
        status = try_candidate(search, &search->candidates[i], hang, WORK_FIRST, found);
    for (size_t i = begin; i < end && status == PERPEND_OK && search->work > 0; i++)
        status = try_candidate(search, &search->candidates[i], hang, WORK_EACH, found);
    return status;
}

static int try_candidates(struct search *search, bool hang, struct found *found)
{
    found->any = false;
    if (search->candidate_count > 0)
        qsort(search->candidates, search->candidate_count, sizeof *search->candidates, by_ridge);
    for (size_t begin = 0, end; begin < search->candidate_count && !found->any; begin = end) {
        double step = step_of(&search->candidates[begin]);
        for (end = begin; end < search->candidate_count; end++)
            if (step_of(&search->candidates[end]) > step)
                break;
        int status = try_step(search, begin, end, hang, found);
        if (status != PERPEND_OK)
            return status;
    }
    return PERPEND_OK;
}

/* Widen the radius until nothing beyond it can be better. */
static int find(struct search *search, double radius, bool hang, struct found *found)
{
    double share = search->situation->sure_share;
    int status;
    while ((status = gather(search, radius)) == PERPEND_OK) {
        status = try_candidates(search, hang, found);
        if (status != PERPEND_OK || !search->cut || search->candidate_count >= CANDIDATES_MOST)
            break;
        double needed = (step_of(&found->candidate) + 1.0) * RIDGE_STEP / share;
        if (found->any && needed <= radius)
            break;
        radius = found->any ? needed * (1.0 + HAIR) : WIDEN * radius;
    }
    return status;
}

/* Give what hangs its leaves after all where there are some that fit. */
static int prop_up(struct search *search, struct found *found)
{
    for (size_t slot = 0; slot < search->slots; slot++)
        for (size_t i = 0; i < slot_joint(search, slot)->bolt_count; i++) {
            if (!found->stacked[slot].hangs[i])
                continue;
            unsigned leaves;
            found->stacked[slot].hangs[i] = false;
            long work = WORK_EACH;
            int status = fill(search, found->stacked, UINT32_MAX, &work, &leaves);
            if (status == PERPEND_ERR_VALUE)
                found->stacked[slot].hangs[i] = true;
            else if (status != PERPEND_OK)
                return status;
            else
                found->leaves = leaves;
        }
    return PERPEND_OK;
}

static bool worth_hanging(
    const struct search *search, const struct found *stands, const struct found *hangs)
{
    double stood = stands->candidate.ridge, hung = hangs->candidate.ridge;
    if (!stands->any)
        return true;
    if (situation_has_goal(search->situation) &&
        stood <= HANG_SHARE * search->situation->input->goal)
        return false;
    return hung < HANG_SHARE * stood && hung + HANG_WORTH < stood;
}

static void write_choice(
    const struct search *search, const struct found *found, struct choice *choice)
{
    const struct situation *situation = search->situation;
    const struct frame *frame = &search->frames[found->candidate.frame];
    struct perpend_slope of_slot[PLAN_STACKED_MOST] = {{0, 0}, {0, 0}}, lean;
    lean = situation->input->lean;
    for (size_t k = 0; k < frame->params; k++) {
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

static int find_best(struct search *search, struct choice *choice)
{
    struct found stands = {.any = false}, hangs = {.any = false};
    double nearby = INFINITY;
    int status = PERPEND_OK;
    for (size_t i = 0; i < search->frame_count && status == PERPEND_OK; i++) {
        struct walk walk;
        walk_begin(&walk, search, i, 0.0);
        status = ridge_nearby(&walk, 0, search->situation->input->lean, &nearby);
    }
    if (status != PERPEND_OK)
        return status;
    double radius = (nearby + RIDGE_STEP) / search->situation->sure_share * (1.0 + HAIR);
    status = find(search, radius, false, &stands);
    if (status == PERPEND_OK && search->inner)
        status = find(search, radius, true, &hangs);
    if (status == PERPEND_OK && hangs.any && worth_hanging(search, &stands, &hangs)) {
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

int stock_choose(const struct situation *situation, unit_set set, const size_t *stacked,
    size_t stacked_count, struct choice *choice)
{
    struct search search = {
        .situation = situation,
        .set = set,
        .stacked = stacked,
        .slots = stacked_count,
        .work = WORK_ALL,
    };
    int status = make_frames(&search);
    if (status == PERPEND_OK)
        status = find_best(&search, choice);
    free(search.frames);
    free(search.candidates);
    return status;
}
