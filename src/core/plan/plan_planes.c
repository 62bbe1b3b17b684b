/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Planes of shims from the stock. A plane rests on a bolt that gets nothing. Where the bolts
   answer one axis only, the thickness at the far row fixes the plane; at a flange the thicknesses at the
   two corners beside the resting one do. So a plane is one or two thicknesses to choose. They are
   looked at from the ideal one outward: what a lean costs is convex in them. */
#include <string.h>

#include "core/mount/mount_parts.h"
#include "core/plan/plan_parts.h"

/* Less than this is rounding: of areas, shares and grains. */
#define HAIR 1e-9

/* In a plane, mm: less than foil varies. */
#define PLANE_SLIP 0.002

/* Costs are compared in whole steps of this, mm: of one step the plane of fewest leaves is taken, and of
   all that cost little enough. */
#define COST_STEP 1e-4

/* How far from the ideal planes are looked at first, mm of cost, and how much farther each time. */
#define FIRST_RADIUS 1e-3
#define FARTHER 3.0

/* Steps for one search: scant stocks have many ways to fall short. */
#define SEARCH_MOST 50000L
#define FILL_SHARE 16 /* steps of filling that take as long as one of the search */

/* A bolt that hangs, and shims at both ends for their difference, are makeshifts: they count as if they
   cost so many times what they do, or this much more, mm. */
#define MAKESHIFT_TIMES 2.0
#define MAKESHIFT_MORE 1e-3

/* Ways to lie: a flange's corners, or the two ends of one joint or of two. */
#define FRAMES_MOST PERPEND_BOLTS_MOST

/* One way to lie: thickness at bolt i = Σ share[k][i] × thickness k. */
struct frame {
    size_t params;
    size_t move[2];                 /* that each thickness belongs to */
    struct perpend_slope change[2]; /* lean change per grain of each thickness */
    double share[2][STACKED_BOLTS_MOST];
    bool makeshift;
};

struct plane_search {
    struct situation *situation;
    struct perpend_slope beyond; /* lean that these moves cannot take away */
    struct perpend_slope lean;   /* that they can, of the one found */
    move_set beside;             /* continuous moves */
    struct frame frames[FRAMES_MOST];
    size_t frame_count;
    struct stacked_bolt bolts[STACKED_BOLTS_MOST];
    bool corner[STACKED_BOLTS_MOST];
    size_t bolt_count;
    long work; /* steps that may still be taken */
};

/* The best plane so far. */
struct plane {
    const struct frame *frame; /* NULL: no shims */
    unsigned thick[2];
    double cost; /* mm */
    double step; /* that it is compared in */
    unsigned leaves;
    struct stacked_bolt bolts[STACKED_BOLTS_MOST];
};

static const struct perpend_joint *joint_of(const struct plane_search *search, size_t move)
{
    const struct situation *situation = search->situation;
    return &situation->input->mount->joints[situation->moves[move].joint];
}

/* --- ways to lie ------------------------------------------------------------------------------ */

static void add_bolts(struct plane_search *search, size_t move)
{
    const struct perpend_joint *joint = joint_of(search, move);
    size_t corner[PERPEND_BOLTS_MOST], count = corner_bolts(joint, corner);
    for (size_t i = 0; i < count; i++)
        search->corner[search->bolt_count + corner[i]] = true;
    for (size_t i = 0; i < joint->bolt_count; i++)
        search->bolts[search->bolt_count++] = (struct stacked_bolt){.move = move, .bolt = i};
}

/* One axis: resting on the near row, thickest at the far one; `way` is +1 or −1. */
static void add_ramp(struct plane_search *search, struct frame *frame, size_t move, double way)
{
    struct perpend_slope direction = search->situation->moves[move].reach.direction;
    struct perpend_slope full = {way * direction.right, way * direction.back};
    double open[PERPEND_BOLTS_MOST];
    double most = openings_for_change(joint_of(search, move), full, open);
    size_t k = frame->params++;
    frame->move[k] = move;
    frame->change[k] = slope_sum((struct perpend_slope){0, 0}, STACKS_GRAIN / most, full);
    for (size_t i = 0; i < search->bolt_count; i++)
        if (search->bolts[i].move == move)
            frame->share[k][i] = open[search->bolts[i].bolt] / most;
}

