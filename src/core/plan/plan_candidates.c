/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thicknesses from around the ideal outward, as far as they can matter. */
#include <math.h>
#include <stdlib.h>

#include <perpend/ridge.h>
#include <perpend/status.h>

#include "core/plan/plan_stock_parts.h"

struct perpend_slope shimmed(const struct stock_search *search, struct perpend_slope lean,
    struct perpend_slope per_grain, unsigned thick)
{
    struct perpend_slope change = {per_grain.right * thick, per_grain.back * thick};
    return expect_after(search->situation, lean, change);
}

/* The lean left beside continuous moves with these values. */
static struct perpend_slope left_of_reach(const struct stock_search *search,
    struct perpend_slope lean, const struct reach *reach, const double *value)
{
    struct perpend_slope change = {0, 0};
    for (size_t i = 0; i < reach->count; i++) {
        change.right += value[i] * reach->groups[i].direction.right;
        change.back += value[i] * reach->groups[i].direction.back;
    }
    return expect_after(search->situation, lean, change);
}

static enum perpend_status add_candidate(
    struct stock_search *search, size_t frame, const unsigned thick[2], struct perpend_slope left)
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
    enum perpend_status status =
        perpend_ridge_facing(left, input->cutter, input->facing, &candidate->ridge);
    if (status == PERPEND_OK)
        search->candidate_count++;
    return status;
}

/* The place in an ascending list of the first thickness not below `thick`, grains. */
static size_t place_of(const unsigned *list, size_t count, double thick)
{
    size_t low = 0, high = count;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (list[middle] < thick)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* One frame's state while its thicknesses are walked: `reach` holds the continuous moves and, as
   rays, the thicknesses from 0, 1, 2 on, which are not yet fixed. */
struct walk {
    struct stock_search *search;
    size_t frame;
    double radius;
    unsigned thick[2];
    struct reach reach[3];
};

static void walk_begin(struct walk *walk, struct stock_search *search, size_t frame, double radius)
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
    const struct frame *frame = &walk->search->frames[walk->frame];
    double value[REACH_GROUPS_MOST] = {0};
    reach_solve(walk->search->situation, lean, &walk->reach[param], value);
    return place_of(
        frame->thick[param], frame->thick_count[param], value[walk->reach[param].count - 1]);
}

/* Fix one thickness: the lean then, and whether the rest can bring it within the radius. */
static bool fix_thickness(struct walk *walk, size_t param, struct perpend_slope lean,
    unsigned thick, struct perpend_slope *next, struct perpend_slope *left)
{
    const struct stock_search *search = walk->search;
    const struct reach *reach = &walk->reach[param + 1];
    double value[REACH_GROUPS_MOST] = {0};
    walk->thick[param] = thick;
    *next = shimmed(search, lean, search->frames[walk->frame].change[param], thick);
    bool within = reach_solve(search->situation, *next, reach, value) <= walk->radius;
    *left = left_of_reach(search, *next, reach, value);
    return within;
}

static enum perpend_status walk_param(struct walk *walk, size_t param, struct perpend_slope lean);

static bool walk_ends(const struct stock_search *search)
{
    return search->visits <= 0 || search->candidate_count >= CANDIDATES_MOST;
}

static enum perpend_status walk_at(
    struct walk *walk, size_t param, struct perpend_slope lean, unsigned thick, bool *within)
{
    struct stock_search *search = walk->search;
    struct perpend_slope next, left;
    search->visits--;
    *within = fix_thickness(walk, param, lean, thick, &next, &left);
    if (!*within) {
        search->cut = true;
        return PERPEND_OK;
    }
    if (param + 1 < search->frames[walk->frame].params)
        return walk_param(walk, param + 1, next);
    if (!frame_fits(search, &search->frames[walk->frame], walk->thick))
        return PERPEND_OK;
    return add_candidate(search, walk->frame, walk->thick, left);
}

/* Walk one thickness from its ideal outward, up and down by turns; the weighed size is convex in
   it. */
static enum perpend_status walk_param(struct walk *walk, size_t param, struct perpend_slope lean)
{
    const struct frame *frame = &walk->search->frames[walk->frame];
    const unsigned *list = frame->thick[param];
    size_t up = ideal_place(walk, param, lean), down = up;
    bool within_up = true, within_down = true;
    enum perpend_status status = PERPEND_OK;
    while (status == PERPEND_OK && !walk_ends(walk->search)) {
        bool can_rise = within_up && up < frame->thick_count[param];
        bool can_fall = within_down && down > 0;
        if (!can_rise && !can_fall)
            break;
        if (can_rise)
            status = walk_at(walk, param, lean, list[up++], &within_up);
        if (can_fall && status == PERPEND_OK && !walk_ends(walk->search))
            status = walk_at(walk, param, lean, list[--down], &within_down);
    }
    return status;
}

enum perpend_status gather(struct stock_search *search, double radius)
{
    search->candidate_count = 0;
    search->cut = false;
    enum perpend_status status = PERPEND_OK;
    for (size_t i = 0; i < search->frame_count && status == PERPEND_OK; i++) {
        struct walk walk;
        walk_begin(&walk, search, i, radius);
        status = walk_param(&walk, 0, search->situation->input->lean);
    }
    return status;
}

/* The ridge at the thicknesses next to the ideal ones, for a first radius. */
static enum perpend_status ridge_nearby(
    struct walk *walk, size_t param, struct perpend_slope lean, double *least)
{
    const struct stock_search *search = walk->search;
    const struct frame *frame = &search->frames[walk->frame];
    const struct perpend_plan_input *input = search->situation->input;
    size_t start = ideal_place(walk, param, lean);
    enum perpend_status status = PERPEND_OK;
    for (size_t i = start > 0 ? start - 1 : 0;
         i <= start && i < frame->thick_count[param] && status == PERPEND_OK; i++) {
        struct perpend_slope next, left;
        double ridge;
        fix_thickness(walk, param, lean, frame->thick[param][i], &next, &left);
        if (param + 1 < frame->params) {
            status = ridge_nearby(walk, param + 1, next, least);
            continue;
        }
        status = perpend_ridge_facing(left, input->cutter, input->facing, &ridge);
        if (status == PERPEND_OK)
            *least = fmin(*least, ridge);
    }
    return status;
}

enum perpend_status first_radius(struct stock_search *search, double *radius)
{
    double nearby = INFINITY;
    enum perpend_status status = PERPEND_OK;
    for (size_t i = 0; i < search->frame_count && status == PERPEND_OK; i++) {
        struct walk walk;
        walk_begin(&walk, search, i, 0.0);
        status = ridge_nearby(&walk, 0, search->situation->input->lean, &nearby);
    }
    *radius = nearby / search->situation->sure_share * (1.0 + HAIR);
    return status;
}

double without_shims(const struct stock_search *search)
{
    struct reach reach;
    double value[REACH_GROUPS_MOST] = {0};
    reach_of_units(search->situation, search->set, &reach);
    double size = reach_solve(search->situation, search->situation->input->lean, &reach, value);
    return size * (1.0 + HAIR) + HAIR;
}
