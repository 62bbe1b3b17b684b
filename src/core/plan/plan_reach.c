/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The nearest to no lean that continuous moves reach: a convex quadratic in two dimensions over
   ranges, solved exactly by trying which ranges bind. */
#include <math.h>

#include "core/plan/plan_parts.h"

#define PARALLEL 1e-9

/* Of two that reach as near as this, mm of ridge, the first is taken, whatever the rounding. */
#define COST_SLIP 1e-12

/* Room kept for rays. */
#define RAYS_MOST 2

enum bound { BOUND_ZERO, BOUND_LOW, BOUND_HIGH, BOUND_FREE, BOUND_KINDS };

/* The direction's group; reach->count when there is none yet. */
static size_t find_group(const struct reach *reach, struct perpend_slope direction)
{
    size_t i = 0;
    while (i < reach->count && fabs(slope_cross(reach->groups[i].direction, direction)) >= PARALLEL)
        i++;
    return i;
}

static void add_to_group(
    struct reach *reach, struct perpend_slope direction, double low, double high)
{
    size_t at = find_group(reach, direction);
    if (at == REACH_GROUPS_MOST - RAYS_MOST)
        return;
    if (at == reach->count)
        reach->groups[reach->count++] = (struct group){direction, 0.0, 0.0, 0};
    reach->groups[at].low += low;
    reach->groups[at].high += high;
    reach->groups[at].endless += isinf(high);
}

static const struct perpend_slope axes[2] = {{1, 0}, {0, 1}};

void reach_of_moves(const struct situation *situation, move_set set, struct reach *reach)
{
    reach->count = 0;
    for (size_t i = 0; i < situation->move_count; i++) {
        const struct move_reach *can = &situation->moves[i].reach;
        for (int d = 0; (set & MOVE_BIT(i)) && d < can->dims; d++)
            add_to_group(reach, can->dims == 1 ? can->direction : axes[d], can->low, can->high);
    }
}

/* weigh · v */
static void weighed(const struct situation *situation, struct perpend_slope v, double out[2])
{
    out[0] = situation->weigh[0] * v.right;
    out[1] = situation->weigh[1] * v.back;
}

/* Solve for the free ones with the others where `bounds` puts them. False when that cannot be. */
static bool solve_free(const struct situation *situation, struct perpend_slope lean,
    const struct reach *reach, const enum bound *bounds, double *value)
{
    struct perpend_slope fixed = {0, 0};
    size_t free_at[2], free_count = 0;
    for (size_t i = 0; i < reach->count; i++) {
        const struct group *group = &reach->groups[i];
        value[i] = 0.0;
        if (bounds[i] == BOUND_FREE) {
            if (free_count == 2)
                return false;
            free_at[free_count++] = i;
            continue;
        }
        if (bounds[i] != BOUND_ZERO)
            value[i] = bounds[i] == BOUND_LOW ? group->low : group->high;
        if (!isfinite(value[i]))
            return false;
        fixed = slope_sum(fixed, value[i], group->direction);
    }
    double rest[2], column[2][2];
    weighed(situation, expect_after(situation, lean, fixed), rest);
    for (size_t k = 0; k < free_count; k++)
        weighed(situation,
            expect_after(
                situation, (struct perpend_slope){0, 0}, reach->groups[free_at[k]].direction),
            column[k]);
    if (free_count == 1) {
        double size = column[0][0] * column[0][0] + column[0][1] * column[0][1];
        value[free_at[0]] = -(column[0][0] * rest[0] + column[0][1] * rest[1]) / size;
    } else if (free_count == 2) {
        double determinant = column[0][0] * column[1][1] - column[0][1] * column[1][0];
        value[free_at[0]] = -(rest[0] * column[1][1] - rest[1] * column[1][0]) / determinant;
        value[free_at[1]] = -(column[0][0] * rest[1] - column[0][1] * rest[0]) / determinant;
    }
    for (size_t k = 0; k < free_count; k++) {
        const struct group *group = &reach->groups[free_at[k]];
        double found = value[free_at[k]];
        if (!isfinite(found) || found < group->low || found > group->high)
            return false;
    }
    return true;
}

struct perpend_slope reach_left(const struct situation *situation, struct perpend_slope lean,
    const struct reach *reach, const double *value)
{
    struct perpend_slope change = {0, 0};
    for (size_t i = 0; i < reach->count; i++)
        change = slope_sum(change, value[i], reach->groups[i].direction);
    return expect_after(situation, lean, change);
}

static bool next_bounds(enum bound *bounds, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (bounds[i] < BOUND_FREE) {
            bounds[i] = (enum bound)((int)bounds[i] + 1);
            return true;
        }
        bounds[i] = BOUND_ZERO;
    }
    return false;
}

void reach_add_ray(struct reach *reach, struct perpend_slope direction)
{
    reach->groups[reach->count++] = (struct group){direction, 0.0, INFINITY, 1};
}

double reach_solve(const struct situation *situation, struct perpend_slope lean,
    const struct reach *reach, double *value)
{
    enum bound bounds[REACH_GROUPS_MOST] = {BOUND_ZERO};
    double tried[REACH_GROUPS_MOST], least = INFINITY;
    do {
        if (!solve_free(situation, lean, reach, bounds, tried))
            continue;
        double cost = cost_of(situation, reach_left(situation, lean, reach, tried));
        if (!(cost < least - COST_SLIP))
            continue;
        least = cost;
        for (size_t i = 0; i < reach->count; i++)
            value[i] = tried[i];
    } while (next_bounds(bounds, reach->count));
    return least;
}

struct perpend_slope reach_beyond(const struct situation *situation, move_set set)
{
    struct reach reach;
    double value[REACH_GROUPS_MOST];
    reach_of_moves(situation, set, &reach);
    reach_solve(situation, situation->input->lean, &reach, value);
    return reach_left(situation, situation->input->lean, &reach, value);
}

/* A move's share of its group's value: in proportion to the ranges; what has no bounds takes all. */
static double share_of(const struct group *group, double value, double low, double high)
{
    double own = value > 0.0 ? high : low, all = value > 0.0 ? group->high : group->low;
    if (value == 0.0)
        return 0.0;
    if (isinf(all))
        return isinf(own) ? value / group->endless : 0.0;
    return value * own / all;
}

double reach_nearest(const struct situation *situation, struct perpend_slope lean, move_set set,
    struct perpend_slope *change)
{
    struct reach reach;
    double value[REACH_GROUPS_MOST] = {0};
    reach_of_moves(situation, set, &reach);
    double cost = reach_solve(situation, lean, &reach, value);
    for (size_t i = 0; i < situation->move_count; i++) {
        const struct move_reach *can = &situation->moves[i].reach;
        change[i] = (struct perpend_slope){0, 0};
        for (int d = 0; (set & MOVE_BIT(i)) && d < can->dims; d++) {
            struct perpend_slope direction = can->dims == 1 ? can->direction : axes[d];
            size_t group = find_group(&reach, direction);
            if (group == reach.count)
                continue;
            double share = share_of(&reach.groups[group], value[group], can->low, can->high);
            change[i] = slope_sum(change[i], share, direction);
        }
    }
    return cost;
}