static void add_ramps(struct plane_search *search, const size_t *moves, size_t move_count)
{
    for (int first = -1; first <= 1; first += 2)
        for (int second = -1; second <= (move_count > 1 ? 1 : -1); second += 2) {
            struct frame *frame = &search->frames[search->frame_count++];
            add_ramp(search, frame, moves[0], first);
            if (move_count > 1)
                add_ramp(search, frame, moves[1], second);
        }
}

static struct perpend_slope lever_from(const struct perpend_joint *joint, size_t bolt, size_t rest)
{
    return slope_sum(shim_lever(joint->face, joint->bolts[bolt].at), -1.0,
        shim_lever(joint->face, joint->bolts[rest].at));
}

/* A flange: resting on one corner, the two beside it say the plane, unless all three are in line. */
static void add_flange(struct plane_search *search, size_t move)
{
    const struct perpend_joint *joint = joint_of(search, move);
    size_t corner[PERPEND_BOLTS_MOST], count = corner_bolts(joint, corner);
    for (size_t c = 0; c < count; c++) {
        struct frame *frame = &search->frames[search->frame_count];
        struct perpend_slope p = lever_from(joint, corner[(c + 1) % count], corner[c]);
        struct perpend_slope q = lever_from(joint, corner[(c + count - 1) % count], corner[c]);
        double area = slope_cross(p, q);
        if (fabs(area) < HAIR)
            continue;
        search->frame_count++;
        double grain = STACKS_GRAIN / area;
        *frame = (struct frame){
            .params = 2,
            .move = {move, move},
            .change = {{q.back * grain, -q.right * grain}, {-p.back * grain, p.right * grain}},
        };
        for (size_t i = 0; i < joint->bolt_count; i++) {
            struct perpend_slope lever = lever_from(joint, i, corner[c]);
            for (size_t k = 0; k < 2; k++)
                frame->share[k][i] =
                    (lever.right * frame->change[k].right + lever.back * frame->change[k].back) /
                    STACKS_GRAIN;
        }
    }
}

/* --- one plane -------------------------------------------------------------------------------- */

static bool whole_or_none(double share)
{
    return fabs(share) < HAIR || fabs(share - 1.0) < HAIR;
}

/* What each bolt may get: bolts of a row the same to a µm, others as near as foil varies. */
static void find_bins(const struct plane_search *search, const struct frame *frame,
    const unsigned thick[2], struct stacked_bolt *bolts)
{
    for (size_t i = 0; i < search->bolt_count; i++) {
        double first = frame->share[0][i], second = frame->share[1][i];
        double want = first * thick[0] + second * thick[1];
        bool whole = whole_or_none(first) && whole_or_none(second) && fabs(first * second) < HAIR;
        double room = whole ? STACKS_APART - 0.5 : PLANE_SLIP / STACKS_GRAIN;
        bolts[i] = search->bolts[i];
        bolts[i].plane = fmax(want, 0.0) * STACKS_GRAIN;
        bolts[i].bin.low = (unsigned)fmax(ceil(want - room), 0.0);
        bolts[i].bin.high = (unsigned)fmax(floor(want + room - HAIR), 0.0);
    }
}

/* The fewest leaves that fill the bolts, at most `most`; the thickest first. */
static unsigned fill(struct plane_search *search, struct stacked_bolt *bolts, unsigned most)
{
    struct bin bins[STACKED_BOLTS_MOST] = {{0}};
    unsigned counts[STACKED_BOLTS_MOST][PERPEND_LEAVES_MOST] = {{0}};
    size_t of[STACKED_BOLTS_MOST], count = 0;
    long work = STACKS_WORK_MOST;
    for (size_t i = 0; i < search->bolt_count; i++) {
        if (bolts[i].bin.low == 0)
            continue;
        size_t at = count++;
        for (; at > 0 && bins[at - 1].low < bolts[i].bin.low; at--) {
            bins[at] = bins[at - 1];
            of[at] = of[at - 1];
        }
        bins[at] = bolts[i].bin;
        of[at] = i;
    }
    unsigned leaves = stacks_fill(&search->situation->heap, bins, count, most, &work, counts);
    search->work -= (STACKS_WORK_MOST - work) / FILL_SHARE;
    for (size_t i = 0; leaves != STACKS_NONE && i < count; i++)
        memcpy(bolts[of[i]].counts, counts[i], sizeof counts[i]);
    return leaves;
}

/* The step that a cost is compared in; 0 where it is little enough. */
static double step_of(const struct plane_search *search, double cost, bool makeshift)
{
    if (makeshift)
        return 1.0 + floor(fmax(MAKESHIFT_TIMES * cost, cost + MAKESHIFT_MORE) / COST_STEP);
    return plenty(search->situation, cost, search->beyond) ? 0.0 : 1.0 + floor(cost / COST_STEP);
}

