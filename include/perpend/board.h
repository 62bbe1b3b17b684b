/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PERPEND_BOARD_H
#define PERPEND_BOARD_H

/**
 * The board on the bed: a survey of its face by touches, how deep to face it until all of it is cut,
 * and the facing itself: passes, time, what the travel cannot reach.
 *
 * Places are where the tip stands in the machine's X and Y. Heights count along Z, against the travel.
 */

#include <stdbool.h>
#include <stddef.h>

#include <perpend/fit.h>
#include <perpend/geometry.h>
#include <perpend/ridge.h>
#include <perpend/status.h>
#include <perpend/sweep.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A rectangle along X and Y. */
struct perpend_area {
    double x, y;       /* its front left corner, mm */
    double wide, deep; /* along X and along Y, mm; 0: not stated */
};

/** A screw's head, an insert: metal under the board's face. */
struct perpend_metal {
    double x, y;  /* mm */
    double under; /* how far it lies under the face as found, mm */
};

struct perpend_board {
    struct perpend_area area;
    double thickness; /* mm; NAN: not stated */
    struct perpend_metal *metal;
    size_t metal_count;
};

/** What faces a board beside bit and stepover; NAN: not stated. */
struct perpend_bench {
    struct perpend_board board;
    struct perpend_area travel; /* of the spindle's axis */
    double feed;                /* mm a minute */
    double speed;               /* turns a minute */
    double acceleration;        /* of the travel, mm/s² */
};

/* ---- survey ---- */

#define PERPEND_TOUCHES_MOST 256

struct perpend_survey {
    size_t touch_count;
    struct perpend_area area;   /* the board's; round the touches where that is not stated */
    struct perpend_slope slope; /* of the board's plane against the travel */
    struct perpend_slope_covariance covariance;
    double dof;    /* of slope and waves, as of a fit */
    double waves;  /* about the plane, standard deviation, mm, the readings' own part taken out */
    double length; /* heights so far apart have little to do with each other, mm */
    size_t top, bottom; /* the touches that lie highest over the plane, and lowest */
    double over, under; /* by so much, mm; over + under is the flatness deviation FLTt (ISO 12781-1,
                             from memory) about the least squares plane */
    size_t highest;     /* the touch that stands highest along Z */
    struct perpend_suspect suspect;  /* without the lean */
    double need_x, need_y;           /* after PERPEND_ERR_UNDETERMINED: the place to touch next */
    struct perpend_surface *surface; /* the face between the touches; owned */
};

/** Height of one touch along Z, mm, up to a constant: any gauge can tell it, Z locked or read. */
double perpend_touch_height(const struct perpend_gauge *gauge, const struct perpend_reading *touch);

/**
 * Fit a plane and the waves about it: generalised least squares with waves that are alike near each
 * other, their size from the touches and, as of four more, from the kind of bed.
 *
 * Given:    touches  count, ≤ PERPEND_TOUCHES_MOST, at three places or more that are not in a line;
 *                    of each x, y and the value count
 *           setup    gauge and bed; the arm bears on nothing
 *           area     of the board, for the place that is wanted; not stated: about the touches
 * Returned: survey   release with perpend_survey_finish; on PERPEND_ERR_UNDETERMINED need… only
 * Errors:   PERPEND_ERR_VALUE, PERPEND_ERR_MEMORY, PERPEND_ERR_UNDETERMINED
 * Source:   docs/method.md, "The board"
 */
enum perpend_status perpend_survey_fit(const struct perpend_reading *touches, size_t count,
    const struct perpend_setup *setup, const struct perpend_area *area,
    struct perpend_survey *survey);

/** Release what a survey owns; a zeroed one and NULL are fine. */
void perpend_survey_finish(struct perpend_survey *survey);

/**
 * How much higher the face is at one place than at another: the plane's rise and what the touches
 * round each tell of the waves there.
 *
 * Given:    survey
 *           from, to   places; only right and back count
 * Returned: variance   mm²; NULL when not wanted
 * Value:    mm
 * Source:   docs/method.md, "The board" (kriging: Cressie, Statistics for Spatial Data, from memory)
 */
