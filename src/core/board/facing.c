/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <perpend/board.h>
#include <perpend/units.h>

double perpend_move_minutes(double length, double feed, double acceleration)
{
    double speed = feed / 60.0;
    if (isnan(acceleration) || isnan(feed))
        return length / speed / 60.0;
    double to_speed = speed * speed / acceleration; /* getting to speed and back to rest, mm */
    double seconds = length >= to_speed ? length / speed + speed / acceleration
                                        : 2.0 * sqrt(length / acceleration);
    return seconds / 60.0;
}

/* Along X or Y: how far the axis goes, and how far that stays away from the board's ends, mm. */
struct side {
    double from, to, near, far;
};

/* The axis goes past both ends by the bit's radius, as far as the travel lets it. */
static struct side reach(double from, double length, double radius, double start, double travel)
{
    bool bound = travel > 0.0;
    struct side side = {.from = fmax(from - radius, bound ? start : -INFINITY),
        .to = fmin(from + length + radius, bound ? start + travel : INFINITY)};
    side.near = fmax(side.from - from, 0.0);
    side.far = fmax(from + length - side.to, 0.0);
    return side;
}

/* Across the feed the first and the last pass run along the board's edges, where the travel gets there;
   the last step is what is left. */
static struct perpend_passes passes(const struct side *along, const struct side *across,
    double edge, double width, const struct perpend_bench *bench, double stepover)
{
    double first = edge + across->near, over = width - across->near - across->far;
    double steps = ceil(over / stepover - 1e-9), pass = along->to - along->from;
    double last = over - stepover * (steps - 1.0);
    struct perpend_passes p = {.count = 1 + (size_t)steps,
        .path = {along->from, first, pass, over},
        .length = pass * (steps + 1.0) + over};
    p.minutes = (steps + 1.0) * perpend_move_minutes(pass, bench->feed, bench->acceleration) +
                (steps - 1.0) * perpend_move_minutes(stepover, bench->feed, bench->acceleration) +
                perpend_move_minutes(last, bench->feed, bench->acceleration);
    return p;
}

enum perpend_status perpend_facing_plan_make(const struct perpend_bench *bench,
    const struct perpend_cutter *cutter, const struct perpend_facing *facing,
    const struct perpend_goal *goal, const struct perpend_slope *lean,
    struct perpend_facing_plan *plan)
{
    const struct perpend_area *board = &bench->board.area, *travel = &bench->travel;
    double radius = cutter->diameter / 2.0, stepover = facing->stepover;
    if (!(board->wide > 0.0 && board->deep > 0.0 && radius > 0.0 && stepover > 0.0) ||
        bench->feed <= 0.0 || bench->acceleration <= 0.0)
        return PERPEND_ERR_VALUE;
    struct side x = reach(board->x, board->wide, radius, travel->x, travel->wide);
    struct side y = reach(board->y, board->deep, radius, travel->y, travel->deep);
    if (!(x.near + x.far < board->wide && y.near + y.far < board->deep))
        return PERPEND_ERR_VALUE;
    *plan =
        (struct perpend_facing_plan){.way = {passes(&x, &y, board->y, board->deep, bench, stepover),
                                         passes(&y, &x, board->x, board->wide, bench, stepover)},
            .rim = bench->speed / 60.0 * PERPEND_PI * cutter->diameter / 1000.0};
    const struct perpend_area path = plan->way[1].path; /* which has its sides for X and Y yet */
    plan->way[1].path = (struct perpend_area){path.y, path.x, path.deep, path.wide};
    const double away[4] = {x.near, x.far, y.near, y.far};
    for (size_t i = 0; i < 4; i++)
        plan->strip[i] = away[i] > radius ? away[i] - radius : (double)NAN;
    plan->way[0].ridge = plan->way[1].ridge = lean != NULL ? INFINITY : (double)NAN;
    struct perpend_ridge ridge;
    if (lean != NULL && perpend_ridge_describe(*lean, cutter, facing, &ridge) == PERPEND_OK) {
        plan->way[0].ridge = ridge.along_x;
        plan->way[1].ridge = ridge.along_y;
    }
    const struct perpend_passes *way = plan->way;
    bool alike = isnan(way[0].ridge) || fmax(way[0].ridge, way[1].ridge) <= goal->ridge;
    plan->advised = alike ? way[1].length < way[0].length : way[1].ridge < way[0].ridge;
    return PERPEND_OK;
}