/* Whether a plane may be the best, and with how many leaves at most. */
static bool in_question(const struct plane *plane, const struct plane *best, unsigned *most)
{
    *most = plane->step < best->step ? STACKS_NONE : best->leaves - (plane->cost >= best->cost);
    return plane->step < best->step || (plane->step == best->step && best->leaves > 0);
}

/* What is no corner can hang: the joint does not rock. False when every bolt is one. */
static bool let_hang(const struct plane_search *search, struct stacked_bolt *bolts)
{
    bool any = false;
    for (size_t i = 0; i < search->bolt_count; i++)
        if (!search->corner[i]) {
            any = any || bolts[i].bin.low > 0;
            bolts[i].bin.low = 0;
        }
    return any;
}

/* Take a plane when it costs less than the best so far, or as much with fewer leaves. */
static void try_plane(struct plane_search *search, const struct frame *frame,
    const unsigned thick[2], struct perpend_slope lean, struct plane *best)
{
    struct plane plane = {.frame = frame, .thick = {thick[0], thick[1]}};
    unsigned most;
    plane.cost = cost_of(search->situation, lean);
    plane.step = step_of(search, plane.cost, frame->makeshift);
    if (!in_question(&plane, best, &most))
        return;
    find_bins(search, frame, thick, plane.bolts);
    plane.leaves = fill(search, plane.bolts, most);
    if (plane.leaves == STACKS_NONE && let_hang(search, plane.bolts)) {
        plane.step = step_of(search, plane.cost, true);
        if (in_question(&plane, best, &most))
            plane.leaves = fill(search, plane.bolts, most);
    }
    if (plane.leaves != STACKS_NONE)
        *best = plane;
}

/* --- the best plane --------------------------------------------------------------------------- */

/* One way to lie while its thicknesses are walked: `reach` holds the continuous moves and, as rays,
   the thicknesses from 0, 1, 2 on, which are not yet fixed. */
struct walk {
    struct plane_search *search;
    const struct frame *frame;
    struct reach reach[3];
    unsigned thick[2];
    double takes[2];             /* of a thickness, the corners together */
    unsigned rows[2], leaves[2]; /* corners that get it whole, and the fewest leaves of these */
    double most;                 /* step: planes of a higher one are not looked at */
    struct plane *best;
};