double perpend_survey_rise(const struct perpend_survey *survey, struct perpend_point from,
    struct perpend_point to, double *variance);

/* ---- clean-up ---- */

#define PERPEND_CELLS_MOST 32 /* along a side */
#define PERPEND_CELLS_EACH 2  /* along a side of a patch that stands or falls as one */

struct perpend_cell {
    double fall;        /* how far its middle lies below where Z is set, mm */
    double uncertainty; /* standard, mm */
};

/** What is left to face of a board. */
struct perpend_cleanup {
    struct perpend_point zero; /* where Z is set */
    size_t columns, rows;
    struct perpend_cell
        cell[PERPEND_CELLS_MOST * PERPEND_CELLS_MOST]; /* row by row from the front */
    double even, sure; /* depth under Z at which all is cut as likely as not; at 95 in 100, mm */
    unsigned passes;   /* of the stated depth until all is almost surely cut (95 %) */
    double taken;      /* the most that they take anywhere, mm */
    double first;      /* the most that the first pass takes anywhere, mm */
    size_t hit;        /* metal that the last pass comes to, or metal_count */
};

/** A facing cut in fibreboard takes about so much, mm (common practice, no source). */
#define PERPEND_FACING_DEPTH 0.2
/** So many passes are told one by one. */
#define PERPEND_PASSES_SHOWN 8

/** Below this there is no telling a bit from a screw's head, mm (common practice, no source). */
#define PERPEND_METAL_ROOM 0.5

/**
 * How deep to face until all of the board is cut.
 *
 * Given:    survey
 *           board   for the metal in it
 *           zero    where Z is set, by a touch of its own
 *           touch   standard uncertainty of that touch, mm
 *           depth   of one pass, mm, > 0
 * Returned: cleanup
 * Errors:   PERPEND_ERR_VALUE
 */
enum perpend_status perpend_cleanup_find(const struct perpend_survey *survey,
    const struct perpend_board *board, struct perpend_point zero, double touch, double depth,
    struct perpend_cleanup *cleanup);

/** After facing to a depth under Z: the chance that one cell is uncut; the share of the board that is,
 *  to be expected; the chance that nothing is. */
double perpend_cell_uncut(const struct perpend_cell *cell, double depth);
double perpend_cleanup_share(const struct perpend_cleanup *cleanup, double depth);
double perpend_cleanup_chance(const struct perpend_cleanup *cleanup, double depth);

/* ---- facing ---- */

/** Facing in one direction, there and back, once over the board. */
struct perpend_passes {
    size_t count;
    struct perpend_area path; /* of the axis: its first pass begins at the front left corner */
    double length;            /* mm, with the steps from pass to pass */
    double minutes;           /* NAN without a feed */
    double ridge;             /* mm; NAN without a lean, infinite where stripes would stand */
};

struct perpend_facing_plan {
    struct perpend_passes way[2]; /* along X, along Y */
    size_t advised;               /* of the two: docs/method.md, "Facing" */
    double strip[4]; /* of the board that the bit does not reach: left, right, front, back, mm; NAN:
                        none */
    double rim;      /* speed of the bit's rim, m/s; NAN without a speed of rotation */
};

/**
 * Plan the facing of a board, all of which the bit is to leave by its radius.
 *
 * Given:    bench    a board with a size
 *           cutter, facing
 *           goal     of the ridge; may be unset
 *           lean     NULL: not known
 * Returned: plan
 * Errors:   PERPEND_ERR_VALUE (also: a travel that the board lies wholly outside of)
 */
enum perpend_status perpend_facing_plan_make(const struct perpend_bench *bench,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, const struct perpend_slope *lean,
    struct perpend_facing_plan *plan);

/** Minutes for one move from standstill to standstill at a feed (mm a minute); acceleration in mm/s²,
 *  NAN: at once. A trapezoid of speed, or a triangle where the move is too short for the feed. */
double perpend_move_minutes(double length, double feed, double acceleration);

#ifdef __cplusplus
}
#endif

#endif
