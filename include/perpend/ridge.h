/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_RIDGE_H
#define PERPEND_RIDGE_H

/**
 * The floor that parallel overlapping passes of a leaning flat bit leave: its ridge (peak to
 * valley), in closed form, and the questions asked backwards.
 *
 * The bit is a disc of radius r at right angles to the spindle axis a. Passes run along the feed
 * direction f, a stepover s apart along l = f × Z. With a corner radius the edge of a disc of
 * radius r − corner is offset by the corner radius (the arc's parallel curve).
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/geometry.h>
#include <perpend/status.h>

#ifdef __cplusplus
extern "C" {
#endif

struct perpend_cutter {
    double diameter; /* D, mm, > 0 */
    double corner;   /* corner radius, mm, 0 ≤ corner ≤ D/2 */
};

struct perpend_facing {
    double stepover; /* s, mm, > 0 */
    bool both_ways;  /* passes along X and along Y are both milled: the larger ridge counts */
    double along;    /* bearing of the feed, rad; X is π/2, Y is 0; unused when both_ways */
    double depth;    /* of cut, mm, > 0; NAN when not stated */
};

/** What is good enough: of the floor, of the spindle (for those who drill and bore), or of both. */
struct perpend_goal {
    double ridge; /* at most, mm; NAN when not set */
    double lean;  /* at most, whatever its bearing, mm/mm; NAN when not set */
};

/** Whether anything is set; whether a ridge and a lean keep all that is. */
bool perpend_goal_is_set(const struct perpend_goal *goal);
bool perpend_goal_kept(const struct perpend_goal *goal, double ridge, struct perpend_slope lean);

#define PERPEND_ALONG_X (3.14159265358979323846 / 2.0)
#define PERPEND_ALONG_Y 0.0

/**
 * Ridge height for one feed direction.
 *
 * Given:    lean, cutter
 *           stepover   mm
 *           along      bearing of the feed, rad (a half turn makes no difference)
 * Returned: height     peak to valley of the floor, mm, ≥ 0
 * Errors:   PERPEND_ERR_VALUE; PERPEND_ERR_STEPOVER when the stepover is wider than the cut
 * Source:   docs/method.md, "The ridge". Limits: s·tan(lean) across the feed; along it
 *           tan(lean)·(D − √(D² − s²))/2 for small lean (machining handbooks, from memory).
 */
enum perpend_status perpend_ridge_height(struct perpend_slope lean,
    const struct perpend_cutter *cutter, double stepover, double along, double *height);

/** As above for a facing: for one that goes both ways the larger of X and Y. `depth` bears on
 *  nothing. */
enum perpend_status perpend_ridge_facing(struct perpend_slope lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double *height);

struct perpend_ridge {
    double height;      /* for the facing, mm */
    double ra;          /* arithmetic mean deviation of the floor, mm (ISO 21920-2) */
    double along_x;     /* ridge for feed along X, mm; infinite when stripes would stand */
    double along_y;     /* ridge for feed along Y, mm; infinite when stripes would stand */
    double best_along;  /* feed bearing that leaves the least, rad in [0, π) */
    double best_height; /* mm */
    double width;       /* width of the floor one pass really cuts at the stated depth, mm; the
                             disc's whole width when the depth suffices or is not stated */
    double full_width;  /* width of the disc's cut across the feed, mm */
    double drop;        /* the disc's drop across its whole diameter, D sin(lean), mm */
    bool depth_short;   /* one pass leaves its high side uncut, for the next to take */
    bool stripes;       /* height > depth: the next does not reach it all, and the floor is the old
                             face in stripes */
    double bottom_radius; /* radius of one pass's floor in the middle, seen along the feed, mm:
                             r / sin(lean) for lean along the feed; infinite without any */
};

/**
 * Everything about the floor for one facing; both_ways takes ra, width … of the worse way.
 *
 * Given:    lean, cutter, facing   its depth may be NAN
 * Returned: ridge
 * Errors:   as perpend_ridge_height
 * Source:   docs/method.md, "The ridge"; ra: ISO 21920-2, from memory
 */
enum perpend_status perpend_ridge_describe(struct perpend_slope lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    struct perpend_ridge *ridge);

/**
 * Height of the floor, for drawing: z of the lowest pass at a lateral offset from a pass's centre
 * line.
 *
 * Given:    lean, cutter, stepover, along   as for perpend_ridge_height
 *           p    offset along f × Z, mm; any, as the floor repeats itself
 * Returned: z    mm, over the lowest point of a pass
 * Errors:   as perpend_ridge_height
 */
enum perpend_status perpend_floor_height(struct perpend_slope lean,
    const struct perpend_cutter *cutter, double stepover, double along, double p, double *z);

/** Asked backwards. */
struct perpend_ridge_limits {
    double lean;             /* largest lean, whatever its bearing, that keeps the goal, mm/mm; at
                                most 1 (45°); NAN when an upright spindle does not keep it (a corner
                                radius leaves cusps) */
    double lean_across;      /* largest lean square to the feed that does, likewise */
    double lean_along;       /* largest lean along the feed that does, likewise */
    double opposite_reading; /* largest true difference of opposite gaps, of both pairs at once, mm:
                                2 R × the largest lean along an axis; NAN without an arm */
    double stepover;         /* largest stepover for the lean given, mm; the ridge grows with the
                                stepover, so every smaller one keeps the goal too */
};

/**
 * The questions asked backwards.
 *
 * Given:    lean      today's, for `stepover`
 *           cutter, facing
 *           goal      ridge, mm, > 0
 *           arm       R, mm; NAN when not known
 * Returned: limits
 * Errors:   as perpend_ridge_height
 * Source:   docs/method.md, "Best direction, limits, depth"
 */
enum perpend_status perpend_ridge_limits_for(struct perpend_slope lean,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing, double goal,
    double arm, struct perpend_ridge_limits *limits);

#ifdef __cplusplus
}
#endif

#endif