/* The place in the list of the first thickness not below `thick`, grains. */
static size_t place_of(const struct heap *heap, double thick)
{
    size_t low = 0, high = heap->make_count;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (heap->makes[middle].thick < thick)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static void walk_thickness(struct walk *walk, size_t k, double taken, struct perpend_slope lean);

/* Fix one thickness, `taken` grains being in use with it; false when neither it nor a farther one can be
   better than the best. */
static bool fix_thickness(
    struct walk *walk, size_t k, double taken, struct perpend_slope lean, struct make make)
{
    struct plane_search *search = walk->search;
    const struct situation *situation = search->situation;
    double value[REACH_GROUPS_MOST];
    struct perpend_slope none = {0, 0};
    struct perpend_slope next =
        expect_after(situation, lean, slope_sum(none, make.thick, walk->frame->change[k]));
    double cost = reach_solve(situation, next, &walk->reach[k + 1], value);
    double step = step_of(search, cost, walk->frame->makeshift);
    walk->thick[k] = make.thick;
    walk->leaves[k] = walk->rows[k] * make.leaves;
    if (--search->work <= 0 || step > fmin(walk->most, walk->best->step))
        return false;
    if (step == walk->best->step &&
        walk->leaves[0] + (k > 0 ? walk->leaves[1] : 0) > walk->best->leaves)
        return true;
    if (k + 1 == walk->frame->params)
        try_plane(search, walk->frame, walk->thick,
            reach_left(situation, next, &walk->reach[k + 1], value), walk->best);
    else
        walk_thickness(walk, k + 1, taken, next);
    return true;
}

/* Walk one thickness from its ideal outward, as far as there are leaves. */
static void walk_thickness(struct walk *walk, size_t k, double taken, struct perpend_slope lean)
{
    const struct heap *heap = &walk->search->situation->heap;
    const struct make *makes = heap->makes;
    double value[REACH_GROUPS_MOST], slack = (double)walk->search->bolt_count * PLANE_SLIP;
    double takes = walk->takes[k], most = (heap->all + slack / STACKS_GRAIN - taken) / takes;
    reach_solve(walk->search->situation, lean, &walk->reach[k], value);
    size_t ideal = place_of(heap, fmin(value[walk->reach[k].count - 1], most));
    for (size_t i = ideal; i < heap->make_count && makes[i].thick <= most; i++)
        if (!fix_thickness(walk, k, taken + makes[i].thick * takes, lean, makes[i]))
            break;
    for (size_t i = ideal; i-- > 0;)
        if (!fix_thickness(walk, k, taken + makes[i].thick * takes, lean, makes[i]))
            break;
}

/* One way to lie, up to a step. */
static void walk_frame(
    struct plane_search *search, const struct frame *frame, double most, struct plane *best)
{
    struct walk walk = {.search = search, .frame = frame, .most = most, .best = best};
    reach_of_moves(search->situation, search->beside, &walk.reach[frame->params]);
    for (size_t k = frame->params; k-- > 0;) {
        walk.reach[k] = walk.reach[k + 1];
        reach_add_ray(&walk.reach[k], frame->change[k]);
        for (size_t i = 0; i < search->bolt_count; i++)
            if (search->corner[i]) {
                walk.takes[k] += frame->share[k][i];
                walk.rows[k] +=
                    fabs(frame->share[k][i] - 1.0) < HAIR && frame->share[1 - k][i] == 0.0;
            }
    }
    walk_thickness(&walk, 0, 0.0, search->lean);
}

/* Ever farther from the ideal, until there is a plane, or no shims cost as little. */
static void find(struct plane_search *search, struct plane *best)
{
    struct situation *situation = search->situation;
    search->work = situation->work < SEARCH_MOST ? situation->work : SEARCH_MOST;
    situation->work -= search->work;
    double most = 0.0;
    for (double radius = FIRST_RADIUS; most < best->step; radius *= FARTHER) {
        most = step_of(search, radius, false);
        for (size_t f = 0; f < search->frame_count; f++)
            walk_frame(search, &search->frames[f], most, best);
    }
    situation->work += search->work;
}

/* Resting on nothing: shims at both ends, where a small stock has no stack for their difference. */
static void add_both_ends(struct plane_search *search, size_t move)
{
    struct frame *frame = &search->frames[search->frame_count++];
    frame->makeshift = true;
    add_ramp(search, frame, move, 1.0);
    add_ramp(search, frame, move, -1.0);
}

bool choose_planes(struct situation *situation, struct choice *choice)
{
    struct plane_search search = {.situation = situation, .beside = choice->set};
    struct plane best = {.frame = NULL};
    size_t moves[PLAN_STACKED_MOST] = {0}, count = 0;
    search.beyond = reach_beyond(situation, choice->set);
    search.lean = slope_sum(situation->input->lean, -1.0, search.beyond);
    for (size_t i = 0; i < situation->move_count; i++)
        if ((choice->set & MOVE_BIT(i)) && situation->moves[i].stacked) {
            moves[count++] = i;
            search.beside &= ~MOVE_BIT(i);
            add_bolts(&search, i);
        }
    if (situation->moves[moves[0]].reach.dims == 2)
        add_flange(&search, moves[0]);
    else
        add_ramps(&search, moves, count);
    /* of a flange the tip would go down with both ends */
    if (count == 1 && situation->moves[moves[0]].reach.dims == 1 &&
        perpend_face_direction(joint_of(&search, moves[0])->face).up == 0.0)
        add_both_ends(&search, moves[0]);
    best.cost = reach_nearest(situation, search.lean, search.beside, choice->change);
    best.step = step_of(&search, best.cost, false);
    find(&search, &best);
    if (!best.frame)
        return false;
    struct perpend_slope lean = search.lean, none = {0, 0}, of_move[2] = {{0, 0}, {0, 0}};
    for (size_t k = 0; k < best.frame->params; k++) {
        of_move[k] = slope_sum(none, best.thick[k], best.frame->change[k]);
        lean = expect_after(situation, lean, of_move[k]);
    }
    reach_nearest(situation, lean, search.beside, choice->change);
    for (size_t k = 0; k < best.frame->params; k++) {
        struct perpend_slope *change = &choice->change[best.frame->move[k]];
        *change = slope_sum(*change, 1.0, of_move[k]);
    }
    choice->leaves = best.leaves;
    choice->bolt_count = search.bolt_count;
    for (size_t i = 0; i < search.bolt_count; i++)
        choice->bolts[i] = best.bolts[i];
    return true;
}
