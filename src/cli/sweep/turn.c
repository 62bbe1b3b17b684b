/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/sweep/turn.h"

#include <math.h>

#include <perpend/units.h>

#define SAME_BEARING 1e-6 /* rad */
#define WHOLE (2 * PERPEND_PI)

/* From one bearing to another, against the clock seen from above, in [0, 2π). */
static double angle_between(double from, double to)
{
    double angle = fmod(from - to, WHOLE);
    if (angle < 0)
        angle += WHOLE;
    return angle > WHOLE - SAME_BEARING ? 0 : angle;
}

size_t turn_find(const struct turn *turn, double bearing)
{
    size_t place = 0;
    while (place < turn->count && angle_between(turn->bearings[place], bearing) >= SAME_BEARING)
        place++;
    return place;
}

bool turn_add(struct turn *turn, double bearing)
{
    size_t at = turn->count;
    if (turn_find(turn, bearing) < turn->count)
        return true;
    if (turn->count == TURN_BEARINGS)
        return false;
    while (at > 1 && angle_between(turn->bearings[0], turn->bearings[at - 1]) >
                         angle_between(turn->bearings[0], bearing)) {
        turn->bearings[at] = turn->bearings[at - 1];
        turn->skipped[at] = turn->skipped[at - 1];
        at--;
    }
    turn->bearings[at] = bearing;
    turn->skipped[at] = false;
    turn->count++;
    return true;
}

void turn_spread(struct turn *turn, size_t count)
{
    *turn = (struct turn){.count = count};
    for (size_t i = 0; i < count; i++) {
        double bearing = PERPEND_PI - (double)i * WHOLE / (double)count;
        turn->bearings[i] = bearing < 0 ? bearing + WHOLE : bearing;
    }
}

/* Whether the bearings go one way round from the first, `sign` +1 against the clock. */
static bool goes_one_way(const struct turn *turn, int sign)
{
    double before = 0;
    for (size_t i = 1; i < turn->count; i++) {
        double angle = sign > 0 ? angle_between(turn->bearings[0], turn->bearings[i])
                                : angle_between(turn->bearings[i], turn->bearings[0]);
        if (angle <= before)
            return false;
        before = angle;
    }
    return true;
}

bool turn_sort(struct turn *turn)
{
    struct turn sorted = {.count = 0};
    if (goes_one_way(turn, 1) || goes_one_way(turn, -1))
        return false;
    for (size_t i = 0; i < turn->count; i++)
        turn_add(&sorted, turn->bearings[i]);
    *turn = sorted;
    return true;
}
