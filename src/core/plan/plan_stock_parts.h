/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLAN_STOCK_PARTS_H
#define PLAN_STOCK_PARTS_H

/**
 * The search for shims from the stock: of all the planes that the leaves on hand can make under one
 * or two joints, the one that leaves the least ridge, then the one of the fewest leaves.
 *
 * A plane rests on a bolt that gets nothing. Of bolts that only answer one axis the far row's
 * thickness says the rest; of a flange's, the thicknesses at the two corners beside the resting
 * one. So each way to lie (a frame) has one or two thicknesses to choose, each from those that the
 * leaves make. Candidates are gathered from around the ideal outward; as the ridge cannot be less
 * than a known share of the weighed lean, the search ends when no farther one can be better.
 *
 *   plan_frames.c      the ways to lie, and what each bolt then wants
 *   plan_candidates.c  thicknesses from around the ideal
 *   plan_stock.c       filling them from the heap, and the best
 */

#include "core/plan/plan_parts.h"

/** Rounding in the search. */
#define HAIR 1e-9

/** One way to lie: thickness at bolt i of slot s = Σ per[s][k][i] × thickness k, in grains. */
struct frame {
    size_t params;
    struct perpend_slope change[2]; /* lean change per grain of each thickness */
    double material[2];             /* grains in all that the corners take, per grain of each */
    double per[PLAN_STACKED_MOST][2][PERPEND_BOLTS_MOST];
    unsigned *thick[2]; /* what each thickness may be, ascending */
    size_t thick_count[2];
};

struct candidate {
    size_t frame;
    unsigned thick[2];
    double ridge;
};

/** A slot is one of the units that take shims. */
struct stock_search {
    const struct situation *situation;
    unit_set set; /* continuous moves beside */
    const size_t *stacked;
    size_t slots;
    struct frame *frames;
    size_t frame_count;
    unsigned *lists; /* what the frames' thicknesses point into */
    bool corner[PLAN_STACKED_MOST][PERPEND_BOLTS_MOST];
    bool inner; /* some bolt is not a corner */
    bool hang;  /* what is no corner gets nothing */
    struct candidate *candidates;
    size_t candidate_count, candidate_room;
    bool cut; /* some candidates lie beyond the radius */
    long work;
    long visits; /* thicknesses that may still be looked at */
};

const struct perpend_joint *slot_joint(const struct stock_search *search, size_t slot);

/** Errors: PERPEND_ERR_MEMORY. What was made is released by the caller: frames, lists. */
enum perpend_status frames_make(struct stock_search *search);

/** List the thicknesses that the heap can make, as they are for search->hang. */
void frames_list(struct stock_search *search);

/** What the bolts of one slot may get. */
void bins_of(const struct stock_search *search, const struct frame *frame, const unsigned thick[2],
    size_t slot, struct stacked *stacked);

/** Whether the heap holds enough for a frame's thicknesses (from its lists), and could make each
 * stack if it were the only one. */
bool frame_fits(
    const struct stock_search *search, const struct frame *frame, const unsigned thick[2]);

/** The lean left of `lean` after a thickness. */
struct perpend_slope shimmed(const struct stock_search *search, struct perpend_slope lean,
    struct perpend_slope per_grain, unsigned thick);

/** A radius, mm of weighed lean, within which the nearest candidates lie. */
enum perpend_status first_radius(struct stock_search *search, double *radius);

/** Weighed size of the lean that is left without any shims, mm, and a hair. */
double without_shims(const struct stock_search *search);

/** All candidates within the radius. */
enum perpend_status gather(struct stock_search *search, double radius);

/** Bounds on one search, far above what real stocks take. */
#define CANDIDATES_MOST 40000
#define VISITS_MOST 100000L

#endif
